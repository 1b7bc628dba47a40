"""Foot pedals: a controller message of MIDI that was learned does what a key does.

A pedal asks when it goes down: its value comes to 64 or more after it was less (MIDI 1.0: switches are off up to 63 and
on from 64). It is heard on the input that is played on, on every screen.
"""

from collections.abc import Iterable, Mapping

from trainer.devices.remembered import Memory
from trainer.playing.messages import StampedMessage
from trainer.screens.screen import KEYS, Command

_CONTROL_CHANGE, _LAST_CONTROLLER, _ON = 0xB0, 119, 64
"""Controllers from 120 on are channel mode messages and no pedal's."""

COMMANDS: Mapping[str, Command] = {key.command.name.lower().replace("_", "-"): key.command for key in KEYS}
"""What a pedal can ask for, by its name."""


class Pedals:
    """Hears the pedals that were learned."""

    def __init__(self, memory: Memory | None) -> None:
        self._memory = memory
        self._down: set[tuple[int, int]] = set()

    def feed(self, messages: Iterable[StampedMessage]) -> tuple[Command, ...]:
        """What the pedals that went down ask for."""
        learned = {} if self._memory is None else self._memory.pedals
        asked = []
        for pedal in went_down(messages, self._down):
            command = COMMANDS.get(learned.get(pedal_name(*pedal), ""))
            if command is not None:
                asked.append(command)
        return tuple(asked)


def went_down(messages: Iterable[StampedMessage], down: set[tuple[int, int]]) -> list[tuple[int, int]]:
    """The pedals that went down, by channel (1..16) and controller; `down` is kept up to date."""
    found = []
    for message in messages:
        if len(message.data) == 3 and message.data[0] & 0xF0 == _CONTROL_CHANGE and message.data[1] <= _LAST_CONTROLLER:
            pedal = (message.data[0] & 0x0F) + 1, message.data[1]
            is_on = message.data[2] >= _ON
            if is_on and pedal not in down:
                found.append(pedal)
            (down.add if is_on else down.discard)(pedal)
    return found


def pedal_name(channel: int, controller: int) -> str:
    """How a pedal is remembered.

    >>> pedal_name(1, 64)
    'channel 1, controller 64'
    """
    return f"channel {channel}, controller {controller}"
