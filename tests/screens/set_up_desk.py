"""A set-up rehearsed on a scripted clock, with a simulated player who does what the screen asks."""

from collections.abc import Callable

from tests.screens.desk import Page
from tests.set_up_player import TRICKY, SetUpPlayer
from trainer.devices.converter_style import STYLES, ConverterStyle
from trainer.playing.calibration.guide import Guide, StepName
from trainer.playing.calibration.latency import BAR_NS, COUNT_IN_BARS
from trainer.playing.profile import PickupProfile
from trainer.screens.screen import Command, Screen
from trainer.screens.set_up import SetUpScreen
from trainer.theory.tuning import TUNINGS, Tuning

MS = 1_000_000
TICK_NS = 10 * MS


class SetUpDesk:
    """One set-up screen, its clock, its player and its click."""

    def __init__(
        self, style: ConverterStyle = TRICKY, *, has_sound: bool = True, seed: int = 1, plays: bool = True
    ) -> None:
        self.now_ns = 0
        self.kept: list[PickupProfile] = []
        self.bars: list[int] = []
        self._style = style
        self._has_sound = has_sound
        self._seed = seed
        self._plays = plays
        self._player: SetUpPlayer | None = None
        self.guide = Guide(TUNINGS["standard"])
        self.screen = SetUpScreen(
            "Hut pickup",
            tuple(TUNINGS.values()),
            begin=self._begin,
            start_click=self._start_click,
            stop_click=lambda: None,
            sound_status=lambda: "Sound on the hut's card, 12 ms" if has_sound else "No sound: no card was found",
            keep=self._keep,
            leave_to=lambda notice: Page(f"list: {notice}"),
        )

    def until(self, holds: Callable[[Guide], bool], seconds: float = 200.0) -> SetUpScreen:
        """Let time pass until something holds of the guide."""
        end_ns = self.now_ns + round(seconds * 1e9)
        while not holds(self.guide):
            assert self.now_ns < end_ns, f"the set-up stands still at: {self.guide.prompt} {self.guide.remark}"
            self.let_pass(TICK_NS / 1e9)
        return self.screen

    def let_pass(self, seconds: float) -> None:
        end_ns = self.now_ns + round(seconds * 1e9)
        while self.now_ns < end_ns:
            self.now_ns += TICK_NS
            messages = self._player.poll(self.now_ns) if self._player is not None and self._plays else ()
            assert self.screen.update(messages, self.now_ns) is self.screen

    def press(self, command: Command) -> Screen | None:
        return self.screen.handle(command)

    def _begin(self, tuning: Tuning) -> Guide:
        self.guide = Guide(tuning)
        self._player = SetUpPlayer(self.guide, self._style, seed=self._seed, timing_sd_ns=6 * MS)
        return self.guide

    def _start_click(self, bars: int) -> int | None:
        if not self._has_sound:
            return None
        self.bars.append(bars)
        return self.now_ns + COUNT_IN_BARS * BAR_NS

    def _keep(self, guide: Guide) -> str:
        self.kept.append(guide.profile)
        return "Hut pickup is set up."


def is_at(step: StepName) -> Callable[[Guide], bool]:
    return lambda guide: guide.name is step


def begun() -> SetUpDesk:
    desk = SetUpDesk(plays=False)
    desk.let_pass(0.1)
    return desk


def in_strings() -> SetUpDesk:
    desk = SetUpDesk()
    desk.until(lambda guide: "String 3" in guide.remark)
    return desk


def in_bend() -> SetUpDesk:
    desk = SetUpDesk()
    desk.until(is_at(StepName.BEND))
    desk.let_pass(1.2)
    return desk


def before_click() -> SetUpDesk:
    desk = SetUpDesk()
    desk.until(is_at(StepName.LATENCY))
    return desk


def in_latency() -> SetUpDesk:
    desk = before_click()
    desk.press(Command.CHOOSE)
    desk.let_pass(31)
    return desk


def without_sound() -> SetUpDesk:
    desk = SetUpDesk(has_sound=False)
    desk.until(is_at(StepName.LATENCY))
    desk.press(Command.CHOOSE)
    return desk


def finished() -> SetUpDesk:
    desk = in_latency()
    desk.until(lambda guide: guide.is_finished)
    return desk


def one_channel() -> SetUpDesk:
    desk = SetUpDesk(STYLES["keyboard"])
    desk.until(is_at(StepName.BEND))
    return desk


def eight_strings() -> SetUpDesk:
    desk = SetUpDesk(STYLES["bend"])
    while desk.guide.tuning.name != "eight-string":
        desk.press(Command.RIGHT)
    desk.until(is_at(StepName.LATENCY))
    desk.press(Command.CHOOSE)
    desk.let_pass(40)
    return desk


MOMENTS: dict[str, Callable[[], SetUpDesk]] = {
    "set-up": begun,
    "set-up-strings": in_strings,
    "set-up-bend": in_bend,
    "set-up-before-click": before_click,
    "set-up-latency": in_latency,
    "set-up-without-sound": without_sound,
    "set-up-finished": finished,
    "set-up-one-channel": one_channel,
    "set-up-eight-strings": eight_strings,
}
