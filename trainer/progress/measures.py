"""Figures of the pictures, computed from the facts: pure, so that each can be tested against a player who is known.

A pass is clean as `trainer.coaching.clean` has it.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from statistics import fmean, stdev

from trainer.coaching.asking import Pass
from trainer.coaching.clean import PassCounts, spoiled_by, window_of
from trainer.coaching.working_tempo import LEAST_PASSES, estimate_by
from trainer.following.assessment import spread_ms
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Pace, Slip, TechniqueResult
from trainer.history.passes import PassPlayed
from trainer.progress.facts import Facts, LinePlayed, day_of
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo

NS_PER_MS = 1_000_000
MOST_ASKED = 40
"""Passes of one day that the working tempo looks at: the last ones."""
LEAST_NOTES = 20
"""Timed notes without which nothing is said of a string or a place in the beat. Our own choice."""
LEAST_AT_PLACE = 5
"""Tries at one place of the neck."""


@dataclass(frozen=True, slots=True)
class TempoPoint:
    """How fast a line was on one day."""

    day: date
    qpm: float
    low_qpm: float | None = None
    """The 80 % interval of a working tempo; None: the fastest clean pass, which has no spread."""
    high_qpm: float | None = None

    @property
    def is_working(self) -> bool:
        """Whether it is a working tempo, with its interval."""
        return self.low_qpm is not None


@dataclass(frozen=True, slots=True)
class Timing:
    """The deviations of one group of notes from the click, ms; late is positive."""

    name: str
    deviations_ms: tuple[float, ...]

    @property
    def mean_ms(self) -> float:
        """How late they come on average."""
        return fmean(self.deviations_ms)

    @property
    def spread_ms(self) -> float:
        """Their standard deviation."""
        return stdev(self.deviations_ms) if len(self.deviations_ms) > 1 else 0.0


@dataclass(frozen=True, slots=True)
class Spot:
    """One place of the neck."""

    course: int
    fret: int
    tries: int
    off: int
    """Missed or wrong; where timing can be compared between strings, out of time too."""

    @property
    def share(self) -> float:
        """How often it was off."""
        return self.off / self.tries


@dataclass(frozen=True, slots=True)
class Week:
    """Practice in one week."""

    monday: date
    minutes: float
    breaks: int
    longest_minutes: float
    """The longest sitting, from its first take to the end of its last."""


def is_clean(exercise: Exercise, one: PassPlayed) -> bool:
    """Whether a whole pass with the click was clean."""
    notes = tuple(one.notes.values())
    if len(notes) < len(exercise.notes):
        return False
    slips = Counter(note.slip for note in notes if not note.is_missed)
    deviations_ms = [
        note.deviation_ns / NS_PER_MS for note in notes if note.deviation_ns is not None and note.slip is None
    ]
    counts = PassCounts(
        notes=len(notes),
        missed=sum(note.is_missed for note in notes),
        wrong_pitch=slips[Slip.PITCH],
        wrong_string=slips[Slip.STRING],
        otherwise=sum(note.technique_result is TechniqueResult.OTHERWISE for note in notes),
        extra=one.extra,
        within_window=sum(note.is_within_window and not note.is_missed for note in notes),
        spread_ms=spread_ms(deviations_ms),
        window_ms=window_of(exercise, Tempo(one.quarters_per_minute), Tolerance()),
    )
    return spoiled_by(counts).is_clean


def tempo_points(line: LinePlayed) -> tuple[TempoPoint, ...]:
    """One point a day: the working tempo that a run found, else that by the passes, else the fastest clean pass."""
    by_day: dict[date, list[Pass]] = {}
    for one in line.passes:
        if one.is_whole and one.pace is Pace.CLICK:
            by_day.setdefault(day_of(one), []).append(
                Pass(float(one.quarters_per_minute), is_clean(line.exercise, one))
            )
    points = {day: _point(day, passes[-MOST_ASKED:]) for day, passes in by_day.items()}
    for run in line.runs:
        points[run.day] = TempoPoint(run.day, run.estimate.qpm, run.estimate.low_qpm, run.estimate.high_qpm)
    return tuple(point for _, point in sorted(points.items()) if point is not None)


def passes_to_working_tempo(line: LinePlayed) -> int:
    """How many more passes on its best day would have given a working tempo."""
    days: dict[date, int] = {}
    for one in line.passes:
        if one.is_whole and one.pace is Pace.CLICK:
            days[day_of(one)] = days.get(day_of(one), 0) + 1
    return max(0, LEAST_PASSES - max(days.values(), default=0))


def by_string(facts: Facts) -> tuple[Timing, ...]:
    """Timing by string, over takes whose strings are known and whose latency was measured."""
    groups: dict[int, list[float]] = {}
    for line, one, index, deviation_ms in _timed(facts):
        ears = line.ears[one.take_id]
        if ears.knows_strings and ears.is_calibrated:
            groups.setdefault(line.exercise.notes[index].course, []).append(deviation_ms)
    return tuple(Timing(f"string {course}", tuple(values)) for course, values in sorted(groups.items()))


def by_place_in_beat(facts: Facts) -> tuple[Timing, ...]:
    """Timing by position in the beat."""
    groups: dict[Fraction, list[float]] = {}
    for line, _, index, deviation_ms in _timed(facts):
        beat = line.exercise.meter.beat_quarters
        place = line.exercise.notes[index].onset_quarters % beat / beat
        groups.setdefault(place, []).append(deviation_ms)
    return tuple(Timing(_place_words(place), tuple(values)) for place, values in sorted(groups.items()))


def spots(facts: Facts) -> tuple[tuple[Spot, ...], bool]:
    """Each place of the neck that was tried, and whether timing counts in it; takes of unknown strings are left out."""
    lines = [(line, one) for line in facts.lines for one in line.passes if line.ears[one.take_id].knows_strings]
    with_timing = bool(lines) and all(line.ears[one.take_id].is_calibrated for line, one in lines)
    tries: dict[tuple[int, int], list[bool]] = {}
    for line, one in lines:
        for index, note in one.notes.items():
            written = line.exercise.notes[index]
            off = note.is_missed or note.slip is not None or (with_timing and not note.is_within_window)
            tries.setdefault((written.course, written.fret), []).append(off)
    found = (Spot(course, fret, len(each), sum(each)) for (course, fret), each in sorted(tries.items()))
    return tuple(found), with_timing


def weeks(facts: Facts) -> tuple[Week, ...]:
    """Every week from the first to the last, those without practice too."""
    monday = facts.first - timedelta(days=facts.first.weekday())
    found = []
    while monday <= facts.last:
        days = [day for day in facts.days if monday <= date.fromisoformat(day.day) < monday + timedelta(days=7)]
        found.append(
            Week(
                monday,
                sum(day.minutes for day in days),
                sum(day.breaks for day in days),
                max((day.longest_sitting_minutes for day in days), default=0.0),
            )
        )
        monday += timedelta(days=7)
    return tuple(found)


def then_and_now(passes: Sequence[PassPlayed], most: int) -> tuple[Sequence[PassPlayed], Sequence[PassPlayed]]:
    """The first and the last passes with the click, at most `most` each and never the same ones."""
    timed = [one for one in passes if one.pace is Pace.CLICK]
    many = min(most, len(timed) // 2)
    return timed[:many], timed[len(timed) - many :]


def _point(day: date, passes: Sequence[Pass]) -> TempoPoint | None:
    estimate = estimate_by(passes)
    if estimate is not None:
        return TempoPoint(day, estimate.qpm, estimate.low_qpm, estimate.high_qpm)
    clean = [one.qpm for one in passes if one.is_clean]
    return TempoPoint(day, max(clean)) if clean else None


def _timed(facts: Facts) -> Iterable[tuple[LinePlayed, PassPlayed, int, float]]:
    """Each matched note that was played with the click."""
    for line in facts.lines:
        for one in line.passes:
            if one.pace is not Pace.CLICK:
                continue
            for index, note in one.notes.items():
                if note.deviation_ns is not None and note.slip is None:
                    yield line, one, index, note.deviation_ns / NS_PER_MS


_PLACES: Mapping[Fraction, str] = {Fraction(0): "on the beat", Fraction(1, 2): "halfway"}


def _place_words(place: Fraction) -> str:
    return _PLACES.get(place, f"{place.numerator}/{place.denominator} after")
