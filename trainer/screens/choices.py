"""How the next sitting is to be played: its settings, their limits, and one step of each."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.following.verdict import Pace

TEMPO_STEP = Fraction(4)
"""Quarters a minute; a common step of practice ladders."""
SLOWEST, FASTEST = Fraction(20), Fraction(400)
MOST_PASSES = 32
SETTINGS = ("input", "pace", "passes", "tempo", "sound")

_HEARD = {
    (False, False): "click",
    (True, False): "click and line",
    (False, True): "click and backing",
    (True, True): "click, backing, line",
}
"""(the line, the backing) -> what that is called; in the order in which they are chosen."""


@dataclass(frozen=True, slots=True)
class InputChoice:
    """Something to play on."""

    name: str
    """How the program calls it, e.g. the name of a port."""
    words: str
    """How the screen calls it."""
    is_pickup: bool = True
    """Whether it needs a player."""


@dataclass(frozen=True, slots=True)
class Choices:
    """The settings of the next sitting; `quarters_per_minute` None is each line's own tempo."""

    input_name: str = ""
    pace: Pace = Pace.CLICK
    passes: int = 4
    quarters_per_minute: Fraction | None = None
    hear_line: bool = False
    with_backing: bool = False

    @property
    def sound_words(self) -> str:
        """What is heard, in words."""
        return _HEARD[self.hear_line, self.with_backing]


def playable_tempo(quarters_per_minute: Fraction) -> Fraction:
    """The tempo, or the limit that it lies beyond."""
    return max(SLOWEST, min(FASTEST, quarters_per_minute))


def stepped(
    choices: Choices, setting: str, step: int, *, inputs: Sequence[InputChoice], place: int, tempo: Fraction | None
) -> Choices:
    """One setting a step further; `place` is that of the present input, `tempo` the one in use, None without a line."""
    match setting:
        case "input":
            return replace(choices, input_name=inputs[(place + step) % len(inputs)].name)
        case "pace":
            return replace(choices, pace=Pace.FREE if choices.pace is Pace.CLICK else Pace.CLICK)
        case "passes":
            return replace(choices, passes=max(1, min(MOST_PASSES, choices.passes + step)))
        case "tempo" if tempo is not None:
            return replace(choices, quarters_per_minute=playable_tempo(tempo + step * TEMPO_STEP))
        case "sound":
            ways = list(_HEARD)
            heard = ways[(ways.index((choices.hear_line, choices.with_backing)) + step) % len(ways)]
            return replace(choices, hear_line=heard[0], with_backing=heard[1])
        case _:
            return choices
