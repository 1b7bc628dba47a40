"""Feels: what drums, bass and chords do in one bar, read from shared/feels.json, whose head explains the letters.

Conventions: a row is one letter a step, the steps divide the bar evenly, so that a shuffle has three to a beat.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from trainer.score.meter import Meter
from trainer.shipped import SHARED
from trainer.theory.naming import named

_FOUR = Meter(4, 4)
DRUM_NAMES = ("kick", "snare", "brush", "rim", "hat", "pedal", "ride")
DRUM_LETTERS, BASS_LETTERS, CHORD_LETTERS = "Xxo.", "R3578a-.", "Xxo-."
CHORD_SOUNDS = ("soft", "short")

Rows = tuple[tuple[str, str], ...]
"""(name of a drum, its row)."""


@dataclass(frozen=True, slots=True)
class Feel:
    """One bar of accompaniment."""

    name: str
    meter: Meter
    steps: int
    """Equal steps of the bar."""
    drums: Rows
    turn: Rows
    """Drums of the last bar of a loop, where they differ."""
    bass: str
    chords: str
    chord_sound: str
    """`soft`: they go on; `short`: they die away."""
    about: str = ""

    def drums_of(self, *, is_last: bool) -> Rows:
        """The drums of a bar."""
        return tuple({**dict(self.drums), **(dict(self.turn) if is_last else {})}.items())


def pulse(meter: Meter) -> Feel:
    """A plain feel for any meter: the bass drum on 1, the hi-hat on each beat, bass and chord through the bar."""
    beats, rest = meter.beats, meter.beats - 1
    return Feel(
        name="pulse",
        meter=meter,
        steps=beats,
        drums=(("kick", f"X{'.' * rest}"), ("hat", f"X{'x' * rest}")),
        turn=(),
        bass=f"R{'-' * rest}",
        chords=f"X{'-' * rest}",
        chord_sound="soft",
        about="the beat, in any meter",
    )


def _read_feels() -> dict[str, Feel]:
    entries = json.loads((SHARED / "feels.json").read_text(encoding="utf-8"))["feels"]
    return {entry["name"]: _feel(entry) for entry in entries}


def _feel(entry: Mapping[str, Any]) -> Feel:
    """One entry; `ValueError` when a row does not fill the bar or has a strange letter."""
    beats, unit = map(int, entry["meter"].split("/"))
    feel = Feel(
        name=entry["name"],
        meter=Meter(beats, unit),
        steps=entry["steps"],
        drums=_rows(entry["drums"]),
        turn=_rows(entry["turn"]),
        bass=entry["bass"].replace(" ", ""),
        chords=entry["chords"].replace(" ", ""),
        chord_sound=entry["chord_sound"],
        about=entry["about"],
    )
    for name, row, letters in (
        *((name, row, DRUM_LETTERS) for name, row in (*feel.drums, *feel.turn)),
        ("bass", feel.bass, BASS_LETTERS),
        ("chords", feel.chords, CHORD_LETTERS),
    ):
        if len(row) != feel.steps or not set(row) <= set(letters):
            raise ValueError(f"{feel.name}: {name} is {row!r}; expected {feel.steps} letters of {letters!r}")
    return feel


def _rows(entry: Mapping[str, str]) -> Rows:
    return tuple((name, row.replace(" ", "")) for name, row in entry.items())


FEELS: Mapping[str, Feel] = _read_feels()
"""Every feel by its name."""


def feel_named(name: str, meter: Meter | None = None) -> Feel:
    """The feel of that name; `pulse` is in `meter`, else 4/4. `UnknownWord` with the nearest one."""
    plain = pulse(meter or Meter())
    return named(name, {**FEELS, plain.name: plain}, "a feel")


def feels_in(meter: Meter) -> tuple[Feel, ...]:
    """The feels that go with a meter, the plain one last.

    6/8 is no 3/4; two bars of 2/4 are one of 4/4, and 2/2 is 4/4 counted in halves.
    """
    bars = (meter, _FOUR) if meter in {Meter(2, 4), Meter(2, 2)} else (meter,)
    return (*(feel for feel in FEELS.values() if feel.meter in bars), pulse(meter))
