"""A phrase as it was played, from messages: every note with its string, its end and how it was begun.

It reads through the same decoder and note tracker as a take that is followed; only nothing is written yet, so what the
tracker leaves to the follower is decided here: a short note that a slide leads away from at once is where the slide
began (`slid_from`), if it is short beside the other notes of the phrase.

Conventions: times are ns from the start of the take, after the pickup's latency was taken off.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median

from trainer.playing.hearing import Hearing
from trainer.playing.messages import NoteEnd, NoteOnset, NotePassed, PlayedEvent, StampedMessage, TechniqueHeard
from trainer.playing.profile import PickupProfile
from trainer.theory.technique import Technique
from trainer.theory.tuning import Tuning

# What is still to be said about the last note: techniques come up to 100 ms late, ends with the note.
_HEAR_OUT_NS = 2_000_000_000
APPROACH_NS = 170_000_000
"""A slide as a grace leaves its first fret at once: 65-150 ms from pick to arrival (common practice, no source)."""
_APPROACH_SHARE = 0.6
"""It is shorter than this share of the usual time between notes, else it is a note of the line."""


@dataclass(frozen=True, slots=True)
class PhraseNote:
    """One note as it was heard."""

    onset_ns: int
    offset_ns: int
    course: int | None
    """None: the device does not say."""
    pitch: int
    velocity: int
    technique: Technique
    is_technique_sure: bool = True
    """False: the stream leaves several open, and the likeliest one is taken."""
    slid_from: int | None = None
    """Pitch at which a slide as a grace began."""
    bend_cents: float = 0.0
    """How far the string was bent while the note sounded."""


class PhraseListener:
    """Listens to one phrase."""

    def __init__(self, profile: PickupProfile, tuning: Tuning) -> None:
        self._hearing = Hearing(profile, tuning)
        self._onsets: dict[int, NoteOnset] = {}
        self._ends: dict[int, NoteEnd] = {}
        self._techniques: dict[int, TechniqueHeard] = {}
        self._last_ns = 0
        self.events = 0
        """How much was told so far: what was read of this is out of date when it grows."""

    @property
    def count(self) -> int:
        """How many notes were heard so far."""
        return len(self._onsets)

    @property
    def onsets(self) -> tuple[NoteOnset, ...]:
        """The notes heard so far, in the order in which they became known."""
        return tuple(self._onsets.values())

    def is_sounding(self, heard: int) -> bool:
        """Whether a note has not ended yet."""
        return heard in self._onsets and heard not in self._ends

    @property
    def last_onset_ns(self) -> int | None:
        """When the last note so far began."""
        return max((onset.onset_ns for onset in self._onsets.values()), default=None)

    @property
    def oddities(self) -> dict[str, int]:
        """What arrived that was not music, counted by name."""
        return dict(self._hearing.oddities)

    def feed(self, message: StampedMessage) -> None:
        """Hear one message; messages come in time order."""
        self._last_ns = max(self._last_ns, message.stamp_ns)
        self._note(self._hearing.feed(message))

    def advance(self, now_ns: int) -> None:
        """Time has passed, and nothing stamped before `now_ns` is to come."""
        self._note(self._hearing.advance(now_ns))

    def finish(self) -> tuple[PhraseNote, ...]:
        """The whole phrase, in the order of the onsets."""
        self.advance(self._last_ns + _HEAR_OUT_NS)
        heard = sorted(self._onsets.values(), key=lambda onset: (onset.onset_ns, onset.heard))
        return _with_approaches([self._phrase_note(onset) for onset in heard])

    def _note(self, events: Iterable[PlayedEvent]) -> None:
        for event in events:
            self.events += 1
            match event:
                case NoteOnset():
                    self._onsets[event.heard] = event
                case NoteEnd():
                    self._ends[event.heard] = event
                case TechniqueHeard():
                    self._techniques[event.heard] = event
                case NotePassed():
                    self._onsets.pop(event.heard, None)

    def _phrase_note(self, onset: NoteOnset) -> PhraseNote:
        told, end = self._techniques.get(onset.heard), self._ends.get(onset.heard)
        technique = None if told is None else told.technique
        left = () if told is None else told.one_of
        return PhraseNote(
            onset_ns=onset.onset_ns,
            offset_ns=max(onset.onset_ns, self._last_ns if end is None else end.offset_ns),
            course=onset.course,
            pitch=onset.pitch,
            velocity=onset.velocity,
            technique=technique or (left[0] if left else Technique.PICK),
            is_technique_sure=technique is not None,
            bend_cents=0.0 if end is None else end.inflection.bend_cents,
        )


def heard_phrase(messages: Iterable[StampedMessage], profile: PickupProfile, tuning: Tuning) -> tuple[PhraseNote, ...]:
    """The phrase in a whole take."""
    listener = PhraseListener(profile, tuning)
    for message in messages:
        listener.advance(message.stamp_ns)
        listener.feed(message)
    return listener.finish()


def _with_approaches(notes: Sequence[PhraseNote]) -> tuple[PhraseNote, ...]:
    """The notes without those that a slide left at once; their slides know where they began."""
    gaps_ns = [after.onset_ns - before.onset_ns for before, after in pairwise(notes)]
    longest_ns = min(APPROACH_NS, _APPROACH_SHARE * median(gaps_ns)) if gaps_ns else 0
    kept: list[PhraseNote] = []
    for at, note in enumerate(notes):
        before = notes[at - 1] if at else None
        is_approached = (
            before is not None
            and note.technique is Technique.SLIDE
            and note.course is not None
            and before.course == note.course
            and before.technique is Technique.PICK
            and note.onset_ns - before.onset_ns <= longest_ns
        )
        if is_approached and before is not None:
            kept[-1] = replace(
                note, slid_from=before.pitch, velocity=before.velocity, is_technique_sure=note.is_technique_sure
            )
        else:
            kept.append(note)
    return tuple(kept)
