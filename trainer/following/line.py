"""The written line as the follower needs it: plain columns, looked up by index.

Conventions: `index` is a place in `Exercise.notes`; a *moment* is a set of notes that are due together (one note, or a
chord); times are ns from the click's quarter 0 at the tempo of the run.
"""

from bisect import bisect_left
from fractions import Fraction
from itertools import pairwise

from trainer.following.verdict import Pace
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo

# Where players go back to, as natural logarithms of how much likelier such a place is than its neighbours. Common
# practice, no source: people restart at the start of a cell, of a bar or of the line.
CELL_START = 0.9
BAR_START = 1.4
LINE_START = 1.6


class Line:
    """Columns of a written line; read-only once built."""

    def __init__(self, exercise: Exercise, pace: Pace, tempo: Tempo, pass_length: int | None) -> None:
        notes = exercise.notes
        if not notes:
            raise ValueError(f"{exercise.name}: a line without notes cannot be followed")
        self.size = len(notes)
        self.is_timed = pace is Pace.CLICK
        self.pass_length = pass_length or self.size
        self.pitches = [note.pitch for note in notes]
        self.courses = [note.course for note in notes]
        self.spots = [(note.pitch, note.course) for note in notes]
        self.graces = [
            None if note.slide_from is None else (note.slide_from.course, exercise.tuning.pitch_at(note.slide_from))
            for note in notes
        ]
        self.due_ns = [tempo.ns(note.onset_quarters) for note in notes]
        self.beat_ns = tempo.ns(exercise.meter.beat_quarters)
        self.open_pitches = dict(enumerate(exercise.tuning.open_pitches, start=1))
        self.first_of_moment = _firsts(self.due_ns)
        self.gaps_ns = _gaps(self.due_ns, exercise, tempo)
        self.bars = [int(note.onset_quarters // exercise.meter.bar_quarters) for note in notes]
        self.phases = _phases(exercise)
        self.welcome = self._welcomes(exercise)
        self._places: dict[int, list[int]] = {}
        for index, pitch in enumerate(self.pitches):
            self._places.setdefault(pitch, []).append(index)

    def places_of(self, pitch: int, first: int, last: int) -> list[int]:
        """The notes `first`..`last` (both included) that are written with this pitch."""
        places = self._places.get(pitch)
        if places is None:
            return []
        return places[bisect_left(places, first) : bisect_left(places, last + 1)]

    def pass_of(self, index: int) -> int:
        """The first note of the pass that a note belongs to."""
        return index - index % self.pass_length

    def _welcomes(self, exercise: Exercise) -> list[float]:
        """How welcoming each note is to a player who starts again, as a logarithm: 0 inside a cell."""
        bar = exercise.meter.bar_quarters
        welcomes: list[float] = []
        for index, note in enumerate(exercise.notes):
            if index % self.pass_length == 0:
                welcomes.append(LINE_START)
            elif note.onset_quarters % bar == 0:
                welcomes.append(BAR_START)
            elif note.group != exercise.notes[index - 1].group:
                welcomes.append(CELL_START)
            else:
                welcomes.append(0.0)
        return welcomes


def _firsts(due_ns: list[int]) -> list[int]:
    """For each note the first note of its moment."""
    firsts: list[int] = []
    for index, due in enumerate(due_ns):
        firsts.append(firsts[-1] if index and due == due_ns[index - 1] else index)
    return firsts


def _phases(exercise: Exercise) -> list[int]:
    """For each note its place in the bar as a number: equal for equal places, 0 on the first beat."""
    places = [note.onset_quarters % exercise.meter.bar_quarters for note in exercise.notes]
    numbers = {place: number for number, place in enumerate(sorted({Fraction(0), *places}))}
    return [numbers[place] for place in places]


def _gaps(due_ns: list[int], exercise: Exercise, tempo: Tempo) -> list[int]:
    """For each note the interval from the moment before it; for the first moment the interval after it."""
    moments = sorted(set(due_ns))
    after = moments[1] - moments[0] if len(moments) > 1 else tempo.ns(exercise.meter.beat_quarters)
    before = {moment: moment - earlier for earlier, moment in pairwise(moments)}
    return [before.get(due, after) for due in due_ns]
