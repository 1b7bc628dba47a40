"""Variations of a line that has no recipe: what was captured or imported is varied note by note.

Fewer things can be changed than in a recipe: `key` (a root, or semitones such as `+2`), `tempo`, `direction`,
`articulation` and `slid=no`. The notes stay on their strings; strokes alternate anew, fingers are found anew.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from trainer.score.articulation import Articulation, articulation_of
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.playability import with_fingers
from trainer.score.tempo import Tempo
from trainer.score.variations import tempo_after, told, yes_or_no
from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord, named
from trainer.theory.pitch import note_named
from trainer.theory.technique import Stroke, Technique

_SLURS = {Technique.HAMMER, Technique.PULL}


def varied_notes(exercise: Exercise, changes: Mapping[str, str]) -> Exercise:
    """`exercise` with `changes`; `ExerciseError` for a word that means nothing, or a note that leaves the neck."""
    special: dict[str, Callable[[Exercise, str], Exercise]] = {
        "key": _in_key,
        "tempo": _at_tempo,
        "direction": _in_direction,
        "articulation": _articulated,
        "slid": _slid,
    }
    other = exercise
    for word, value in changes.items():
        try:
            change = named(word, special, "something to vary in a line without a recipe")
            other = change(other, value.strip())
        except UnknownWord as error:
            raise ExerciseError(f"{word}: {error}") from error
    title, about = told(exercise.title, changes)
    notes = with_fingers(_with_strokes(other.notes))
    return replace(other, title=title, about=about, family=exercise.family or exercise.name, notes=notes)


def _in_key(exercise: Exercise, value: str) -> Exercise:
    if value[:1] in {"+", "-"} and value[1:].isdigit():
        steps, key = int(value), exercise.key
    else:
        root, _, scale = exercise.key.partition(" ")
        if not root:
            raise UnknownWord(value, "a number of semitones such as +2: this line does not say its key")
        note = note_named(value)
        steps, key = (note.pitch_class - note_named(root).pitch_class + 5) % 12 - 5, f"{note} {scale}"
    # The nearest place first, then the same an octave away.
    for shift in sorted((steps, steps - 12, steps + 12), key=abs):
        notes = tuple(_shifted(note, shift) for note in exercise.notes)
        places = [place for note in notes for place in (note.location, note.slide_from) if place is not None]
        lowest = min(place.fret for place in places)
        if lowest >= 0 and max(place.fret for place in places) <= exercise.last_fret and _can_slide(notes):
            return replace(exercise, notes=notes, key=key)
    raise ExerciseError(f"key: {value} leaves the neck of {exercise.last_fret} frets on these strings")


def _shifted(note: ScoreNote, frets: int) -> ScoreNote:
    source = note.slide_from and Location(note.slide_from.course, note.slide_from.fret + frets)
    location = Location(note.course, note.fret + frets)
    return replace(note, location=location, slide_from=source, pitch=note.pitch + frets, position=None)


def _can_slide(notes: Sequence[ScoreNote]) -> bool:
    return all(
        note.fret and (note.slide_from or (before and before.location) or note.location).fret
        for note, before in zip(notes, _held_before(notes), strict=True)
        if note.technique is Technique.SLIDE
    )


def _at_tempo(exercise: Exercise, value: str) -> Exercise:
    try:
        return replace(exercise, tempo=Tempo(tempo_after(exercise.tempo.quarters_per_minute, value)))
    except UnknownWord:
        raise
    except ValueError as error:
        raise ExerciseError(f"tempo: {error}") from error


def _in_direction(exercise: Exercise, value: str) -> Exercise:
    if value not in {"backward", "turned"}:
        raise UnknownWord(value, "a direction", ("backward", "turned"))
    end = max(note.onset_quarters + note.duration_quarters for note in exercise.notes)
    last_group = max(note.group for note in exercise.notes)
    turned = [
        replace(
            note,
            onset_quarters=end - note.onset_quarters - note.duration_quarters,
            technique=Technique.PICK,
            slide_from=None,
            group=last_group - note.group,
        )
        for note in exercise.notes
    ]
    turned.sort(key=lambda note: (note.onset_quarters, note.course))
    return replace(exercise, notes=_slurred(turned) if _has_slurs(exercise) else tuple(turned))


def _has_slurs(exercise: Exercise) -> bool:
    return any(note.technique in _SLURS for note in exercise.notes)


def _articulated(exercise: Exercise, value: str) -> Exercise:
    plain = [replace(note, technique=Technique.PICK) if note.technique in _SLURS else note for note in exercise.notes]
    picked = articulation_of(value) is Articulation.PICKED
    return replace(exercise, notes=tuple(plain) if picked else _slurred(plain))


def _slid(exercise: Exercise, value: str) -> Exercise:
    if yes_or_no(value):
        raise ExerciseError(
            "slid: without a recipe it is not known where the hand shifts: only slid=no can be asked for"
        )
    picked = (replace(note, technique=Technique.PICK, slide_from=None) for note in exercise.notes)
    kept = (new if old.technique is Technique.SLIDE else old for new, old in zip(picked, exercise.notes, strict=True))
    return replace(exercise, notes=tuple(kept))


def _slurred(notes: Sequence[ScoreNote]) -> tuple[ScoreNote, ...]:
    """The notes with every picked one that follows another on its string at once hammered on or pulled off."""
    slurred: list[ScoreNote] = []
    for note, before in zip(notes, _held_before(notes), strict=True):
        if note.technique is not Technique.PICK or before is None or before.fret == note.fret:
            slurred.append(note)
        else:
            technique = Technique.HAMMER if before.fret < note.fret else Technique.PULL
            slurred.append(replace(note, technique=technique))
    return tuple(slurred)


def _held_before(notes: Sequence[ScoreNote]) -> list[ScoreNote | None]:
    """For each note the one on its string that ends where it begins."""
    ends: dict[tuple[int, Fraction], ScoreNote] = {
        (note.course, note.onset_quarters + note.duration_quarters): note for note in notes
    }
    return [ends.get((note.course, note.onset_quarters)) for note in notes]


def _with_strokes(notes: Sequence[ScoreNote]) -> tuple[ScoreNote, ...]:
    """The notes with alternate strokes from a down-stroke on; a chord has one."""
    stroke, onset = Stroke.UP, Fraction(-1)
    struck: list[ScoreNote] = []
    for note in notes:
        is_struck = note.technique is Technique.PICK or note.slide_from is not None
        if is_struck and note.onset_quarters != onset:
            stroke = Stroke.UP if stroke is Stroke.DOWN else Stroke.DOWN
            onset = note.onset_quarters
        struck.append(replace(note, stroke=stroke if is_struck else None))
    return tuple(struck)
