"""The notes that were played, from what happened on each string.

A heard note is a note-on, or the effective pitch (note-on plus bend) coming to rest at another semitone while a note
sounds. Each is said once as a `NoteOnset`, numbered in the order in which they are said; one that arrived as a bend is
said some 20-60 ms after its onset, so that a later-stamped note of another string may be said before it. How it was
begun follows as `TechniqueHeard`, at once for a picked note and up to 100 ms later for others; `NotePassed` takes back
what was only a fret on the way of a slide or a slip of the tracking. Every heard note gets a `NotePassed` or a
`TechniqueHeard`, or a `TechniqueHeard` and then a `NotePassed`.

The short note that a slide as a grace begins with is a note like any other here: whether it was an approach or a note
of the line is for the follower to say, who knows what is written.

Latency is taken off here and nowhere else: `onset = stamp - (latency_ns + latency_cycles / frequency)`.
"""

import math
from itertools import count

from trainer.playing.ear import Ear
from trainer.playing.messages import PlayedEvent, StringBend, StringEvent, StringOff, StringOn
from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.playing.voice import Voice
from trainer.theory.tuning import Tuning


class NoteTracker:
    """Listens to all strings of one take; `feed` events in the order of their stamps."""

    def __init__(self, profile: PickupProfile, tuning: Tuning) -> None:
        self._profile = profile
        self._tuning = tuning
        self._separates = profile.channel_use is not ChannelUse.ONE_CHANNEL
        self._ear = Ear(has_fixed_velocity=profile.fixed_velocity)
        self._numbers = count()
        self._voices: dict[int, Voice] = {}

    def feed(self, event: StringEvent) -> tuple[PlayedEvent, ...]:
        """What one event says, after what had become due before it."""
        said = self._expire(event.stamp_ns)
        for voice in self._voices_of(event):
            match event:
                case StringOn():
                    said += voice.on(event)
                case StringOff():
                    said += voice.off(event)
                case StringBend():
                    said += voice.bend(event)
        return tuple(said)

    def advance(self, now_ns: int) -> tuple[PlayedEvent, ...]:
        """What has become due by `now_ns`; no event stamped before it may follow."""
        return tuple(self._expire(now_ns))

    def _expire(self, now_ns: int) -> list[PlayedEvent]:
        said: list[PlayedEvent] = []
        while True:
            first: tuple[int, int] | None = None
            for key, voice in self._voices.items():
                due_ns = voice.due_ns
                if due_ns is not None and due_ns <= now_ns and (first is None or (due_ns, key) < first):
                    first = due_ns, key
            if first is None:
                return said
            said += self._voices[first[1]].expire()

    def _voices_of(self, event: StringEvent) -> list[Voice]:
        """The voice that an event is meant for; a bend of a shared channel is meant for all its notes."""
        if self._separates:
            return [self._voice(event.channel, event.course)]
        if isinstance(event, StringBend):
            return [voice for key, voice in self._voices.items() if key >> 7 == event.channel]
        return [self._voice(event.channel << 7 | event.pitch, None)]

    def _voice(self, key: int, course: int | None) -> Voice:
        if key not in self._voices:
            is_known = course is not None and course in self._tuning.courses
            self._voices[key] = Voice(
                key,
                course if is_known else None,
                self._tuning.open_pitches[course - 1] if course is not None and is_known else None,
                self._ear,
                self._numbers,
                self._latency_ns,
                can_tell=self._separates,
            )
        return self._voices[key]

    def _latency_ns(self, pitch: int) -> int:
        if not self._profile.latency_cycles:
            return self._profile.latency_ns
        frequency_hz = 440.0 * math.pow(2.0, (pitch - 69) / 12)  # equal temperament, A4 = 440 Hz
        return self._profile.latency_ns + round(self._profile.latency_cycles * 1e9 / frequency_hz)
