"""A written line: what the player is asked to play.

Conventions: score time is exact (`Fraction` quarters from the first beat), pitches are MIDI numbers as they sound.
Notes are sorted by onset; notes with one onset are a chord. `index` everywhere means a place in `Exercise.notes`.
"""

from dataclasses import dataclass, field, replace
from fractions import Fraction

from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique
from trainer.theory.tuning import Tuning


@dataclass(frozen=True, slots=True)
class ScoreNote:
    """One written note."""

    onset_quarters: Fraction
    duration_quarters: Fraction
    location: Location
    pitch: int
    technique: Technique = Technique.PICK
    slide_from: Location | None = None
    """Where a slide as a grace begins (picked there, then slid at once); None: it slides from the note before."""
    stroke: Stroke | None = None
    finger: int | None = None
    """Fretting finger, 1 = index ... 4 = little."""
    accent: bool = False
    group: int = 0
    """Ordinal of the cell that the note belongs to."""
    position: int | None = None
    """Number of the scale position that the hand is in."""

    @property
    def course(self) -> int:
        """The string that the note is written on."""
        return self.location.course

    @property
    def fret(self) -> int:
        """The fret that the note is written at."""
        return self.location.fret


@dataclass(frozen=True, slots=True)
class Exercise:
    """A written line with all that is needed to play, show and judge it."""

    name: str
    """Short name that commands use, e.g. `quarry-steps`."""
    title: str
    tuning: Tuning
    tempo: Tempo
    notes: tuple[ScoreNote, ...]
    meter: Meter = field(default_factory=Meter)
    length_quarters: Fraction = Fraction(0)
    """Where the line ends and a repeat begins; at least the last note's end."""
    key: str = ""
    """Key and scale in words, e.g. `B minor pentatonic`."""
    about: str = ""
    """What the line trains and how to practise it."""
    last_fret: int = 24
    tags: tuple[str, ...] = ()
    """Words to filter by, e.g. `fours`, `legato`, `slid`."""
    family: str = ""
    """Name of the exercise that this one and its twins are variations of; empty: it has none."""

    @property
    def courses(self) -> tuple[int, ...]:
        """The strings that the line uses, highest-pitched first."""
        return tuple(sorted({note.course for note in self.notes}))

    @property
    def route(self) -> tuple[int, ...]:
        """The positions in the order in which the hand visits them."""
        visited: list[int] = []
        for note in self.notes:
            if note.position is not None and (not visited or visited[-1] != note.position):
                visited.append(note.position)
        return tuple(visited)

    def excerpt(self, first: int, last: int) -> "Exercise":
        """The notes `first`..`last` (both included) as a line of its own that begins on the first one's bar.

        `ValueError` when the range is empty or leaves the line.
        """
        if not 0 <= first <= last < len(self.notes):
            raise ValueError(f"notes {first}..{last} are not in 0..{len(self.notes) - 1}")
        bar = self.meter.bar_quarters
        start = self.notes[first].onset_quarters // bar * bar
        kept = self.notes[first : last + 1]
        end = max(note.onset_quarters + note.duration_quarters for note in kept)
        length = -(-(end - start) // bar) * bar
        moved = tuple(replace(note, onset_quarters=note.onset_quarters - start) for note in kept)
        return replace(self, notes=moved, length_quarters=length)

    def repeated(self, passes: int) -> "Exercise":
        """The line `passes` times over, without a gap: note `i` of pass `p` has index `p * len(notes) + i`."""
        if passes < 1:
            raise ValueError(f"{passes} passes: at least 1 is needed")
        notes = tuple(
            replace(note, onset_quarters=note.onset_quarters + p * self.length_quarters)
            for p in range(passes)
            for note in self.notes
        )
        return replace(self, notes=notes, length_quarters=passes * self.length_quarters)
