"""From a weak transition to lines that drill it.

A drill is an exercise like any other: it can be shown, practised and judged. For one transition there are several, each
growing on the one before: the transition with one note before and after (timing is least steady where chunks meet, van
Vugt and others 2012, so the seam is what is drilled, with an overlap on each side), the same in a rhythm that hurries
it, more notes round it, then the bars it stands in, and at last the whole line.

Each is a loop of whole beats that begins on the beat and ends with at least one beat of rest, in which the hand goes
back: the way from its last note to its first is no part of the line and must not be drilled. Notes keep their strings,
fingers, strokes and techniques; only the first is picked, for nothing sounds before it.

The tempo is the one at which the written interval is as long as the player now takes for it, spread included; a
transition that fails begins at three quarters of its tempo. That is where it can be clean, not a promise.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.coaching.transitions import Transition, Weakness
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.theory.technique import Stroke, Technique

SLOWEST_SHARE, FASTEST_SHARE = 0.5, 0.9
FAILING_SHARE = 0.75
SLOWEST_QPM = 10
MOST_BEATS = 32
DRILL_WORDS = ("core", "stressed")
"""How the names of the two smallest drills end: the transition with a note before and after it."""
_HURRIED, _HELD = Fraction(1, 2), Fraction(3, 2)
"""In the stressing rhythm: the transition's interval, and the one after it, in written intervals."""


@dataclass(frozen=True, slots=True)
class Drill:
    """One line to practise, and why it is like that."""

    exercise: Exercise
    about: str
    first: int
    """The first and last note of the line that it takes."""
    last: int


def drills_for(exercise: Exercise, weak: Transition, tempo: Tempo) -> tuple[Drill, ...]:
    """The drills for a weak transition of `exercise` as played at `tempo`, the smallest first; the last is the line."""
    slow = _clean_tempo(weak, tempo)
    last_note = len(exercise.notes) - 1
    small = (max(0, weak.from_index - 1), min(last_note, weak.to_index + 1))
    wider = (max(0, weak.from_index - 3), min(last_note, weak.to_index + 3))
    bars = _bars_round(exercise, weak)
    drills = [
        _drill(exercise, small, slow, DRILL_WORDS[0], "The transition with a note before and after it."),
        _stressed(exercise, weak, small, slow),
    ]
    for span, word, about in (
        (wider, "wider", "Three notes on each side: let the transition disappear among the others."),
        (bars, "bars", "The bars that it stands in."),
    ):
        if span not in {(drill.first, drill.last) for drill in drills} and span != (0, last_note):
            drills.append(_drill(exercise, span, slow, word, about))
    whole = replace(exercise, tempo=slow, name=_name(exercise, small, "line"), title=f"{exercise.title}, slower")
    drills.append(
        Drill(whole, "The whole line again, at the tempo of the drill; then up by small steps.", 0, last_note)
    )
    return tuple(drills)


def _clean_tempo(weak: Transition, tempo: Tempo) -> Tempo:
    """The tempo at which the interval is as long as the player takes for it now."""
    taken_ms = weak.written_ms + max(0.0, weak.late_ms or 0.0) + (weak.spread_ms or 0.0)
    share = weak.written_ms / taken_ms if taken_ms > 0 else FASTEST_SHARE
    if weak.kind is Weakness.FAILING:
        share = min(share, FAILING_SHARE)
    share = min(max(share, SLOWEST_SHARE), FASTEST_SHARE)
    return Tempo(Fraction(max(SLOWEST_QPM, int(float(tempo.quarters_per_minute) * share))))


def _drill(exercise: Exercise, span: tuple[int, int], tempo: Tempo, word: str, about: str) -> Drill:
    notes = _from_the_beat(exercise.notes[span[0] : span[1] + 1])
    return Drill(_looped(exercise, notes, tempo, span, word, about), about, *span)


def _stressed(exercise: Exercise, weak: Transition, span: tuple[int, int], tempo: Tempo) -> Drill:
    """The small drill with the transition hurried and its second note held."""
    about = "The same with the transition in half the time and a wait on its second note: go at once, then rest there."
    notes = _from_the_beat(exercise.notes[span[0] : span[1] + 1])
    here, there = weak.from_index - span[0], weak.to_index - span[0]
    step = notes[there].onset_quarters - notes[here].onset_quarters
    arrival = notes[there].onset_quarters
    moved: list[ScoreNote] = []
    for note in notes:
        if note.onset_quarters < arrival:
            moved.append(note)
        elif note.onset_quarters == arrival:
            held = note.duration_quarters * _HELD
            moved.append(replace(note, onset_quarters=arrival - step * (1 - _HURRIED), duration_quarters=held))
        else:
            moved.append(replace(note, onset_quarters=note.onset_quarters + step * (_HURRIED + _HELD - 2)))
    return Drill(_looped(exercise, tuple(_without_overlap(moved)), tempo, span, DRILL_WORDS[1], about), about, *span)


def _without_overlap(notes: Sequence[ScoreNote]) -> Iterator[ScoreNote]:
    """The notes, none lasting beyond the next onset if it did not before."""
    onsets = sorted({note.onset_quarters for note in notes})
    for note in notes:
        later = [onset for onset in onsets if onset > note.onset_quarters]
        yield (
            replace(note, duration_quarters=min(note.duration_quarters, later[0] - note.onset_quarters))
            if later
            else note
        )


def _from_the_beat(notes: Sequence[ScoreNote]) -> tuple[ScoreNote, ...]:
    """The notes as a line of its own: the first on beat 1, picked, the groups counted anew."""
    start, group = notes[0].onset_quarters, notes[0].group
    moved = [replace(note, onset_quarters=note.onset_quarters - start, group=note.group - group) for note in notes]
    return tuple(_picked(note) if not note.onset_quarters else note for note in moved)


def _picked(note: ScoreNote) -> ScoreNote:
    is_picked = note.technique is Technique.PICK or note.slide_from is not None
    return note if is_picked else replace(note, technique=Technique.PICK, stroke=note.stroke or Stroke.DOWN)


def _looped(
    exercise: Exercise, notes: tuple[ScoreNote, ...], tempo: Tempo, span: tuple[int, int], word: str, about: str
) -> Exercise:
    """The notes as a loop of one bar, a beat of rest at its end."""
    beat = exercise.meter.beat_quarters
    end = max(note.onset_quarters + note.duration_quarters for note in notes)
    beats = int(-(-end // beat)) + 1
    meter = Meter(beats, exercise.meter.beat_unit) if beats <= MOST_BEATS else exercise.meter
    length = -(-(beats * beat) // meter.bar_quarters) * meter.bar_quarters
    return replace(
        exercise,
        name=_name(exercise, span, word),
        title=f"{exercise.title}: notes {span[0]} to {span[1]}",
        about=about,
        tempo=tempo,
        meter=meter,
        notes=notes,
        length_quarters=length,
        tags=("drill",),
        family="",
    )


def _name(exercise: Exercise, span: tuple[int, int], word: str) -> str:
    return f"{exercise.name}-{span[0]}-{span[1]}-{word}"


def _bars_round(exercise: Exercise, weak: Transition) -> tuple[int, int]:
    bar = exercise.meter.bar_quarters
    first_bar = exercise.notes[weak.from_index].onset_quarters // bar
    last_bar = exercise.notes[weak.to_index].onset_quarters // bar
    inside = [index for index, note in enumerate(exercise.notes) if first_bar <= note.onset_quarters // bar <= last_bar]
    return inside[0], inside[-1]
