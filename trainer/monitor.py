"""What arrives, decoded into lines of text: for setting up a pickup.

It reads through the same decoder and note tracker as a take.
"""

from collections.abc import Iterator

from trainer.playing.decoding import Decoder
from trainer.playing.messages import (
    NoteEnd,
    NoteOnset,
    NotePassed,
    PlayedEvent,
    StampedMessage,
    StringBend,
    StringEvent,
    StringOff,
    StringOn,
    TechniqueHeard,
)
from trainer.playing.notes import NoteTracker
from trainer.playing.profile import PickupProfile
from trainer.tablature.explained import inflection_words
from trainer.theory.pitch import pitch_name
from trainer.theory.tuning import Tuning

NS_PER_SECOND = 1_000_000_000


class Monitor:
    """Turns messages into lines."""

    def __init__(self, profile: PickupProfile, tuning: Tuning) -> None:
        self._tuning = tuning
        self._decoder = Decoder(profile)
        self._tracker = NoteTracker(profile, tuning)
        self._oddities: dict[str, int] = {}

    def lines(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Iterator[str]:
        """The lines for the messages that have arrived by `now_ns`."""
        for message in messages:
            for event in self._decoder.feed(message):
                yield from self._said(event)
        yield from filter(None, map(self._played, self._tracker.advance(now_ns)))
        yield from self._odd()

    def _said(self, event: StringEvent) -> Iterator[str]:
        line = self._received(event)
        if line:
            yield line
        yield from filter(None, map(self._played, self._tracker.feed(event)))

    def _received(self, event: StringEvent) -> str | None:
        at = f"{event.stamp_ns / NS_PER_SECOND:9.3f} s  channel {event.channel:2}  {self._string(event.course):9}"
        match event:
            case StringOn():
                bend = f"  bend {event.bend_cents:+.0f} cents" if event.bend_cents else ""
                return f"{at}  on   {pitch_name(event.pitch):4} velocity {event.velocity:3}{bend}"
            case StringOff():
                return f"{at}  off  {pitch_name(event.pitch):4}"
            case StringBend():
                return f"{at}  bend {event.bend_cents:+7.1f} cents"

    def _played(self, event: PlayedEvent) -> str | None:
        match event:
            case NoteOnset(course=course, pitch=pitch):
                fret = None if course is None else self._tuning.fret_of(course, pitch)
                place = "" if fret is None else f", fret {fret}"
                how = ", arrived as a bend" if event.arrived_as_bend else ""
                return f"{'':12}  note {event.heard}: {pitch_name(pitch)} on {self._string(course)}{place}{how}"
            case TechniqueHeard(technique=technique, one_of=one_of):
                word = technique.value if technique else "how it began is not measurable"
                if one_of:
                    word = " or ".join(each.value for each in one_of) + ", which of them is not measurable"
                return f"{'':12}  note {event.heard}: {word}"
            case NotePassed():
                return f"{'':12}  note {event.heard}: not counted ({event.reason})"
            case NoteEnd(inflection=inflection):
                words = inflection_words(inflection)
                return f"{'':12}  note {event.heard}: {words}" if words else None

    def _odd(self) -> Iterator[str]:
        counts = dict(self._decoder.counts)
        if counts != self._oddities:
            self._oddities = counts
            yield f"{'':12}  not music: " + ", ".join(f"{name} {count}" for name, count in sorted(counts.items()))

    @staticmethod
    def _string(course: int | None) -> str:
        return "string ?" if course is None else f"string {course}"
