"""What the coach says, in sentences with figures, and what it leaves unsaid.

Notes are named by their index, from 0, as `boxwalk judge` does. Nothing is said of strings where they are unknown;
where the delays of the strings have not been measured, strings are not compared, and of a transition from one string to
another it is said that part of its lateness may be the pickup's.
"""

from dataclasses import dataclass
from fractions import Fraction

from trainer.coaching.traits import SharedWeakness
from trainer.coaching.transitions import Transition, Weakness, Weighing
from trainer.score.exercise import Exercise
from trainer.theory.naming import counted, listed
from trainer.theory.pitch import pitch_name

_UNKNOWN_DELAY = "and the delay of each string is not known: part of it may be the pickup's."


@dataclass(frozen=True, slots=True)
class Hearing:
    """What is known of the pickup."""

    knows_strings: bool = True
    knows_delays: bool = False
    """How late each string arrives was measured, or the set-up says so."""

    @property
    def compares_strings(self) -> bool:
        """Whether one string may be held against another."""
        return self.knows_strings and self.knows_delays


def verdict_sentence(exercise: Exercise, weighing: Weighing, hearing: Hearing, *, is_shared: bool = False) -> str:
    """What to work on and why; or that it is too early to say, or that there is nothing.

    `is_shared`: sentences on what weak transitions share follow.
    """
    if not weighing.is_enough:
        return not_enough(weighing)
    if not weighing.weak:
        usual = weighing.usual_spread_ms
        figure = "" if usual is None else f" (usual spread {usual:.0f} ms)"
        said = "No single transition stands out, but some do together" if is_shared else "Nothing stands out"
        return (
            f"{said}: over the last {weighing.passes} passes none is late, unsteady or missed by itself beyond what "
            f"chance brings{figure}."
        )
    return " ".join(weakness_sentence(exercise, each, weighing, hearing) for each in weighing.weak)


def not_enough(weighing: Weighing) -> str:
    """How many more passes it takes."""
    more = weighing.more_needed
    return (
        f"Not enough yet: {counted(weighing.passes, 'pass', 'passes')} heard, {more} more "
        f"{'is' if more == 1 else 'are'} needed before anything can be called weak."
    )


def weakness_sentence(exercise: Exercise, each: Transition, weighing: Weighing, hearing: Hearing) -> str:
    """One weak transition, as a teacher would say it."""
    places = f"From note {each.from_index} to {each.to_index} ({_places(exercise, each, hearing)})"
    match each.kind:
        case Weakness.LATE if each.late_ms is not None:
            said = f"{places} you come {each.late_ms:.0f} ms late{_interval(each)}{_share(each)}"
        case Weakness.UNSTEADY if each.spread_ms is not None and weighing.usual_spread_ms:
            said = (
                f"{places} you are unsteady: a spread of {each.spread_ms:.0f} ms, "
                f"{weighing.usual_spread_ms:.0f} ms on your other transitions"
            )
        case _:
            said = f"{places} the second note {_failed(each)}"
    also = f"; it {_failed(each)}" if _also_fails(each) else ""
    return f"{said}{also}, over the last {weighing.passes} passes.{_caveat(exercise, each, hearing)}"


def shared_sentence(weakness: SharedWeakness) -> str:
    """What weak transitions have in common."""
    words = listed([trait.words for trait in weakness.traits])
    count = len(weakness.to_indices)
    where = f"{count} in this line" if len(weakness.traits) == 1 else f"the same {count} in this line"
    match weakness.kind:
        case Weakness.LATE:
            others = f"{abs(weakness.others):.0f} ms {'late' if weakness.others > 0 else 'early'}"
            figures = f"come {weakness.theirs:.0f} ms late on average, your other transitions {others}"
        case Weakness.UNSTEADY:
            figures = f"are unsteady: a spread of {weakness.theirs:.0f} ms, {weakness.others:.0f} ms elsewhere"
        case Weakness.FAILING:
            figures = f"fail {weakness.theirs:.0%} of the time, your other transitions {weakness.others:.0%}"
    caveat = f" They change string, {_UNKNOWN_DELAY}" if weakness.may_be_pickup else ""
    return f"{words[0].upper()}{words[1:]} ({where}) {figures}.{caveat}"


def withheld(hearing: Hearing) -> str | None:
    """What is not said, and why; None when nothing is withheld."""
    if not hearing.knows_strings:
        return "The pickup does not tell which string sounds: nothing is said of strings."
    if not hearing.knows_delays:
        return (
            "How late each string arrives has not been measured: strings are not compared. "
            "`boxwalk set-up` measures it."
        )
    return None


def place_of(exercise: Exercise, index: int, hearing: Hearing) -> str:
    """Where a note is, as far as the pickup can tell: its string and fret, or its pitch."""
    note = exercise.notes[index]
    return f"string {note.course} fret {note.fret}" if hearing.knows_strings else pitch_name(note.pitch)


def _places(exercise: Exercise, each: Transition, hearing: Hearing) -> str:
    bar = exercise.notes[each.to_index].onset_quarters // exercise.meter.bar_quarters + Fraction(1)
    before, here = (place_of(exercise, index, hearing) for index in (each.from_index, each.to_index))
    return f"{before} to {here}, bar {bar}"


def _interval(each: Transition) -> str:
    if each.late_interval_ms is None:
        return ""
    low, high = each.late_interval_ms
    return f" (95 %: {low:.0f} to {high:.0f})"


def _share(each: Transition) -> str:
    if each.late_ms is None or each.written_ms <= 0:
        return ""
    return f", {each.late_ms / each.written_ms:.0%} of the interval"


def _failed(each: Transition) -> str:
    times = counted(each.attempts, "time", "times")
    return f"was missed, wrong or not begun as written {each.misses} of {times}"


def _also_fails(each: Transition) -> bool:
    return each.kind is not Weakness.FAILING and each.misses > 1


def _caveat(exercise: Exercise, each: Transition, hearing: Hearing) -> str:
    crosses = exercise.notes[each.from_index].course != exercise.notes[each.to_index].course
    if each.kind is not Weakness.LATE or not crosses or hearing.compares_strings or not hearing.knows_strings:
        return ""
    return f" It changes string, {_UNKNOWN_DELAY}"
