"""Scales and keys.

Conventions: a scale is a row of intervals above its root, written as degrees against the major scale; it is spelled by
those degrees, so a minor third above A flat is always C flat. A *step* counts the notes of a key through all octaves:
step 0 is the root at pitch 0..11, and `len(scale.degrees)` steps are an octave.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from trainer.shipped import SHARED
from trainer.theory.naming import UnknownWord, folded, nearest
from trainer.theory.pitch import Interval, Note, interval_of_degree, note_named


@dataclass(frozen=True, slots=True)
class Scale:
    """A row of notes within an octave."""

    name: str
    degrees: tuple[Interval, ...]
    notes_a_string: int
    """How many of its notes a position has on each string unless an exercise says otherwise."""

    @property
    def semitones(self) -> tuple[int, ...]:
        """Semitones of each note above the root, the root first."""
        return tuple(degree.semitones for degree in self.degrees)


@dataclass(frozen=True)
class Key:
    """A scale on a root."""

    root: Note
    scale: Scale

    @property
    def name(self) -> str:
        """The key in words, e.g. `B minor pentatonic`."""
        return f"{self.root} {self.scale.name}"

    @cached_property
    def notes(self) -> tuple[Note, ...]:
        """The notes of the scale as they are spelled in this key, the root first."""
        return tuple(degree.above(self.root) for degree in self.scale.degrees)

    @cached_property
    def pitch_classes(self) -> frozenset[int]:
        """The pitch classes of the scale."""
        return frozenset(note.pitch_class for note in self.notes)

    def pitch_of_step(self, step: int) -> int:
        """The pitch of a scale step; an octave is as many steps as the scale has notes."""
        octave, place = divmod(step, len(self.scale.degrees))
        return self.root.pitch_class + 12 * octave + self.scale.semitones[place]

    def first_step_from(self, pitch: int) -> int:
        """The lowest step that sounds at `pitch` or above."""
        octave, above_root = divmod(pitch - self.root.pitch_class, 12)
        below = sum(semitones < above_root for semitones in self.scale.semitones)
        return octave * len(self.scale.degrees) + below

    def spell(self, pitch: int) -> str:
        """The name that `pitch` has in this key, e.g. `Cb4`; `ValueError` for a pitch outside the scale."""
        for note in self.notes:
            if note.pitch_class == pitch % 12:
                return note.at(pitch)
        raise ValueError(f"pitch {pitch} is not in {self.name}")


def _read_scales() -> tuple[dict[str, Scale], dict[str, Scale]]:
    rows = json.loads((SHARED / "scales.json").read_text(encoding="utf-8"))["scales"]
    scales: dict[str, Scale] = {}
    by_any_name: dict[str, Scale] = {}
    for row in rows:
        degrees = tuple(interval_of_degree(degree) for degree in row["degrees"].split())
        scale = Scale(row["name"], degrees, row["notes_a_string"])
        scales[scale.name] = scale
        by_any_name |= {folded(name): scale for name in (scale.name, *row.get("also", ()))}
    return scales, by_any_name


_SCALES, _BY_ANY_NAME = _read_scales()

SCALES: Mapping[str, Scale] = _SCALES
"""Every scale by its name."""


def scale_named(name: str) -> Scale:
    """The scale of that name or by-name, e.g. `dorian`, `natural minor`; `UnknownWord` with the nearest one."""
    if (scale := _BY_ANY_NAME.get(folded(name))) is not None:
        return scale
    known = {word for key in _BY_ANY_NAME for word in key.split("-")}
    wrong = next((word for word in name.split() if word.lower() not in known), name)
    guess = nearest(name, _BY_ANY_NAME)
    raise UnknownWord(wrong, "a scale", [guess.replace("-", " ")] if guess and wrong == name else known | set(SCALES))


def key_named(text: str) -> Key:
    """The key called `text`, a root and a scale: `F# minor pentatonic`, `Ab dorian`."""
    root, _, scale = text.strip().partition(" ")
    if not scale:
        note_named(root)
        raise UnknownWord("", f"a scale after the root {root}, such as {root} minor pentatonic")
    return Key(note_named(root), scale_named(scale))
