"""Exercises in files of every kind: the line, and what was in the file and is not in the line."""

from pathlib import Path

from trainer.score.errors import ExerciseError
from trainer.score.reading import Reading

# Readers are imported where they are needed: a MIDI file needs no pydantic, a TOML file no XML.
READABLE = (".toml", ".musicxml", ".xml", ".mxl", ".mid", ".midi", ".txt", ".tab")


def read_file(path: Path, part: str = "") -> Reading:
    """The exercise in a file; `part` is the number or the name of the part to read, where the file has several.

    `ExerciseError` says what is wrong with it, also when its ending is not one of `READABLE`.
    """
    suffix = path.suffix.lower()
    if not path.is_file():
        raise ExerciseError(f"{path}: there is no such file")
    if suffix not in READABLE:
        raise ExerciseError(f"{path}: {path.suffix or 'a file without an ending'} is not one of {', '.join(READABLE)}")
    if part and suffix in (".toml", ".txt", ".tab"):
        raise ExerciseError(f"{path}: has one part only; a part is chosen of a MusicXML or MIDI file")
    match suffix:
        case ".toml":
            return _read_toml(path)
        case ".mid" | ".midi":
            from trainer.score.midi_reading import read_midi

            return read_midi(path, part)
        case ".txt" | ".tab":
            from trainer.score.text_tab_reading import read_text_tab

            return read_text_tab(path)
        case _:
            from trainer.score.musicxml_reading import read_musicxml_file

            return read_musicxml_file(path, part)


def _read_toml(path: Path) -> Reading:
    from trainer.score.note_list import holds_notes, read_note_list

    if holds_notes(path):
        return Reading(read_note_list(path))
    from trainer.score.toml_reading import read_toml

    return Reading(read_toml(path))
