"""The weakest transition of a line over a pupil's passes, or why there is none to name.

A weakness is only named where `coaching.transitions` finds one that chance does not explain; with few passes it says
how many are wanting.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.coaching.transitions import LEAST_PASSES, Weakness, weigh
from trainer.homework.measuring import RECENT_PASSES, MeasuredTake
from trainer.score.exercise import Exercise
from trainer.theory.naming import counted


@dataclass(frozen=True, slots=True)
class Weakest:
    """What is said of the transitions."""

    words: str
    from_index: int | None = None
    """None: no transition is named."""
    to_index: int | None = None
    late_ms: float | None = None
    spread_ms: float | None = None


def weakest_of(line: Exercise, takes: Sequence[MeasuredTake]) -> Weakest:
    """The weakest transition over the last passes of `takes`, the oldest first."""
    passes = [one for take in takes for one in take.passes][-RECENT_PASSES:]
    if len(passes) < LEAST_PASSES:
        return Weakest(f"not enough yet: {counted(LEAST_PASSES - len(passes), 'more pass')}")
    weak = weigh(passes).weak
    if not weak:
        return Weakest("none stands out")
    worst = weak[0]
    before, after = line.notes[worst.from_index], line.notes[worst.to_index]
    where = f"string {before.course} fret {before.fret} to string {after.course} fret {after.fret}"
    match worst.kind:
        case Weakness.LATE:
            how = f"{worst.late_ms or 0:.0f} ms late"
        case Weakness.UNSTEADY:
            how = f"unsteady by {worst.spread_ms or 0:.0f} ms"
        case Weakness.FAILING:
            how = f"failed {worst.misses} of {worst.attempts} times"
    return Weakest(f"{where}: {how}", worst.from_index, worst.to_index, worst.late_ms, worst.spread_ms)
