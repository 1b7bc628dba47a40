"""Short builders for the playing tests: bytes by their meaning, times in ms, channels 1..16."""

from trainer.playing.decoding import Decoder
from trainer.playing.messages import (
    NoteOnset,
    NotePassed,
    PlayedEvent,
    StampedMessage,
    StringEvent,
    TechniqueHeard,
)
from trainer.playing.notes import NoteTracker
from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.theory.tuning import Tuning

MS = 1_000_000
STANDARD = Tuning("standard", (64, 59, 55, 50, 45, 40))
STRINGS = PickupProfile()
ONE = PickupProfile(channel_use=ChannelUse.ONE_CHANNEL, channel_of_course=(), bend_range_semitones=2.0)
MPE = PickupProfile(channel_use=ChannelUse.MPE, channel_of_course=tuple(range(2, 17)), bend_range_semitones=48.0)


def message(at_ms: float, *data: int) -> StampedMessage:
    return StampedMessage(round(at_ms * MS), bytes(data))


def on(at_ms: float, pitch: int, velocity: int = 90, channel: int = 1) -> StampedMessage:
    return message(at_ms, 0x90 | channel - 1, pitch, velocity)


def off(at_ms: float, pitch: int, channel: int = 1) -> StampedMessage:
    return message(at_ms, 0x80 | channel - 1, pitch, 64)


def bend(at_ms: float, cents: float, channel: int = 1, semitones: float = 12) -> StampedMessage:
    value = max(0, min(16383, 8192 + round(cents / 100 / semitones * 8192)))
    return message(at_ms, 0xE0 | channel - 1, value & 0x7F, value >> 7)


def control(at_ms: float, number: int, value: int, channel: int = 1) -> StampedMessage:
    return message(at_ms, 0xB0 | channel - 1, number, value)


def parameter(at_ms: float, number: int, value: int, channel: int = 1) -> list[StampedMessage]:
    """Registered parameter 0,`number` set to `value`, and the null parameter after it."""
    pairs = ((101, 0), (100, number), (6, value), (101, 127), (100, 127))
    return [control(at_ms, *pair, channel=channel) for pair in pairs]


def decoded(messages: list[StampedMessage], profile: PickupProfile = STRINGS) -> list[StringEvent]:
    decoder = Decoder(profile)
    return [event for item in messages for event in decoder.feed(item)]


def played(
    messages: list[StampedMessage], profile: PickupProfile = STRINGS, until_ms: float = 10**7
) -> list[PlayedEvent]:
    """All that is said of a stream, up to `until_ms`."""
    tracker = NoteTracker(profile, STANDARD)
    said = [each for event in decoded(messages, profile) for each in tracker.feed(event)]
    return said + list(tracker.advance(round(until_ms * MS)))


def notes(said: list[PlayedEvent]) -> list[tuple[float, int, str]]:
    """(onset in ms, pitch, how it was begun, `?`, or the reason why it does not count) of each heard note."""
    fate: dict[int, str] = {}
    for event in said:
        if isinstance(event, TechniqueHeard):
            fate[event.heard] = str(event.technique or "?")
        elif isinstance(event, NotePassed):
            fate[event.heard] = event.reason
    return [(each.onset_ns / MS, each.pitch, fate[each.heard]) for each in said if isinstance(each, NoteOnset)]
