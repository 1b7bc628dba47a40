"""What a player plays over: chords of a key in a feel, and how loud each part is. Values only; `band` renders them."""

from dataclasses import dataclass
from enum import Enum

from trainer.score.meter import Meter
from trainer.sounds.feels import Feel, feels_in
from trainer.theory.chords import Chord, chords_named, sequences
from trainer.theory.naming import counted
from trainer.theory.scale import Key, key_named

MOST_BARS = 64
LEAST_BARS = 4
"""How many bars a loop has at least, unless asked otherwise: two chords have two bars each."""
LOUDEST_PERCENT = 200


class Part(Enum):
    """Who plays."""

    DRUMS = "drums"
    BASS = "bass"
    CHORDS = "chords"


@dataclass(frozen=True, slots=True)
class Backing:
    """A loop of bars; `ValueError` for fewer bars than chords, or too many."""

    feel: Feel
    chords: tuple[Chord, ...]
    bars: int

    def __post_init__(self) -> None:
        if not 1 <= len(self.chords) <= self.bars <= MOST_BARS:
            raise ValueError(
                f"{self.bars} bars for {len(self.chords)} chords: "
                f"expected a bar or more for each, at most {MOST_BARS} bars"
            )

    @property
    def meter(self) -> Meter:
        """Of its bars."""
        return self.feel.meter

    @property
    def words(self) -> str:
        """What sounds, e.g. `shuffle, i iv: Am, Dm, a loop of 4 bars`."""
        numerals, names = " ".join(chord.word for chord in self.chords), ", ".join(chord.name for chord in self.chords)
        return f"{self.feel.name}, {numerals}: {names}, a loop of {counted(self.bars, 'bar')}"

    def chord_of(self, bar: int) -> int:
        """Which chord a bar has; bars are counted on through the loops."""
        return bar % self.bars * len(self.chords) // self.bars


@dataclass(frozen=True, slots=True)
class Levels:
    """How loud each part is, in percent of its usual level; 0 is silent."""

    drums: int = 100
    bass: int = 100
    chords: int = 100
    click: int = 100
    line: int = 100

    def __post_init__(self) -> None:
        for name in self.__slots__:
            if not 0 <= getattr(self, name) <= LOUDEST_PERCENT:
                raise ValueError(f"level {name} {getattr(self, name)}: expected 0 to {LOUDEST_PERCENT} percent")

    def of(self, part: Part) -> float:
        """The factor of a part of the backing."""
        percents = {Part.DRUMS: self.drums, Part.BASS: self.bass, Part.CHORDS: self.chords}
        return percents[part] / 100


@dataclass(frozen=True, slots=True)
class Accompaniment:
    """How a backing is asked for, whatever line it is for: it takes key and meter of the line.

    `ChordsError` for chords that cannot be read.
    """

    feel: str = ""
    """Its name; empty: the first of the line's meter."""
    chords: str = ""
    """In words; empty: the first usual sequence of the key."""

    def __post_init__(self) -> None:
        if self.chords:
            chords_named(self.chords, key_named("C major"))  # which words there are is the same in every key


def backing_for(key: Key, meter: Meter, wanted: Accompaniment, bars: int | None = None) -> Backing:
    """The backing of a line in `key` and `meter`; a feel in another meter gives way to the first of this one.

    `ValueError` for bars that cannot hold the chords.
    """
    feels = feels_in(meter)
    feel = next((feel for feel in feels if feel.name == wanted.feel), feels[0])
    chords = chords_named(wanted.chords or sequences(key)[0], key)
    return Backing(feel, chords, max(LEAST_BARS, len(chords)) if bars is None else bars)
