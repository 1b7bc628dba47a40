"""What is being played, without a line to compare it with: notes, their places, the key, its degrees and positions.

The key is guessed from the last `GUESSED_FROM` notes, or is held when the player says so. A note on a pickup that does
not tell strings apart has every place on the neck that it could be played at.
"""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass

from trainer.capture.key_guess import guessed_key, guessed_positions
from trainer.capture.listening import PhraseListener, PhraseNote
from trainer.playing.messages import NoteOnset, StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.score.fingering import Fretting, grips_of
from trainer.theory.fretboard import Location
from trainer.theory.scale import Key
from trainer.theory.tuning import Tuning

FEWEST_NOTES, GUESSED_FROM = 5, 32
LAST_FRET = 24
KEPT_NOTES = 64
_DEGREES = ("1", "b2", "2", "b3", "3", "4", "b5", "5", "b6", "6", "b7", "7")


@dataclass(frozen=True, slots=True)
class Sounded:
    """One note that was played."""

    heard: int
    pitch: int
    places: tuple[Location, ...]
    """Where it was played; several where the pickup does not tell."""
    is_sounding: bool


@dataclass(frozen=True, slots=True)
class Board:
    """What there is to show."""

    notes: tuple[Sounded, ...]
    """The last ones, oldest first."""
    key: Key | None
    """None until there is enough to guess from."""
    is_held: bool
    """Whether the player said that this is the key."""
    position: int | None
    """Of the last note, in the key."""


class FreePlay:
    """Hears whatever is played; messages come in time order."""

    def __init__(self, profile: PickupProfile, tuning: Tuning) -> None:
        self._profile, self.tuning = profile, tuning
        self._held: Key | None = None
        self.clear()

    def clear(self) -> None:
        """Forget what was played."""
        self._listener = PhraseListener(self._profile, self.tuning)
        self._ended = -1
        self._made: tuple[tuple[int, Key | None, int], Board] | None = None

    def silence(self) -> None:
        """Nobody has listened for a while: whatever sounded before has ended, as far as anybody can tell."""
        self._ended = max((onset.heard for onset in self._listener.onsets), default=-1)

    def hold_key(self) -> None:
        """Keep the key that is shown, or guess again when one is kept."""
        self._held = None if self._held is not None else self.board().key

    def feed(self, message: StampedMessage) -> None:
        """Hear one message."""
        self._listener.feed(message)

    def advance(self, now_ns: int) -> None:
        """Time has passed, and nothing stamped before `now_ns` is to come."""
        self._listener.advance(now_ns)

    def phrase(self) -> tuple[PhraseNote, ...]:
        """All that was played since the board was cleared, to be written down; hearing goes on as before."""
        return deepcopy(self._listener).finish()

    def board(self) -> Board:
        """What there is to show now; made anew when there is something new."""
        state = self._listener.events, self._held, self._ended
        if self._made is None or self._made[0] != state:
            self._made = state, self._drawn()
        return self._made[1]

    def _drawn(self) -> Board:
        notes = tuple(
            Sounded(onset.heard, onset.pitch, self._places(onset), self._is_sounding(onset.heard))
            for onset in self._listener.onsets[-KEPT_NOTES:]
        )
        key = self._held
        if key is None and len(notes) >= FEWEST_NOTES:
            key = guessed_key([note.pitch for note in notes[-GUESSED_FROM:]]).key
        return Board(notes, key, self._held is not None, self._position(notes, key))

    def _is_sounding(self, heard: int) -> bool:
        return heard > self._ended and self._listener.is_sounding(heard)

    def _places(self, onset: NoteOnset) -> tuple[Location, ...]:
        if onset.course is None:
            return self.tuning.locations_of(onset.pitch, LAST_FRET)
        fret = self.tuning.fret_of(onset.course, onset.pitch)
        return () if fret is None or fret > LAST_FRET else (Location(onset.course, fret),)

    def _position(self, notes: tuple[Sounded, ...], key: Key | None) -> int | None:
        known = [note.places[0] for note in notes[-GUESSED_FROM:] if len(note.places) == 1]
        if key is None or not known or len(notes[-1].places) != 1:
            return None
        return guessed_positions(known, key, self.tuning, LAST_FRET)[-1]


def fingers_of(notes: Sequence[Sounded]) -> Mapping[int, int]:
    """The finger on each fretted note whose place is known, by least hand movement; by `Sounded.heard`."""
    known = [note for note in notes if len(note.places) == 1]
    grips = grips_of([Fretting(note.places) for note in known])
    fingered = ((note.heard, grip.fingers.get(note.places[0])) for note, grip in zip(known, grips, strict=True) if grip)
    return {heard: finger for heard, finger in fingered if finger is not None}


def degree_of(pitch: int, key: Key) -> str:
    """The degree of a pitch in a key as musicians count it, against the major scale.

    >>> from trainer.theory.scale import key_named
    >>> [degree_of(pitch, key_named("A minor pentatonic")) for pitch in (57, 60, 63)]
    ['1', 'b3', 'b5']
    """
    above_root = (pitch - key.root.pitch_class) % 12
    for degree in key.scale.degrees:
        if degree.semitones == above_root:
            return degree.degree
    return _DEGREES[above_root]


def name_of(pitch: int, key: Key | None) -> str:
    """The name of a pitch without its octave, spelled as the key spells it.

    >>> from trainer.theory.scale import key_named
    >>> name_of(63, key_named("Ab major")), name_of(63, None)
    ('Eb', 'D#')
    """
    for note in key.notes if key is not None else ():
        if note.pitch_class == pitch % 12:
            return str(note)
    flat = key is not None and any(note.accidental < 0 for note in key.notes)
    return ("C Db D Eb E F Gb G Ab A Bb B" if flat else "C C# D D# E F F# G G# A A# B").split()[pitch % 12]
