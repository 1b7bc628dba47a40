"""Whether a MIDI system still carries messages: a beat of our own, sent through it to our own port.

Theory of operation. A JACK server that dies, or throws a client out, tells nobody: its client library goes on showing
the ports that were there, and silence is what a port without a player gives as well. So a second client sends active
sensing (MIDI 1.0: "I am still here") to the port that is listened to, every `BEAT_NS`. It comes back like any message,
and is dropped like any active sensing. When beats have come back before, and now `LOST_AFTER` of them in a row brought
nothing at all, the system is lost: its clients must be left and made anew.

A beat that never came back says nothing, for not every system lets a program play into its own port.
"""

from collections.abc import Collection
from typing import Protocol

BEAT_NS = 300_000_000  # MIDI 1.0: a sender of active sensing says something at least every 300 ms
LOST_AFTER = 4
"""Beats without an answer: 1.2 s, longer than any hiccup that a take survives."""
_ACTIVE_SENSING = 0xFE


class PulseClient(Protocol):
    """What is used of `rtmidi.MidiOut`."""

    def get_ports(self) -> list[str]:
        """The names of the ports that can be played into."""
        ...

    def open_port(self, port: int, name: str) -> object:
        """Play into one of them by its place in that list."""
        ...

    def send_message(self, message: bytes) -> None:
        """Play."""
        ...

    def delete(self) -> None:
        """Leave the MIDI system."""
        ...


class Pulse:
    """Beats for one input; whoever has it tells it of all that arrives."""

    def __init__(self, client: PulseClient) -> None:
        self.client = client
        self._is_reaching = False
        self._has_come = False
        self._unanswered = 0
        self._beat_at_ns: int | None = None

    @property
    def is_lost(self) -> bool:
        """Whether nothing is carried any more."""
        return self._has_come and self._unanswered >= LOST_AFTER

    def ports(self) -> tuple[str, ...]:
        """The ports that can be reached now."""
        return tuple(self.client.get_ports())

    def reach(self, before: Collection[str]) -> None:
        """Beat into the port that has come since there were only those of `before`; if that cannot be told, nowhere."""
        fresh = [index for index, name in enumerate(self.client.get_ports()) if name not in before]
        self._is_reaching = len(fresh) == 1
        if self._is_reaching:
            self.client.open_port(fresh[0], name="pulse")

    def hear(self, data: bytes) -> None:
        """Something has arrived, a beat or anything else."""
        self._unanswered = 0
        self._has_come |= data[:1] == bytes((_ACTIVE_SENSING,))

    def beat(self, now_ns: int) -> None:
        """Beat, if it is time to."""
        if not self._is_reaching or (self._beat_at_ns is not None and now_ns - self._beat_at_ns < BEAT_NS):
            return
        self._beat_at_ns = now_ns
        self._unanswered += 1
        self.client.send_message(bytes((_ACTIVE_SENSING,)))
