"""Facts about an invented player, note by note."""

import random
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

from tests.builders import line
from trainer.following.verdict import Pace
from trainer.history.figures import Day, Verdicts
from trainer.history.passes import NoteOfPass, PassPlayed
from trainer.progress.facts import Ears, Facts, LinePlayed
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo

FIRST, LAST = date(2026, 8, 31), date(2026, 9, 27)
"""A Monday and the Sunday four weeks on."""
MS = 1_000_000
Deviation = Callable[[int, int], float | None]
"""Pass and note to ms; None: missed."""


def on_time(_one: int, _index: int) -> float | None:
    return 0.0


def a_pass(
    exercise: Exercise, number: int = 0, *, day: date = FIRST, qpm: int = 100, deviation: Deviation = on_time
) -> PassPlayed:
    tempo = Tempo(Fraction(qpm))
    notes = {}
    for index, note in enumerate(exercise.notes):
        ms = deviation(number, index)
        if ms is None:
            notes[index] = NoteOfPass(None, None, None)
        else:
            onset_ns = tempo.ns(note.onset_quarters) + round(ms * MS)
            notes[index] = NoteOfPass(onset_ns, round(ms * MS), index, is_within_window=abs(ms) <= 50)
    began = f"{day.isoformat()}T17:00:00+02:00"
    return PassPlayed(number, 0, began, Pace.CLICK, Fraction(qpm), notes, is_whole=True)


def line_played(passes: Sequence[PassPlayed], exercise: Exercise | None = None, ears: Ears | None = None) -> LinePlayed:
    return LinePlayed(exercise or line(), tuple(passes), {one.take_id: ears or Ears() for one in passes})


def facts(*lines: LinePlayed, days: Sequence[Day] = ()) -> Facts:
    return Facts("", FIRST, LAST, tuple(days), lines)


def day_played(day: date, minutes: float = 20.0, breaks: int = 1, longest: float = 15.0) -> Day:
    return Day(day.isoformat(), minutes, 4, 8, 1, breaks, 5.0 * breaks, longest, Verdicts())


def weeks_played() -> Facts:
    """Four weeks of a picked line and its legato twin, with a late note that gets better, and days with breaks."""
    legato = line("quarry-steps-legato")
    picked = line("quarry-steps")

    def weak(one: int, index: int) -> float | None:
        return (36.0 if index == 9 and one < 16 else 0.0) + random.Random(f"{one} {index}").gauss(0, 7)

    def passes(exercise: Exercise, slower: int) -> list[PassPlayed]:
        return [
            a_pass(exercise, number, day=FIRST + timedelta(days=number), qpm=60 + number - slower, deviation=weak)
            for number in range(27)
        ]

    def busy_day(exercise: Exercise) -> list[PassPlayed]:
        """Twelve passes of one day, clean below 90 but for one."""
        return [
            a_pass(
                exercise,
                100 + number,
                day=LAST,
                qpm=qpm,
                deviation=lambda number, i, bad=qpm > 90: None if bad and i == 3 else weak(number, i),
            )
            for number, qpm in enumerate((70, 80, 86, 90, 94, 98, 88, 92, 86, 96, 90, 93))
        ]

    days = [day_played(FIRST + timedelta(days=3 * number), 15 + number, number % 3) for number in range(9)]
    return facts(
        line_played([*passes(picked, 0), *busy_day(picked)], picked),
        line_played(passes(legato, 8), replace(legato, family="quarry-steps")),
        days=days,
    )
