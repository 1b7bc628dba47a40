"""One player's instrument: where its messages come from, what it still holds, and how it is read."""

from typing import Protocol

from trainer.devices.midi_input import MidiInput
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.playing.standing import StandingState


class Source(Protocol):
    """Whatever gives messages: a MIDI port or a simulated player."""

    @property
    def status(self) -> str:
        """One sentence for the screen."""
        ...

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """What has arrived since the last poll."""
        ...


class Seat:
    """An input by its name; `source` is None while a player that needs no hands is not playing."""

    def __init__(self, input_name: str, source: Source | None, profile: PickupProfile) -> None:
        self.input_name = input_name
        self.source = source
        self.profile = profile
        self._standing = StandingState()

    @property
    def is_port(self) -> bool:
        """Whether it is a MIDI port."""
        return isinstance(self.source, MidiInput)

    @property
    def device(self) -> str:
        """The name that the input is remembered by."""
        return self.source.name if isinstance(self.source, MidiInput) else self.input_name

    @property
    def trouble(self) -> str:
        """What is wrong with the port, and what to do; empty when nothing is."""
        return self.source.trouble if isinstance(self.source, MidiInput) else ""

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """What has arrived since the last poll, on the steady clock."""
        messages = () if self.source is None else self.source.poll(now_ns)
        for message in messages:
            self._standing.feed(message)
        return messages

    def announced(self) -> tuple[StampedMessage, ...]:
        """What the device has said since it was chosen and still holds, stamped 0."""
        return self._standing.preamble()

    def leave(self) -> None:
        """Close the port, if it is one."""
        if isinstance(self.source, MidiInput):
            self.source.close()
        self.source = None
