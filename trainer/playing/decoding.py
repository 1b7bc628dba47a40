"""From MIDI bytes to what happened on each string: the only module that knows status bytes and channels.

Conventions: channels are 1..16 as musicians count them; a bend of `value` 0..16383 on a channel with a range of R
semitones is `(value - 8192) / 8192 * R` semitones; stamps leave in order, whatever order they came in.

Theory of operation. Every channel keeps its raw bend, its bend range, its parameter pointer and its sounding notes, so
that a bend sent before its note-on (as MPE asks) is there when the note begins. The range comes from the profile until
the device announces another: RPN 0,0 (controllers 101, 100, 6, 38) for the channel that it is sent on, or, in an MPE
zone, for all its members. An MPE configuration message (RPN 0,6 on channel 1 or 16) makes a zone, sets its master to
2 semitones and its members to 48, and ends what sounds there. A master's bend is added to its members'.

Nothing in a stream raises: what is malformed, unexpected or of no use here is counted in `Decoder.counts`.

References: MIDI 1.0 Detailed Specification (channel voice and mode messages, registered parameters, active sensing);
RP-015 (reset all controllers); RP-053 (MPE).
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

from trainer.playing.messages import StampedMessage, StringBend, StringEvent, StringOff, StringOn
from trainer.playing.profile import ChannelUse, PickupProfile

BEND_CENTRE = 8192
MPE_MASTER_RANGE_SEMITONES = 2.0  # RP-053: after a configuration message
MPE_MEMBER_RANGE_SEMITONES = 48.0  # RP-053: after a configuration message
WIDEST_RANGE_SEMITONES = 96  # RP-053 allows 0..96
SENSING_GAP_NS = 330_000_000
"""A sender of active sensing says something at least every 300 ms; receivers allow 330 (MIDI 1.0)."""

_BEND_RANGE = (0, 0)
_MPE_CONFIGURATION = (0, 6)
_NULL = (127, 127)
_LENGTHS = {0x8: 3, 0x9: 3, 0xA: 3, 0xB: 3, 0xC: 2, 0xD: 2, 0xE: 3}
_SOUND_OFF, _RESET_CONTROLLERS, _NOTES_OFF, _LAST_MODE = 120, 121, 123, 127


@dataclass(slots=True)
class _Channel:
    """What a receiver has to remember of one channel."""

    range_semitones: float
    bend: int = BEND_CENTRE
    parameter: tuple[int, int] = _NULL
    sounding: dict[int, None] = field(default_factory=dict)
    """Pitches that sound, in the order in which they began."""

    @property
    def bend_cents(self) -> float:
        return (self.bend - BEND_CENTRE) / BEND_CENTRE * self.range_semitones * 100


class Decoder:
    """Reads one take's messages in order; `feed` returns what they say about the strings."""

    def __init__(self, profile: PickupProfile) -> None:
        self.counts: Counter[str] = Counter()
        """How often something odd or of no use was seen, by name."""
        self.announced_ranges: dict[int, float] = {}
        """Channel -> the bend range in semitones that the stream itself has told, by RPN 0,0 or an MPE zone."""
        self._use = profile.channel_use
        self._channels = {number: _Channel(profile.bend_range_semitones) for number in range(1, 17)}
        self._course_of = _courses(profile)
        self._members: dict[int, tuple[int, ...]] = {}
        """MPE zones: master channel -> member channels."""
        if profile.channel_use is ChannelUse.MPE:
            self._members[1] = tuple(range(2, 17))
            self._channels[1].range_semitones = MPE_MASTER_RANGE_SEMITONES
        self._events = 0
        self._last_ns: int | None = None
        self._is_sensing = False

    @property
    def zones(self) -> Mapping[int, tuple[int, ...]]:
        """MPE zones, announced or of the profile: master channel -> member channels."""
        return self._members

    def feed(self, message: StampedMessage) -> tuple[StringEvent, ...]:
        """What one message says; a stamp before the last one is counted and moved up to it."""
        stamp_ns = message.stamp_ns
        if self._last_ns is not None and stamp_ns < self._last_ns:
            self.counts["time ran backwards"] += 1
            stamp_ns = self._last_ns
        ended = self.advance(stamp_ns)
        self._last_ns = stamp_ns
        return ended + self._read(stamp_ns, message.data)

    def advance(self, now_ns: int) -> tuple[StringEvent, ...]:
        """End all notes when a device that sends active sensing has been silent for too long by `now_ns`."""
        if not self._is_sensing or self._last_ns is None or now_ns <= self._last_ns + SENSING_GAP_NS:
            return ()
        self._is_sensing = False
        self.counts["active sensing stopped"] += 1
        return self._silence(self._last_ns + SENSING_GAP_NS, tuple(self._channels))

    def _read(self, stamp_ns: int, data: bytes) -> tuple[StringEvent, ...]:
        if data and data[0] >= 0xF0:
            self._is_sensing |= data[0] == 0xFE
            self.counts["system message"] += 1
            return ()
        if not data or data[0] < 0x80 or len(data) != _LENGTHS[data[0] >> 4] or max(data[1:]) > 0x7F:
            self.counts["malformed message"] += 1
            return ()
        kind, channel = data[0] >> 4, (data[0] & 0x0F) + 1
        match kind:
            case 0x9 if data[2] > 0:
                return self._note_on(stamp_ns, channel, data[1], data[2])
            case 0x8 | 0x9:
                return self._note_off(stamp_ns, channel, data[1])
            case 0xE:
                return self._bend(stamp_ns, channel, data[2] << 7 | data[1])
            case 0xB:
                return self._control(stamp_ns, channel, data[1], data[2])
        self.counts["message of no use"] += 1
        return ()

    def _note_on(self, stamp_ns: int, channel: int, pitch: int, velocity: int) -> tuple[StringEvent, ...]:
        course = self._course_of.get(channel)
        if course is None and self._use is not ChannelUse.ONE_CHANNEL:
            self.counts["note on an unknown channel"] += 1
        sounding = self._channels[channel].sounding
        sounding.pop(pitch, None)
        sounding[pitch] = None
        event = self._events
        self._events += 1
        return (StringOn(stamp_ns, channel, course, pitch, velocity, self._bend_cents(channel), event),)

    def _note_off(self, stamp_ns: int, channel: int, pitch: int) -> tuple[StringEvent, ...]:
        sounding = self._channels[channel].sounding
        if pitch not in sounding:
            self.counts["end of a note that did not sound"] += 1
            return ()
        del sounding[pitch]
        return (StringOff(stamp_ns, channel, self._course_of.get(channel), pitch),)

    def _bend(self, stamp_ns: int, channel: int, value: int) -> tuple[StringEvent, ...]:
        state = self._channels[channel]
        if state.bend == value:
            return ()
        state.bend = value
        return tuple(
            StringBend(stamp_ns, moved, self._course_of.get(moved), self._bend_cents(moved))
            for moved in self._channels_of(channel)
            if moved == channel or self._channels[moved].sounding
        )

    def _control(self, stamp_ns: int, channel: int, control: int, value: int) -> tuple[StringEvent, ...]:
        state = self._channels[channel]
        match control:
            case 101:
                state.parameter = (value, state.parameter[1])
            case 100:
                state.parameter = (state.parameter[0], value)
            case 98 | 99:  # a non-registered parameter: data entry now means something else
                state.parameter = _NULL
            case 6 if state.parameter == _BEND_RANGE:
                self._set_range(channel, float(value))
            case 38 if state.parameter == _BEND_RANGE:
                self._set_range(channel, int(state.range_semitones) + value / 100)
            case 6 if state.parameter == _MPE_CONFIGURATION:
                return self._configure_zone(stamp_ns, channel, value)
            case _ if control == _RESET_CONTROLLERS:
                return self._reset(stamp_ns, channel)
            case _ if control == _SOUND_OFF or _NOTES_OFF <= control <= _LAST_MODE:  # 124..127 also end all notes
                self.counts["all notes off"] += 1
                return self._silence(stamp_ns, self._channels_of(channel))
            case _:
                self.counts["controller of no use"] += 1
        return ()

    def _set_range(self, channel: int, semitones: float) -> None:
        if semitones > WIDEST_RANGE_SEMITONES:
            self.counts["bend range out of 0..96"] += 1
            return
        zone = next((members for members in self._members.values() if channel in members), (channel,))
        for member in zone:
            self._channels[member].range_semitones = self.announced_ranges[member] = semitones

    def _configure_zone(self, stamp_ns: int, master: int, size: int) -> tuple[StringEvent, ...]:
        if master not in {1, 16} or size > 15:
            self.counts["MPE configuration that means nothing"] += 1
            return ()
        members = tuple(range(2, 2 + size)) if master == 1 else tuple(range(15, 15 - size, -1))
        taken = {master, *members}
        other = 17 - master
        left_over = tuple(member for member in self._members.get(other, ()) if member not in taken)
        affected = tuple(sorted({*taken, *self._members.get(master, ())}))
        self._members[other] = left_over if other not in taken else ()
        self._members[master] = members
        self._members = {number: zone for number, zone in self._members.items() if zone}
        for number in members:
            self._channels[number].range_semitones = MPE_MEMBER_RANGE_SEMITONES
            self.announced_ranges[number] = MPE_MEMBER_RANGE_SEMITONES
        self._channels[master].range_semitones = MPE_MASTER_RANGE_SEMITONES
        return self._silence(stamp_ns, affected) + self._centre(stamp_ns, affected)

    def _reset(self, stamp_ns: int, channel: int) -> tuple[StringEvent, ...]:
        """Reset all controllers: centre the bend and forget the parameter, but keep the bend range (RP-015)."""
        self.counts["reset all controllers"] += 1
        channels = self._channels_of(channel)
        for number in channels:
            self._channels[number].parameter = _NULL
        return self._centre(stamp_ns, channels)

    def _centre(self, stamp_ns: int, channels: tuple[int, ...]) -> tuple[StringEvent, ...]:
        bent = [number for number in channels if self._channels[number].bend != BEND_CENTRE]
        for number in bent:
            self._channels[number].bend = BEND_CENTRE
        return tuple(
            StringBend(stamp_ns, number, self._course_of.get(number), self._bend_cents(number)) for number in bent
        )

    def _silence(self, stamp_ns: int, channels: tuple[int, ...]) -> tuple[StringEvent, ...]:
        ended = tuple(
            StringOff(stamp_ns, number, self._course_of.get(number), pitch)
            for number in channels
            for pitch in self._channels[number].sounding
        )
        for number in channels:
            self._channels[number].sounding.clear()
        return ended

    def _channels_of(self, channel: int) -> tuple[int, ...]:
        """The channels that a message on `channel` is meant for: a zone, when it is a master's."""
        return (channel, *self._members.get(channel, ()))

    def _bend_cents(self, channel: int) -> float:
        cents = self._channels[channel].bend_cents
        for master, members in self._members.items():
            if channel in members:
                cents += self._channels[master].bend_cents
        return cents


def _courses(profile: PickupProfile) -> dict[int, int]:
    """MIDI channel -> course; empty when the strings share one channel."""
    if profile.channel_use is ChannelUse.ONE_CHANNEL:
        return {}
    return {channel: course for course, channel in enumerate(profile.channel_of_course, start=1)}
