"""A live capture on a clock that the test turns."""

from fractions import Fraction

from trainer.capturing import CapturePlan, capture_phrase
from trainer.devices.sound import SilentSound, Sound
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.theory.tuning import TUNINGS

MS = 1_000_000
STANDARD = TUNINGS["standard"]


class Port:
    """Gives prepared messages when their time comes."""

    def __init__(self, *notes: tuple[int, int, int]) -> None:
        """Notes are (ms from the opening of the port, string, fret)."""
        self.sound: Sound = SilentSound("a test")
        self.profile = PickupProfile()
        self.now_ns = 5_000 * MS
        self.interrupts_at_ns: int | None = None
        self._opened_ns = self.now_ns
        self._messages = [
            message
            for at_ms, course, fret in notes
            for message in (
                self._at(at_ms, 0x90, course, fret, 90),
                self._at(at_ms + 100, 0x80, course, fret, 0),
            )
        ]
        self._messages.sort(key=lambda message: message.stamp_ns)

    def _at(self, at_ms: int, status: int, course: int, fret: int, velocity: int) -> StampedMessage:
        pitch = STANDARD.open_pitches[course - 1] + fret
        return StampedMessage(self._opened_ns + at_ms * MS, bytes([status | course - 1, pitch, velocity]))

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        arrived = tuple(message for message in self._messages if message.stamp_ns <= now_ns)
        self._messages = self._messages[len(arrived) :]
        return arrived

    def announced(self) -> tuple[StampedMessage, ...]:
        return ()

    def clock(self) -> int:
        return self.now_ns

    def rest(self, seconds: float) -> None:
        self.now_ns += round(seconds * 1e9)
        if self.interrupts_at_ns is not None and self.now_ns >= self._opened_ns + self.interrupts_at_ns:
            raise KeyboardInterrupt


def heard(port: Port, plan: CapturePlan) -> list[tuple[int, int | None, int]]:
    """(ms, string, pitch) of what is captured."""
    notes = capture_phrase(port, plan, lambda _: None, now_ns=port.clock, rest=port.rest)
    return [(round(note.onset_ns / MS), note.course, note.pitch) for note in notes]


FREE = CapturePlan(STANDARD, Meter())


def test_a_phrase_ends_when_silence_follows_its_last_note() -> None:
    port = Port((500, 1, 5), (1000, 2, 8), (9000, 1, 7))

    assert heard(port, FREE) == [(500, 1, 69), (1000, 2, 67)]


def test_the_player_may_wait_before_the_first_note() -> None:
    assert heard(Port((30_000, 1, 5)), FREE) == [(30_000, 1, 69)]


def test_the_time_that_was_given_ends_a_phrase() -> None:
    port = Port(*[(500 * at, 1, 5) for at in range(1, 100)])

    assert len(heard(port, CapturePlan(STANDARD, Meter(), longest_ns=2_200 * MS))) == 4


def test_with_a_click_silence_counts_from_the_first_beat() -> None:
    plan = CapturePlan(STANDARD, Meter(), click=Tempo(Fraction(60)), count_in_bars=1)

    # A string touched during the count-in of four seconds does not end the phrase before it began.
    assert heard(Port((200, 1, 0), (4500, 1, 5)), plan) == [(200, 1, 64), (4500, 1, 69)]
    assert plan.starts_at_ns == 4_000 * MS


def test_an_interrupted_phrase_is_kept() -> None:
    port = Port((500, 1, 5), (1000, 2, 8))
    port.interrupts_at_ns = 800 * MS

    assert heard(port, FREE) == [(500, 1, 69)]


def test_what_was_played_before_does_not_belong_to_the_phrase() -> None:
    assert heard(Port((-300, 1, 5), (500, 1, 7)), FREE) == [(500, 1, 71)]
