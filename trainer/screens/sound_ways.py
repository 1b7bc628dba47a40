"""The settings of the sound as rows to choose in: click, backing, levels, what is tried out, output, offset."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import TypeVar

from trainer.score.exercise import Exercise
from trainer.screens.words import chord_words
from trainer.sounds.backing import LOUDEST_PERCENT, Accompaniment, Levels, backing_for
from trainer.sounds.click_way import MOST_SUBDIVISIONS, Thinning
from trainer.sounds.feels import FEELS, pulse
from trainer.sounds.mix import Mix
from trainer.theory.chords import sequences
from trainer.theory.naming import UnknownWord
from trainer.theory.scale import Key, key_named

C = TypeVar("C", bound=str)
LEVEL_STEP_PERCENT = 10
MOST_OFFSET_MS = 500.0
NO_KEY = "drums alone: this line names no key"
ANY_OUTPUT = "the first that opens"


class Row(Enum):
    """What can be set; `value` is its name on the screen."""

    CLICK = "click"
    SUBDIVISION = "strokes in a beat"
    ACCENTS = "first beat of a bar"
    FEEL = "backing"
    CHORDS = "chords"
    DRUMS = "level of the drums"
    BASS = "level of the bass"
    CHORD_LEVEL = "level of the chords"
    CLICK_LEVEL = "level of the click"
    LINE = "level of the line"
    HEARD = "F3 lets sound"
    OUTPUT = "output"
    OFFSET = "it is heard late by"


LEVEL_OF: Mapping[Row, str] = {
    Row.DRUMS: "drums",
    Row.BASS: "bass",
    Row.CHORD_LEVEL: "chords",
    Row.CLICK_LEVEL: "click",
    Row.LINE: "line",
}
HEARD = (
    ("backing", "click"),
    ("backing",),
    ("line",),
    ("line", "backing"),
    ("line", "click"),
    ("line", "backing", "click"),
)
"""What F3 lets sound, again and again: the stems by name."""
SUBDIVISIONS = ("one", "two", "three", "four", "five", "six")


@dataclass(frozen=True, slots=True)
class SoundWays:
    """The settings as they stand, beside the line that they are tried out with."""

    line: Exercise
    mix: Mix
    outputs: Sequence[str] = ("",)
    output: str = ""
    offset_ms: float = 0.0
    heard: int = 0
    """Place in `HEARD`."""

    @property
    def key(self) -> Key | None:
        """Of the line; None when it names none that is known."""
        try:
            return key_named(self.line.key)
        except UnknownWord:
            return None

    @property
    def feels(self) -> tuple[str, ...]:
        """What can be chosen: the first of the line's meter, then every one."""
        return ("", *FEELS, pulse(self.line.meter).name)

    @property
    def chord_words(self) -> tuple[str, ...]:
        """What can be chosen: the key's usual sequences, and what was chosen elsewhere."""
        usual = sequences(self.key) if self.key is not None else ()
        chosen = self.mix.accompaniment.chords
        return ("", *usual, *((chosen,) if chosen and chosen not in usual else ()))

    def says(self, row: Row) -> str:
        """How a row stands, in words."""
        way, wanted = self.mix.click, self.mix.accompaniment
        match row:
            case Row.CLICK:
                return way.thinning.value
            case Row.SUBDIVISION:
                between = "" if way.strokes_a_beat == way.subdivision else f", but with {way.thinning.value}: one"
                return f"{SUBDIVISIONS[way.subdivision - 1]}{between}"
            case Row.ACCENTS:
                return "accented" if way.accents else "like the others"
            case Row.FEEL:
                return self._feel_words(wanted)
            case Row.CHORDS:
                return self._chord_words(wanted)
            case Row.HEARD:
                return f"{' and '.join(HEARD[self.heard])}, again and again"
            case Row.OUTPUT:
                return self.output or ANY_OUTPUT
            case Row.OFFSET:
                return f"{self.offset_ms:.0f} ms more than the system knows"
            case _:
                percent = getattr(self.mix.levels, LEVEL_OF[row])
                return f"{percent} %" if percent else "silent"

    def stepped(self, row: Row, by: int) -> "SoundWays":
        """A row one choice further or back; the offset by so many ms."""
        mix = self.mix
        way, wanted = mix.click, mix.accompaniment
        match row:
            case Row.CLICK:
                return self._with(replace(mix, click=replace(way, thinning=_next(tuple(Thinning), way.thinning, by))))
            case Row.SUBDIVISION:
                subdivision = 1 + (way.subdivision - 1 + by) % MOST_SUBDIVISIONS
                return self._with(replace(mix, click=replace(way, subdivision=subdivision)))
            case Row.ACCENTS:
                return self._with(replace(mix, click=replace(way, accents=not way.accents)))
            case Row.FEEL:
                return self._with(replace(mix, accompaniment=replace(wanted, feel=_next(self.feels, wanted.feel, by))))
            case Row.CHORDS:
                chords = _next(self.chord_words, wanted.chords, by)
                return self._with(replace(mix, accompaniment=replace(wanted, chords=chords)))
            case Row.HEARD:
                return replace(self, heard=(self.heard + by) % len(HEARD))
            case Row.OUTPUT:
                return replace(self, output=_next(tuple(self.outputs), self.output, by))
            case Row.OFFSET:
                return replace(self, offset_ms=max(-MOST_OFFSET_MS, min(MOST_OFFSET_MS, self.offset_ms + by)))
            case _:
                return self._with(replace(mix, levels=_louder(mix.levels, LEVEL_OF[row], by)))

    def _with(self, mix: Mix) -> "SoundWays":
        return replace(self, mix=mix)

    def _feel_words(self, wanted: Accompaniment) -> str:
        feel = backing_for(self.key or key_named("C major"), self.line.meter, replace(wanted, chords="")).feel
        words = f"{feel.name}: {feel.about}"
        if wanted.feel in {"", feel.name}:
            return words
        meter = f"{self.line.meter.beats}/{self.line.meter.beat_unit}"
        return f"{wanted.feel}, but for this line, in {meter}, {feel.name}"

    def _chord_words(self, wanted: Accompaniment) -> str:
        if self.key is None:
            return NO_KEY
        chords = backing_for(self.key, self.line.meter, wanted).chords
        numerals, names = (
            " ".join(chord.word for chord in chords),
            ", ".join(chord_words(chord.name) for chord in chords),
        )
        return f"{numerals}: {names}" if wanted.chords else f"the usual ones, {numerals}: {names}"


def _next(choices: tuple[C, ...], chosen: C, by: int) -> C:
    """The choice `by` further, round the end; from one that there is not the first."""
    return choices[(choices.index(chosen) + by) % len(choices)] if chosen in choices else choices[0]


def _louder(levels: Levels, part: str, by: int) -> Levels:
    percent = getattr(levels, part) + by * LEVEL_STEP_PERCENT
    return replace(levels, **{part: max(0, min(LOUDEST_PERCENT, percent))})
