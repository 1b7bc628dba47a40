"""The pictures of progress: what each shows, as values, and the sentence that says it.

Where there is too little, a picture says so and how much more is needed, and nothing is drawn.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from trainer.coaching.telling import Hearing
from trainer.coaching.transitions import LEAST_PASSES
from trainer.following.verdict import Pace
from trainer.progress.facts import Facts, LinePlayed
from trainer.progress.look import MOST_FAMILIES
from trainer.progress.measures import (
    LEAST_AT_PLACE,
    LEAST_NOTES,
    Spot,
    TempoPoint,
    Timing,
    Week,
    by_place_in_beat,
    by_string,
    passes_to_working_tempo,
    spots,
    tempo_points,
    then_and_now,
    weeks,
)
from trainer.progress.transitions import WeakPlace, weak_places
from trainer.score.exercise import Exercise
from trainer.theory.naming import counted

COMPARED_PASSES = 20
MOST_ROWS = 6
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class TempoLine:
    """How fast one line was."""

    title: str
    family: int
    """Ordinal of its family, which it shares with its twins."""
    is_legato: bool
    points: tuple[TempoPoint, ...]


@dataclass(frozen=True, slots=True)
class TempoPicture:
    """Tempi over the weeks."""

    lines: tuple[TempoLine, ...]


@dataclass(frozen=True, slots=True)
class TimingPicture:
    """Histograms of the deviations."""

    strings: tuple[Timing, ...]
    places: tuple[Timing, ...]


@dataclass(frozen=True, slots=True)
class NeckPicture:
    """What was off, by place of the neck."""

    spots: tuple[Spot, ...]
    last_fret: int
    courses: int


@dataclass(frozen=True, slots=True)
class TransitionRow:
    """One transition then and now: late by, and spread, ms."""

    name: str
    then: tuple[float, float] | None
    now: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class TransitionsPicture:
    """Weak transitions then and now."""

    rows: tuple[TransitionRow, ...]


@dataclass(frozen=True, slots=True)
class PracticePicture:
    """Minutes and breaks by week."""

    weeks: tuple[Week, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture with its sentence."""

    name: str
    title: str
    sentence: str
    shown: TempoPicture | TimingPicture | NeckPicture | TransitionsPicture | PracticePicture | None
    """None: not enough yet."""


def pictures_of(facts: Facts) -> tuple[Picture, ...]:
    """All pictures, in the order in which they are shown."""
    return (
        tempo_picture(facts),
        timing_picture(facts),
        neck_picture(facts),
        weak_picture(facts),
        practice_picture(facts),
    )


def tempo_picture(facts: Facts) -> Picture:
    """Working tempo, or the fastest clean pass, over the weeks."""
    title = "Tempo over the weeks"
    families: dict[str, int] = {}
    lines = []
    for line in facts.lines:
        points = tempo_points(line)
        family = line.exercise.family or line.exercise.name
        if points and (family in families or len(families) < MOST_FAMILIES):
            number = families.setdefault(family, len(families))
            lines.append(TempoLine(line.exercise.title, number, line.is_legato, points))
    if not lines:
        return Picture("tempo", title, "Not enough yet: a clean whole pass with the click is needed, 1 more.", None)
    moved = " ".join(_moved(line) for line in lines[:3])
    if any(point.is_working for line in lines for point in line.points):
        key = "Large marks with a bar: working tempo of the day and where it lies four times in five; small marks: the "
        key += "fastest clean pass."
    else:
        more = min(passes_to_working_tempo(line) for line in facts.lines)
        need = (
            f"{counted(more, 'more whole pass', 'more whole passes')} of one line on one day"
            if more
            else ("clean and unclean passes on one day")
        )
        key = f"Marks: the fastest clean pass of a day. Not enough yet for a working tempo with its spread: {need}."
    return Picture("tempo", title, f"{moved} {key} Dashed and hollow: legato.", TempoPicture(tuple(lines)))


