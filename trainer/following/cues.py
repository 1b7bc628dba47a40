"""Cues: short phrases played on the guitar that ask the program for something, so that the hands stay on the strings.

A cue must be one that no line holds, or playing the line would ask for it. The usual ones begin on the lowest string,
octave, open, octave, which no line that climbs the neck holds and nobody plays while tuning; an open string then says
what is wanted. A phrase is heard when its notes follow one another within `MOST_GAP_NS`, as written and with nothing
between them but what a pickup adds.
"""

from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum

from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise
from trainer.theory.fretboard import Location
from trainer.theory.tuning import Tuning

MOST_GAP_NS = 1_200_000_000
"""A longer silence begins another phrase."""
GHOST_GAP_NS, GHOST_SHARE = 60_000_000, 0.5
"""A note that follows another so closely and so much softer is the pickup's."""
FEWEST_NOTES, MOST_NOTES = 3, 8
"""What can be learned as a cue: less is played by chance, more is hard to remember."""


class Cue(Enum):
    """What can be asked for."""

    AGAIN = "again"
    SLOWER = "slower"
    FASTER = "faster"
    NEXT = "next"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class CueNote:
    """One note of a phrase; `course` None where the pickup does not tell strings apart."""

    pitch: int
    course: int | None = None

    def is_met_by(self, other: "CueNote") -> bool:
        """Whether the other is the same, as far as its string is known."""
        return self.pitch == other.pitch and (None in (self.course, other.course) or self.course == other.course)


Phrase = tuple[CueNote, ...]


class CueError(ValueError):
    """A phrase that cannot be a cue, and why."""


def usual_cues(tuning: Tuning) -> dict[Cue, Phrase]:
    """The lowest string at fret 12, open, at fret 12; then another one open.

    The string beside the lowest is again, the one after it slower, and so on. Four strings have fewer cues.
    """
    lowest = len(tuning.open_pitches)
    low, octave = (CueNote(tuning.pitch_at(Location(lowest, fret)), lowest) for fret in (0, 12))
    return {
        cue: (octave, low, octave, CueNote(tuning.open_pitches[lowest - step - 1], lowest - step))
        for step, cue in enumerate(Cue, start=1)
        if step < lowest
    }


class CueListener:
    """Hears cues in what is played; feed onsets in the order in which they become known."""

    def __init__(self, phrases: Mapping[Cue, Phrase]) -> None:
        self._phrases = dict(phrases)
        longest = max(map(len, self._phrases.values()), default=1)
        self._recent: deque[NoteOnset] = deque(maxlen=longest)

    def feed(self, onset: NoteOnset) -> Cue | None:
        """The cue that this note completes."""
        if self._recent:
            last = self._recent[-1]
            gap_ns = onset.onset_ns - last.onset_ns
            if gap_ns < GHOST_GAP_NS and onset.velocity < GHOST_SHARE * last.velocity:
                return None
            if gap_ns > MOST_GAP_NS:
                self._recent.clear()
        self._recent.append(onset)
        played = [CueNote(one.pitch, one.course) for one in self._recent]
        for cue, phrase in self._phrases.items():
            if len(played) >= len(phrase) and all(
                written.is_met_by(heard) for written, heard in zip(phrase, played[-len(phrase) :], strict=True)
            ):
                self._recent.clear()
                return cue
        return None


def learned_phrase(onsets: Iterable[NoteOnset], others: Mapping[Cue, Phrase], lines: Iterable[Exercise]) -> Phrase:
    """What was played, as a cue.

    :raises CueError: when it is too short or too long, when another cue begins or ends with it or the other way round,
        or when a line holds it
    """
    phrase = tuple(CueNote(one.pitch, one.course) for one in onsets)
    if not FEWEST_NOTES <= len(phrase) <= MOST_NOTES:
        raise CueError(f"A cue has {FEWEST_NOTES} to {MOST_NOTES} notes; {len(phrase)} were heard.")
    for cue, other in others.items():
        if holds(phrase, other) or holds(other, phrase):
            raise CueError(f"That phrase is also heard in the cue for {cue.value}: choose another one.")
    for line in lines:
        if is_in_line(phrase, line):
            raise CueError(f"The line {line.title} holds that phrase: playing it would give the cue.")
    return phrase


def is_in_line(phrase: Phrase, line: Exercise) -> bool:
    """Whether a line holds a phrase, also where it begins again."""
    written = [CueNote(note.pitch, note.location.course) for note in line.notes]
    return holds(written + written[: len(phrase) - 1], phrase)


def holds(notes: Iterable[CueNote], phrase: Phrase) -> bool:
    """Whether a phrase occurs among the notes, one after the other.

    >>> low, high = CueNote(40, 6), CueNote(45, 5)
    >>> holds([high, low, low], (low, low)), holds([low, high, low], (low, low))
    (True, False)
    """
    notes = list(notes)
    starts = range(len(notes) - len(phrase) + 1)
    return any(all(one.is_met_by(other) for one, other in zip(phrase, notes[i:], strict=False)) for i in starts)
