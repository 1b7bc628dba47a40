"""What was heard of a take, to be listened to: each heard note as a plucked string, from anywhere in it, at any speed.

Conventions: times are ns from the start of the take, as onsets are (after the pickup's latency is taken off). A note
sounds as loud as it was played. Slower changes when notes sound and how long, never their pitch; what the left hand did
to a pitch while it sounded (bends, vibrato) is not rendered.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from trainer.playing.hearing import Hearing
from trainer.playing.messages import NoteEnd, NoteOnset, NotePassed, PlayedEvent, StampedMessage, TechniqueHeard
from trainer.playing.profile import PickupProfile
from trainer.sounds.plucked import LEVEL, plucked_tone
from trainer.sounds.samples import Samples, samples_in
from trainer.theory.technique import Technique
from trainer.theory.tuning import Tuning

LONGEST_NS = 300_000_000_000
"""So much is rendered at once, as it is heard: five minutes."""
_STILL_TOLD_NS = 1_000_000_000  # after the last message: time for what is told late of the last notes
_USUAL_VELOCITY = 80
_SOFTEST, _LOUDEST = 0.25, 1.5
_RELEASE_NS = 25_000_000


@dataclass(frozen=True, slots=True)
class HeardNote:
    """One note, as it was heard."""

    pitch: int
    begins_ns: int
    ends_ns: int
    velocity: int = _USUAL_VELOCITY
    is_soft: bool = False
    """Begun by the left hand, as far as the pickup tells."""


def heard_notes(messages: Iterable[StampedMessage], profile: PickupProfile, tuning: Tuning) -> tuple[HeardNote, ...]:
    """The notes of a take in the order of their onsets, without slips of the pickup and frets that were only passed."""
    hearing = Hearing(profile, tuning)
    events: list[PlayedEvent] = []
    last_ns = 0
    for message in messages:
        events += hearing.advance(message.stamp_ns)
        events += hearing.feed(message)
        last_ns = message.stamp_ns
    events += hearing.advance(last_ns + _STILL_TOLD_NS)
    ends_ns = {event.heard: event.offset_ns for event in events if isinstance(event, NoteEnd)}
    passed = {event.heard for event in events if isinstance(event, NotePassed)}
    told = {event.heard: event.technique for event in events if isinstance(event, TechniqueHeard)}
    return tuple(
        HeardNote(
            onset.pitch,
            onset.onset_ns,
            max(onset.onset_ns, ends_ns.get(onset.heard, last_ns)),
            onset.velocity,
            is_soft=told.get(onset.heard) not in (None, Technique.PICK),
        )
        for onset in events
        if isinstance(onset, NoteOnset) and onset.heard not in passed
    )


def render_heard(notes: Iterable[HeardNote], from_ns: int = 0, speed: Fraction = Fraction(1)) -> Samples:
    """What sounds from `from_ns` of the take on, at `speed` (1/2: half as fast); at most `LONGEST_NS` of it.

    A note that had begun before is left out.
    """
    wanted = [
        (samples_in(int((note.begins_ns - from_ns) / speed)), samples_in(int((note.ends_ns - from_ns) / speed)), note)
        for note in notes
        if from_ns <= note.begins_ns <= from_ns + LONGEST_NS * speed
    ]
    release = samples_in(_RELEASE_NS)
    longest = samples_in(LONGEST_NS)
    buffer = np.zeros(max((min(end, longest) + release for _, end, _ in wanted), default=0), dtype=np.float32)
    for place, end, note in wanted:
        tone = _shaped(note, min(end, longest) - place, release)
        buffer[place : place + len(tone)] += tone
    return buffer


def _shaped(note: HeardNote, length: int, release: int) -> Samples:
    loudness = min(_LOUDEST, max(_SOFTEST, note.velocity / _USUAL_VELOCITY))
    tone = np.multiply(
        plucked_tone(note.pitch, length + release, soft=note.is_soft), LEVEL * loudness, dtype=np.float32
    )
    tone[length:] *= np.linspace(1.0, 0.0, release, dtype=np.float32)
    return tone