def timing_picture(facts: Facts) -> Picture:
    """Deviations from the click by string and by place in the beat."""
    title = "Early and late, against the click"
    places, strings = _enough(by_place_in_beat(facts)), _enough(by_string(facts))
    if not places:
        had = max((len(timing.deviations_ms) for timing in by_place_in_beat(facts)), default=0)
        return Picture(
            "timing", title, f"Not enough yet: {LEAST_NOTES - had} more notes with the click are needed.", None
        )
    off = max(places, key=lambda timing: abs(timing.mean_ms))
    sentence = f"Furthest from the click on average: {off.name}, {_side(off.mean_ms)}; spread {off.spread_ms:.0f} ms."
    if len(strings) > 1:
        first, last = (pick(strings, key=lambda timing: timing.mean_ms) for pick in (min, max))
        sentence += f" From {first.name}, {_side(first.mean_ms)}, to {last.name}, {_side(last.mean_ms)}."
    else:
        sentence += f" {_withheld(facts)}"
    return Picture("timing", title, sentence, TimingPicture(strings, places))


def neck_picture(facts: Facts) -> Picture:
    """Where on the neck notes are off."""
    title = "Off, by place of the neck: per cent of tries"
    found, with_timing = spots(facts)
    told = [spot for spot in found if spot.tries >= LEAST_AT_PLACE]
    if not told:
        if facts.lines and not found:
            return Picture("neck", title, "Withheld: the pickup does not tell which string was played.", None)
        more = LEAST_AT_PLACE - max((spot.tries for spot in found), default=0)
        return Picture(
            "neck", title, f"Not enough yet: {counted(more, 'more try', 'more tries')} of one place are needed.", None
        )
    worst = max(told, key=lambda spot: (spot.share, spot.tries))
    what = "missed, wrong or out of time" if with_timing else "missed or wrong (timing is left out: no calibration)"
    sentence = f"Off means {what}. "
    if worst.off:
        sentence += (
            f"Most often off: string {worst.course} fret {worst.fret}, {worst.off} of {worst.tries} tries. Hatched: "
            f"fewer than {LEAST_AT_PLACE} tries."
        )
    else:
        sentence += f"Nothing was off in {sum(spot.tries for spot in told)} tries."
    last_fret = max(spot.fret for spot in found) + 1
    courses = max(line.exercise.tuning.courses[-1] for line in facts.lines)
    return Picture("neck", title, sentence, NeckPicture(found, last_fret, courses))


def weak_picture(facts: Facts) -> Picture:
    """The transitions that stood out, in the first passes and in the last ones, of the line played most."""
    title = "Weak transitions, then and now"
    line = facts.lines[0] if facts.lines else None
    timed = 0 if line is None else sum(one.pace is Pace.CLICK for one in line.passes)
    if line is None or timed < 2 * LEAST_PASSES:
        more = counted(2 * LEAST_PASSES - timed, "more pass", "more passes")
        return Picture("transitions", title, f"Not enough yet: {more} of one line with the click are needed.", None)
    first, last = then_and_now(line.passes, COMPARED_PASSES)
    hearing = _hearing(line)
    then, now = (weak_places(line.exercise, passes, hearing) for passes in (first, last))
    weak = [place for found in (then, now) for place in found.places if place.is_weak]
    title = f"{title}: {line.exercise.title}"
    passes = f"The first {then.passes} passes against the last {now.passes}"
    if not weak:
        return Picture("transitions", title, f"{passes}: no transition stood out from the others.", None)
    order = list(dict.fromkeys(place.to_index for place in weak))[:MOST_ROWS]
    thens, nows = ({place.to_index: place for place in found.places} for found in (then, now))
    rows = tuple(
        TransitionRow(_row_name(thens[index]), _figures(thens[index]), _figures(nows[index])) for index in order
    )
    foremost, later = thens[order[0]], nows[order[0]]
    sentence = f"{passes}. {_change(foremost, later)}{_caveat(line.exercise, order[0], hearing)}"
    return Picture("transitions", title, sentence, TransitionsPicture(rows))


