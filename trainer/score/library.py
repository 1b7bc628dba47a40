"""Exercises by name, path or line of text: the shipped ones, files of three kinds, and what is typed."""

from pathlib import Path

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.shipped import EXERCISES
from trainer.theory.naming import nearest

# Readers are imported where they are needed: a MIDI file needs no pydantic, a TOML file no XML.
_SUFFIXES = (".toml", ".musicxml", ".xml", ".mxl", ".mid", ".midi")


def exercise_names() -> tuple[str, ...]:
    """The names of the shipped exercises, in alphabetical order."""
    return tuple(sorted(path.stem for path in EXERCISES.glob("*.toml")))


def load_exercise(name_or_path: str) -> Exercise:
    """A shipped exercise by its name, one in a file by its path, or one written as a line of text with commas.

    `ExerciseError` says what is wrong with it.
    """
    if name_or_path in exercise_names():
        return _read(EXERCISES / f"{name_or_path}.toml")
    path = Path(name_or_path)
    if "," in name_or_path and not path.is_file():
        from trainer.score.one_line import exercise_from_line

        return exercise_from_line(name_or_path)
    if path.suffix.lower() in _SUFFIXES:
        if not path.is_file():
            raise ExerciseError(f"{path}: there is no such file")
        return _read(path)
    if path.is_file():
        raise ExerciseError(f"{path}: {path.suffix or 'a file without an ending'} is not one of {', '.join(_SUFFIXES)}")
    guess = nearest(name_or_path, exercise_names())
    hint = f"; nearest: {guess!r}" if guess else f"; there are: {', '.join(exercise_names())}"
    raise ExerciseError(f"there is no exercise {name_or_path!r}{hint}")


def _read(path: Path) -> Exercise:
    match path.suffix.lower():
        case ".toml":
            from trainer.score.note_list import holds_notes, read_note_list

            if holds_notes(path):
                return read_note_list(path)
            from trainer.score.toml_reading import read_toml

            return read_toml(path)
        case ".mid" | ".midi":
            from trainer.score.midi_reading import read_midi_exercise

            return read_midi_exercise(path)
        case _:
            from trainer.score.musicxml_reading import read_musicxml

            return read_musicxml(path)
