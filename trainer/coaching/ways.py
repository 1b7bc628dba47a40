"""The ways to ask for tempi, each with its settings: what the screen and the command both choose from.

A value holds the settings of all ways, so that going to another way and back loses none.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Self

from trainer.coaching.asking import FASTEST_QPM, SLOWEST_QPM, Procedure, checked_start
from trainer.coaching.ladder import Bursts, Ladder, Leaps, Mixture, Rungs, Shuffled
from trainer.coaching.working_tempo import MOST_PASSES, WorkingTempo
from trainer.theory.naming import counted

START_STEP_QPM = 4.0


class Way(StrEnum):
    """How tempi are asked for."""

    WORKING = "working"
    LADDER = "ladder"
    BURSTS = "bursts"
    SHUFFLED = "shuffled"


WAY_WORDS: Mapping[Way, str] = {
    Way.WORKING: "adaptive run: finds today's working tempo",
    Way.LADDER: "ladder: clean passes in a row go up a step",
    Way.BURSTS: "bursts: one fast pass after some easy ones",
    Way.SHUFFLED: "shuffled: hidden tempi in any order",
}
_SENTENCES: Mapping[Way, str] = {
    Way.WORKING: "Each pass comes at the tempo that tells most; after {passes} passes stand the tempo that is clean "
    "four times of five, and its interval.",
    Way.LADDER: "A common way to raise a tempo. It measures nothing: without a step down it climbs until a pass fails, "
    "and stays there.",
    Way.BURSTS: "The easy tempo rises when a burst was clean. Stop at the first sign of strain.",
    Way.SHUFFLED: "No tempo is told before it is played; how many were clean at each stands at the end.",
}


@dataclass(frozen=True, slots=True)
class Setting:
    """One thing to choose."""

    name: str
    """What it is called, unique."""
    says: str
    """Its value in words."""


@dataclass(frozen=True, slots=True)
class Asking:
    """A way, where it begins, and the settings of all of them; `ValueError` for a start that cannot be asked."""

    start_qpm: float
    way: Way = Way.WORKING
    rungs: Rungs = field(default_factory=Rungs)
    leaps: Leaps = field(default_factory=Leaps)
    mixture: Mixture = field(default_factory=Mixture)

    def __post_init__(self) -> None:
        checked_start(self.start_qpm)

    def procedure(self) -> Procedure:
        """The way, before its first pass."""
        match self.way:
            case Way.WORKING:
                return WorkingTempo(self.start_qpm)
            case Way.LADDER:
                return Ladder(self.start_qpm, self.rungs)
            case Way.BURSTS:
                return Bursts(self.start_qpm, self.leaps)
            case Way.SHUFFLED:
                return Shuffled(self.start_qpm, self.mixture)

    def sentence(self) -> str:
        """What this way does, and what it does not."""
        return _SENTENCES[self.way].format(passes=MOST_PASSES)

    def settings(self) -> tuple[Setting, ...]:
        """What can be chosen now: the way first, the start second, then what the way has."""
        first = (Setting("way", WAY_WORDS[self.way]), Setting("first tempo", f"♩ = {self.start_qpm:g}"))
        return (*first, *self._own_settings())

    def stepped(self, name: str, step: int) -> Self:
        """One setting a step further; it stays where its limit is reached."""
        try:
            match name:
                case "way":
                    ways = tuple(Way)
                    return replace(self, way=ways[(ways.index(self.way) + step) % len(ways)])
                case "first tempo":
                    wanted = self.start_qpm + step * START_STEP_QPM
                    return replace(self, start_qpm=min(FASTEST_QPM, max(SLOWEST_QPM, wanted)))
                case _:
                    return self._own_stepped(name, step)
        except ValueError:  # the settings know their own limits
            return self

    def _own_settings(self) -> tuple[Setting, ...]:
        rungs, leaps, mixture = self.rungs, self.leaps, self.mixture
        unit = " %" if rungs.in_percent else ""
        match self.way:
            case Way.WORKING:
                return ()
            case Way.LADDER:
                down = (Setting("down after", f"{counted(rungs.spoiled_in_row, 'pass')} not clean"),)
                return (
                    Setting("up after", f"{counted(rungs.in_row, 'clean pass')} in a row"),
                    Setting("step up", f"{rungs.up:g}{unit}"),
                    Setting("step down", f"{rungs.down:g}{unit}" if rungs.down else "none"),
                    *(down if rungs.down else ()),
                    Setting("steps in", "per cent" if rungs.in_percent else "quarters a minute"),
                )
            case Way.BURSTS:
                return (
                    Setting("before each burst", f"{counted(leaps.easy_passes, 'easy pass')}"),
                    Setting("burst over it by", f"{leaps.over_percent:g} %"),
                    Setting("after a clean burst", f"easy tempo {leaps.rise_percent:g} % up"),
                )
            case Way.SHUFFLED:
                return (
                    Setting("how many tempi", f"{mixture.tempi}"),
                    Setting("around it by", f"{mixture.around_percent:g} %"),
                    Setting("each of them", counted(mixture.times, "time")),
                )

    def _own_stepped(self, name: str, step: int) -> Self:
        rungs, leaps, mixture = self.rungs, self.leaps, self.mixture
        match name:
            case "up after":
                return replace(self, rungs=replace(rungs, in_row=rungs.in_row + step))
            case "step up":
                return replace(self, rungs=replace(rungs, up=rungs.up + step))
            case "step down":
                return replace(self, rungs=replace(rungs, down=rungs.down + step))
            case "down after":
                return replace(self, rungs=replace(rungs, spoiled_in_row=rungs.spoiled_in_row + step))
            case "steps in":
                return replace(self, rungs=replace(rungs, in_percent=not rungs.in_percent))
            case "before each burst":
                return replace(self, leaps=replace(leaps, easy_passes=leaps.easy_passes + step))
            case "burst over it by":
                return replace(self, leaps=replace(leaps, over_percent=leaps.over_percent + 5 * step))
            case "after a clean burst":
                return replace(self, leaps=replace(leaps, rise_percent=leaps.rise_percent + step))
            case "how many tempi":
                return replace(self, mixture=replace(mixture, tempi=mixture.tempi + step))
            case "around it by":
                return replace(self, mixture=replace(mixture, around_percent=mixture.around_percent + 5 * step))
            case "each of them":
                return replace(self, mixture=replace(mixture, times=mixture.times + step))
            case _:
                return self
