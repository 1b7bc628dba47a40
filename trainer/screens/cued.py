"""What a cue played on the guitar asks for, screen by screen; a screen that is not named here hears none."""

from collections.abc import Mapping

from trainer.following.cues import Cue
from trainer.screens.contest import ContestScreen
from trainer.screens.day_plan import DayPlanScreen
from trainer.screens.home import HomeScreen
from trainer.screens.practice import PracticeScreen
from trainer.screens.result import ResultScreen
from trainer.screens.screen import Command, Screen
from trainer.screens.tempo_run import TempoRunScreen
from trainer.screens.tempo_ways import TempoWaysScreen

_PASS_BY_PASS = {Cue.AGAIN: Command.PAUSE, Cue.NEXT: Command.PAUSE, Cue.STOP: Command.BACK}
_CUED: Mapping[type, Mapping[Cue, Command]] = {
    PracticeScreen: {
        Cue.AGAIN: Command.RESTART,
        Cue.SLOWER: Command.SLOWER,
        Cue.FASTER: Command.FASTER,
        Cue.NEXT: Command.BACK,
        Cue.STOP: Command.BACK,
    },
    ResultScreen: {
        Cue.AGAIN: Command.RESTART,
        Cue.SLOWER: Command.SLOWER,
        Cue.FASTER: Command.FASTER,
        Cue.NEXT: Command.NEXT,
        Cue.STOP: Command.BACK,
    },
    # The list is not left by a cue: that would end the program.
    HomeScreen: {Cue.AGAIN: Command.CHOOSE, Cue.NEXT: Command.DOWN},
    DayPlanScreen: {Cue.AGAIN: Command.CHOOSE, Cue.NEXT: Command.DOWN, Cue.STOP: Command.BACK},
    TempoRunScreen: _PASS_BY_PASS,
    TempoWaysScreen: _PASS_BY_PASS,
    ContestScreen: _PASS_BY_PASS,
}


def command_of(cue: Cue, screen: Screen) -> Command | None:
    """What a cue asks for there."""
    return _CUED.get(type(screen), {}).get(cue)
