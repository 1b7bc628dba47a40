"""Pickup profiles: what one device sends, and how late.

Latency follows the physics of tracking: a converter needs a constant time and some cycles of the string, so
`onset = stamp - (latency_ns + latency_cycles / frequency)`.
"""

from dataclasses import dataclass
from enum import StrEnum


class ChannelUse(StrEnum):
    """How a device uses MIDI channels."""

    STRING_PER_CHANNEL = "string-per-channel"
    ONE_CHANNEL = "one-channel"
    """All strings, or a keyboard, on one channel: the string is unknown."""
    MPE = "mpe"
    """MPE with each string pinned to one member channel."""


@dataclass(frozen=True, slots=True)
class PickupProfile:
    """What has to be known of a pickup or converter to read its MIDI."""

    name: str = "channel-per-string"
    title: str = "Channel 1 = string 1, and so on"
    channel_use: ChannelUse = ChannelUse.STRING_PER_CHANNEL
    channel_of_course: tuple[int, ...] = tuple(range(1, 17))
    """MIDI channel (1..16) of each string, course 1 first."""
    bend_range_semitones: float = 12.0
    """Used until the device announces its own by RPN 0,0 (or an MPE configuration message)."""
    latency_ns: int = 0
    latency_cycles: float = 0.0
    fixed_velocity: bool = False
    """The device sends one velocity for all notes: velocity then tells nothing about technique."""
