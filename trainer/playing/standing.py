"""What a device has said before a take began and still holds: bend ranges and standing bends.

A converter announces its bend range once, when it is switched on; a take that begins an hour later must know it. The
take therefore begins with these messages, so that judging the saved take gives what the live screen said.
"""

from trainer.playing.messages import StampedMessage

_CONTROL_CHANGE = 0xB0
_PITCH_BEND = 0xE0
_PARAMETER_CONTROLLERS = (101, 100, 6, 38)  # RPN select MSB and LSB, data entry MSB and LSB (MIDI 1.0)
_RESET_CONTROLLERS = 121  # centres the bend, selects no parameter, keeps the values (RP-015)
_NULL_PARAMETER = (127, 127)


class StandingState:
    """Remembers, for each channel, the registered parameters and the bend that stand."""

    def __init__(self) -> None:
        self._selected: dict[int, tuple[int, int]] = {}
        self._parameters: dict[tuple[int, tuple[int, int], int], int] = {}
        self._bends: dict[int, bytes] = {}

    def feed(self, message: StampedMessage) -> None:
        """Take note of what the message leaves standing."""
        data = message.data
        if len(data) != 3:
            return
        kind, channel = data[0] & 0xF0, data[0] & 0x0F
        if kind == _PITCH_BEND:
            self._bends[channel] = data
        elif kind == _CONTROL_CHANGE and data[1] in (*_PARAMETER_CONTROLLERS, _RESET_CONTROLLERS):
            self._control(channel, data[1], data[2])

    def preamble(self, stamp_ns: int = 0) -> tuple[StampedMessage, ...]:
        """Messages that bring a new listener to the same state, all with one stamp."""
        messages: list[bytes] = []
        for (channel, parameter, controller), value in self._parameters.items():
            status = _CONTROL_CHANGE | channel
            messages.append(bytes((status, 101, parameter[0])))
            messages.append(bytes((status, 100, parameter[1])))
            messages.append(bytes((status, controller, value)))
        messages.extend(bytes((_CONTROL_CHANGE | c, n, 127)) for c in sorted(self._channels()) for n in (101, 100))
        messages.extend(self._bends[channel] for channel in sorted(self._bends))
        return tuple(StampedMessage(stamp_ns, data) for data in messages)

    def _control(self, channel: int, controller: int, value: int) -> None:
        if controller == _RESET_CONTROLLERS:
            self._bends.pop(channel, None)
            self._selected.pop(channel, None)
            return
        msb, lsb = self._selected.get(channel, _NULL_PARAMETER)
        if controller == 101:
            self._selected[channel] = (value, lsb)
        elif controller == 100:
            self._selected[channel] = (msb, value)
        elif (msb, lsb) != _NULL_PARAMETER:
            self._parameters[channel, (msb, lsb), controller] = value

    def _channels(self) -> set[int]:
        return {channel for channel, _, _ in self._parameters}
