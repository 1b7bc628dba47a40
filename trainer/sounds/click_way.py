"""How the click is beaten: which beats sound, what lies between them, and whether the bar's first one stands out."""

from dataclasses import dataclass
from enum import StrEnum

MOST_SUBDIVISIONS = 6


class Thinning(StrEnum):
    """Which beats sound after the count-in, which always has all of them; `value` is what a player calls it."""

    EVERY_BEAT = "every beat"
    ONE = "only on 1"
    TWO_AND_FOUR = "only on 2 and 4"
    OTHER_BAR = "every other bar"

    def keeps(self, bar: int, beat: int) -> bool:
        """Whether a beat of a bar sounds; both are counted from 0, the first bar sounds."""
        match self:
            case Thinning.EVERY_BEAT:
                return True
            case Thinning.ONE:
                return beat == 0
            case Thinning.TWO_AND_FOUR:
                return beat % 2 == 1
            case Thinning.OTHER_BAR:
                return bar % 2 == 0


@dataclass(frozen=True, slots=True)
class ClickWay:
    """The settings of the click."""

    subdivision: int = 1
    """Strokes that share a beat; where only some beats of a bar sound there are none between them."""
    accents: bool = True
    """Whether the first beat of a bar stands out."""
    thinning: Thinning = Thinning.EVERY_BEAT

    def __post_init__(self) -> None:
        if not 1 <= self.subdivision <= MOST_SUBDIVISIONS:
            raise ValueError(f"subdivision {self.subdivision}: expected 1 to {MOST_SUBDIVISIONS} strokes a beat")

    @property
    def strokes_a_beat(self) -> int:
        """How many strokes a beat that sounds has."""
        is_whole = self.thinning in {Thinning.EVERY_BEAT, Thinning.OTHER_BAR}
        return self.subdivision if is_whole else 1
