"""Exercises as plain JSON values and back, exactly: what a take keeps of the line that was played.

Fractions are written as text, `3/2`, so nothing is rounded. Keys are the names of the fields; `version` tells forms
apart when the fields change.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import fields
from fractions import Fraction
from typing import Any

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique
from trainer.theory.tuning import Tuning

VERSION = 1
_FRACTION = re.compile(r"-?[0-9]{1,300}(/[0-9]{1,300})?")
"""Longer than any tempo or place that comes of reckoning, and short enough to be read at once."""


def exercise_to_dict(exercise: Exercise) -> dict[str, Any]:
    """`exercise` in dicts, lists, text, whole numbers, booleans and None only."""
    plain = {field.name: getattr(exercise, field.name) for field in fields(exercise)}
    return plain | {
        "version": VERSION,
        "tuning": {"name": exercise.tuning.name, "open_pitches": list(exercise.tuning.open_pitches)},
        "tempo": str(exercise.tempo.quarters_per_minute),
        "meter": [exercise.meter.beats, exercise.meter.beat_unit],
        "notes": [_note_to_dict(note) for note in exercise.notes],
        "length_quarters": str(exercise.length_quarters),
        "tags": list(exercise.tags),
    }


def exercise_from_dict(saved: Mapping[str, Any]) -> Exercise:
    """The exercise that `exercise_to_dict` made `saved` of; `ExerciseError` for anything else."""
    try:
        if saved["version"] != VERSION:
            raise ExerciseError(f"a saved exercise of version {saved['version']!r}: expected version {VERSION}")
        return Exercise(
            name=_text(saved["name"]),
            title=_text(saved["title"]),
            tuning=_tuning(saved["tuning"]),
            tempo=Tempo(_fraction(saved["tempo"])),
            notes=tuple(_note_from_dict(note) for note in saved["notes"]),
            meter=_meter(saved["meter"]),
            length_quarters=_fraction(saved["length_quarters"]),
            key=_text(saved["key"]),
            about=_text(saved["about"]),
            last_fret=_whole(saved["last_fret"]),
            tags=tuple(_text(tag) for tag in saved["tags"]),
            family=_text(saved.get("family", "")),  # not in lines that were saved before it was known
        )
    except KeyError as error:
        raise ExerciseError(f"a saved exercise without {error}") from error
    except (TypeError, ValueError, ZeroDivisionError, AttributeError) as error:
        raise ExerciseError(f"a saved exercise that cannot be read ({error})") from error


def _note_to_dict(note: ScoreNote) -> dict[str, Any]:
    plain = {field.name: getattr(note, field.name) for field in fields(note)}
    return plain | {
        "onset_quarters": str(note.onset_quarters),
        "duration_quarters": str(note.duration_quarters),
        "location": list(note.location),
        "technique": note.technique.value,
        "slide_from": None if note.slide_from is None else list(note.slide_from),
        "stroke": None if note.stroke is None else note.stroke.value,
    }


def _note_from_dict(saved: Mapping[str, Any]) -> ScoreNote:
    return ScoreNote(
        onset_quarters=_fraction(saved["onset_quarters"]),
        duration_quarters=_fraction(saved["duration_quarters"]),
        location=_location(saved["location"]),
        pitch=_whole(saved["pitch"]),
        technique=Technique(saved["technique"]),
        slide_from=None if saved["slide_from"] is None else _location(saved["slide_from"]),
        stroke=None if saved["stroke"] is None else Stroke(saved["stroke"]),
        finger=None if saved["finger"] is None else _whole(saved["finger"]),
        accent=_truth(saved["accent"]),
        group=_whole(saved["group"]),
        position=None if saved["position"] is None else _whole(saved["position"]),
    )


def _tuning(saved: Mapping[str, Any]) -> Tuning:
    return Tuning(_text(saved["name"]), tuple(_whole(pitch) for pitch in saved["open_pitches"]))


def _meter(saved: Sequence[Any]) -> Meter:
    beats, beat_unit = saved
    return Meter(_whole(beats), _whole(beat_unit))


def _location(saved: Sequence[Any]) -> Location:
    course, fret = saved
    return Location(_whole(course), _whole(fret))


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(f"expected text, found {value!r}")
    return value


def _fraction(value: object) -> Fraction:
    text = _text(value)
    if not _FRACTION.fullmatch(text):  # "1e999999999" would be worked out digit by digit
        raise ValueError(f"expected a fraction such as '3/2', found {text!r:.40}")
    return Fraction(text)


def _whole(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise TypeError(f"expected a whole number, found {value!r}")
    return value


def _truth(value: object) -> bool:
    if not isinstance(value, bool):
        raise TypeError(f"expected true or false, found {value!r}")
    return value
