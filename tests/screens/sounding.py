"""The room of the sound, with cards and hands that are not there."""

from trainer.playing.calibration.output_offset import BEAT_NS, NOT_COUNTED, OffsetTaps
from trainer.playing.profile import PickupProfile
from trainer.score.library import load_exercise
from trainer.screens.screen import Command, Screen
from trainer.screens.sound import ROWS, SoundDoors, SoundScreen
from trainer.screens.sound_ways import Row, SoundWays
from trainer.sounds.mix import Mix
from trainer.theory.tuning import TUNINGS

from .desk import Page

OUTPUTS = ("", "Hut card", "Cave card with a long name, all channels", "the system's mixer")
MS = 1_000_000


class Cards:
    """Keeps what the room asked for."""

    def __init__(self, exercise: str = "quarry-steps", mix: Mix | None = None) -> None:
        self.asked: list[object] = []
        self.began_ns: int | None = None
        self.taps: OffsetTaps | None = None
        self.screen = SoundScreen(
            SoundWays(load_exercise(exercise), mix or Mix(), OUTPUTS),
            SoundDoors(
                keep_mix=self.asked.append,
                choose_output=self._choose,
                keep_offset=self.asked.append,
                hear=self.asked.append,
                click=self._click,
                began_ns=lambda: self.began_ns,
                taps=self._listen,
                hush=lambda: self.asked.append("silence"),
                leave=lambda: Page("list"),
                status=lambda: "Sound on Hut card, 12 ms",
            ),
        )

    def _choose(self, name: str) -> float:
        self.asked.append(name)
        return 40.0 if name == "Hut card" else 0.0

    def _click(self) -> int:
        self.asked.append("click")
        self.began_ns = 1_000 * MS
        return self.began_ns

    def _listen(self, first_beat_ns: int) -> OffsetTaps:
        self.taps = OffsetTaps(PickupProfile(), TUNINGS["standard"], first_beat_ns)
        return self.taps

    def do(self, *commands: Command) -> Screen | None:
        """Press keys; the last answer."""
        answer: Screen | None = self.screen
        for command in commands:
            answer = self.screen.handle(command)
        return answer

    def go_to(self, row: Row) -> None:
        """Choose a row."""
        while self.screen.row is not row:
            self.do(Command.DOWN if ROWS.index(row) > ROWS.index(self.screen.row) else Command.UP)

    def play(self, notes: int, late_ms: float) -> None:
        """Notes to the click, so late, after those that are not counted."""
        assert self.taps is not None
        for beat in range(NOT_COUNTED + notes):
            self.taps.tap(1_000 * MS + beat * BEAT_NS + round(late_ms * MS))
        self.screen.update((), 1_000 * MS + (NOT_COUNTED + notes) * BEAT_NS)


def settings() -> SoundScreen:
    """The room as it is entered."""
    return Cards().screen


def finding_the_offset() -> SoundScreen:
    """On the row of the offset, in the middle of the taps."""
    cards = Cards("seven-springs")
    cards.go_to(Row.OFFSET)
    cards.do(Command.CHOOSE)
    cards.play(12, 34.0)
    cards.taps = None
    return cards.screen
