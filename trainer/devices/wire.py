"""The few MIDI messages that the simulated converter sends, as bytes.

After the MIDI 1.0 Detailed Specification: note-on 9n kk vv, note-off 8n kk vv, bend En ll mm with the low seven bits
first and centre 8192, a registered parameter by CC 101, 100, 6, 38 and its null afterwards. The MPE configuration
message is registered parameter 6 on channel 1 (MPE, RP-053). Channels are 1..16.
"""

BEND_CENTRE = 8192
BEND_HIGHEST = 16383
ACTIVE_SENSING = bytes([0xFE])
CLOCK = bytes([0xF8])
_OFF_VELOCITY = 64


def note_on(channel: int, key: int, velocity: int) -> bytes:
    """A note-on; velocity 0 means off."""
    return bytes([0x90 | channel - 1, key, velocity])


def note_off(channel: int, key: int) -> bytes:
    """A note-off."""
    return bytes([0x80 | channel - 1, key, _OFF_VELOCITY])


def bend(channel: int, value: int) -> bytes:
    """A pitch bend to `value` in 0..16383."""
    return bytes([0xE0 | channel - 1, value & 0x7F, value >> 7])


def bend_value(cents: float, range_semitones: int) -> int:
    """The bend nearest to `cents`, pinned at the ends of the range; full scale upwards is one step short of it."""
    value = BEND_CENTRE + round(cents / 100 / range_semitones * BEND_CENTRE)
    return max(0, min(BEND_HIGHEST, value))


def bend_range(channel: int, semitones: int) -> list[bytes]:
    """The range of the bend on a channel (registered parameter 0)."""
    return _registered(channel, 0, semitones)


def mpe_configuration(members: int) -> list[bytes]:
    """A lower MPE zone with that many member channels, from channel 2 on."""
    return _registered(1, 6, members)


def _registered(channel: int, parameter: int, value: int) -> list[bytes]:
    status = 0xB0 | channel - 1
    controls = ((101, 0), (100, parameter), (6, value), (38, 0), (101, 127), (100, 127))
    return [bytes([status, number, setting]) for number, setting in controls]