def practice_picture(facts: Facts) -> Picture:
    """Minutes practised and breaks taken."""
    title = "Minutes practised, breaks taken"
    found = weeks(facts)
    minutes, breaks = sum(week.minutes for week in found), sum(week.breaks for week in found)
    if not minutes:
        return Picture("practice", title, "Nothing was played in these weeks.", None)
    longest = max(week.longest_minutes for week in found)
    sentence = (
        f"{minutes:.0f} minutes of takes in {counted(len(found), 'week', 'weeks')}, with "
        f"{counted(breaks, 'break', 'breaks')} of five minutes or more between them. The longest sitting lasted "
        f"{longest:.0f} minutes; five minutes of rest in every twenty-five is common advice."
    )
    return Picture("practice", title, sentence, PracticePicture(found))


def day_words(day: date) -> str:
    """A day as it stands below a picture."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def _moved(line: TempoLine) -> str:
    first, last = line.points[0], line.points[-1]
    if len(line.points) == 1:
        return f"{line.title}: {_tempo_words(first)} on {day_words(first.day)}."
    return (
        f"{line.title}: {_tempo_words(first)} on {day_words(first.day)}, {_tempo_words(last)} on {day_words(last.day)}."
    )


def _tempo_words(point: TempoPoint) -> str:
    if point.low_qpm is None or point.high_qpm is None:
        return f"♩ = {point.qpm:.0f}"
    return f"♩ = {point.qpm:.0f} ({point.low_qpm:.0f} to {point.high_qpm:.0f})"


def _enough(timings: Iterable[Timing]) -> tuple[Timing, ...]:
    """Those with notes enough; of many the ones with the most."""
    told = [timing for timing in timings if len(timing.deviations_ms) >= LEAST_NOTES]
    most = sorted(told, key=lambda timing: -len(timing.deviations_ms))[:8]
    return tuple(timing for timing in told if timing in most)


def _side(mean_ms: float) -> str:
    return f"{abs(mean_ms):.0f} ms {'late' if mean_ms >= 0 else 'early'}"


def _withheld(facts: Facts) -> str:
    ears = [line.ears[one.take_id] for line in facts.lines for one in line.passes]
    if not any(each.knows_strings for each in ears):
        return "Nothing is said of strings: the pickup does not tell them."
    if not any(each.knows_strings and each.is_calibrated for each in ears):
        return "Strings are not compared: the pickup's latency was not measured (boxwalk set-up)."
    return f"Strings are not compared yet: {LEAST_NOTES} notes on each of two strings are needed."


def _hearing(line: LinePlayed) -> Hearing:
    """What the pickups of all takes of a line could tell."""
    ears = [line.ears[one.take_id] for one in line.passes]
    return Hearing(
        knows_strings=all(each.knows_strings for each in ears), knows_delays=all(each.is_calibrated for each in ears)
    )


def _caveat(exercise: Exercise, to_index: int, hearing: Hearing) -> str:
    """That a change of string may seem late by the pickup, where its delays are not known."""
    crosses = exercise.notes[to_index - 1].course != exercise.notes[to_index].course
    if not crosses or not hearing.knows_strings or hearing.knows_delays:
        return ""
    return " It changes string, and the delay of each string was not measured: part of it may be the pickup's."


def _row_name(place: WeakPlace) -> str:
    return f"notes {place.from_index} to {place.to_index}"


def _figures(place: WeakPlace) -> tuple[float, float] | None:
    return None if place.late_ms is None else (place.late_ms, place.spread_ms or 0.0)


def _change(then: WeakPlace, now: WeakPlace) -> str:
    def words(place: WeakPlace) -> str:
        timing = (
            "not heard in order" if place.late_ms is None else f"{_side(place.late_ms)} ± {place.spread_ms or 0:.0f}"
        )
        return f"{timing}, failed {place.failures} of {place.attempts}"

    state = ("still" if then.is_weak else "now") + " stands out" if now.is_weak else "no longer stands out"
    name = f"Notes {then.from_index} to {then.to_index} ({then.name})"
    return f"{name}: {words(then)}; now {words(now)}, and it {state}."
