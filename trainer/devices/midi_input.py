"""Live input from a MIDI port, through python-rtmidi.

Theory of operation. The driver calls back from a thread of its own; the callback only notes (arrival, delta, bytes)
and returns. `poll`, called once a frame, stamps what was noted (`trainer.playing.stamps`), and every `CHECK_NS` it
compares the names of the ports that exist with the one that is open: an unplugged port raises nothing, it only vanishes
from that list. When it has vanished the input says so and opens it again when it is back. A JACK server that has died
goes on showing its ports; the pulse (`trainer.devices.pulse`) notices, then all clients are left, and made anew when
there is a server again. Clock and active sensing messages are let through by the driver, because those that it ignores
would eat the deltas of the others, and are dropped here.

A device that is gone holds nothing any more: on every channel that it spoke on, its notes are ended and its controllers
are reset by messages that are put in here, so that no note hangs on and no bend stands when it is back.

Limits: a port of a program, not of a cable, that goes and comes between two looks under one name is not noticed.

Conventions: stamps and `now_ns` are on the computer's steady clock, `time.perf_counter_ns` (`time.monotonic_ns` counts
in steps of 16 ms on Windows).
"""

import time
from collections import deque
from collections.abc import Callable
from contextlib import suppress

from trainer.devices.midi_drivers import (
    DRIVERS,
    Connection,
    MidiDrivers,
    MidiInputError,
    Port,
    driver_errors,
    port_named,
    ports_of,
    words_of,
)
from trainer.devices.quiet import quiet_drivers
from trainer.playing.messages import StampedMessage
from trainer.playing.stamps import StampAnchor

# A look costs 0.03 to 0.16 ms. No cable is out and in again between two: a hub lets a plug settle for 100 ms (USB 2.0).
CHECK_NS = 60_000_000
RETRY_NS = 500_000_000
"""Between two tries to enter a system or to open a port: being refused costs up to 20 ms."""
PORT_NAME = "input"
_DROPPED = (0xF8, 0xFE)  # clock and active sensing (MIDI 1.0): they come all the time and say nothing of what is played
_SILENCING = ((123, 0), (121, 0))  # all notes off, reset all controllers (MIDI 1.0, RP-015)


class MidiInput:
    """One MIDI port, open or waited for; polled like a simulated player.

    `MidiInputError` when no port has that name. A port that another program holds is not an error: `status` says so and
    it is tried again.
    """

    def __init__(
        self, name: str, drivers: MidiDrivers = DRIVERS, clock_ns: Callable[[], int] = time.perf_counter_ns
    ) -> None:
        ports = drivers.ports()
        self.name = port_named(name, [port.name for _, port in ports])
        """The name to remember the port by."""
        self.is_connected = False
        """Whether the port is there and open."""
        self._api = next(api for api, port in ports if port.name == self.name)
        self._drivers = drivers
        self._is_closed = False
        self._connection: Connection | None = drivers.connect(self._api)
        self._clock_ns = clock_ns
        self._arrived: deque[tuple[int, float, bytes]] = deque()
        self._anchor = StampAnchor()
        self._system_name = ""
        self._status = ""
        self._callback_error: str | None = None
        self._has_port = False
        self._is_waiting = False
        self._has_lost = False
        self._spoken_on: set[int] = set()
        self._last_stamp_ns = 0
        self._looks_at_ns = clock_ns()
        self._look(self._looks_at_ns)

    @property
    def status(self) -> str:
        """One sentence for the screen."""
        if self._callback_error is not None:
            return f"{self._status} A message could not be taken in: {self._callback_error}."
        return self._status

    @property
    def trouble(self) -> str:
        """The same, while the port is not heard as it should be; empty otherwise."""
        return "" if self.is_connected and self._callback_error is None else self.status

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """The messages that have arrived since the last poll; once in a while, see whether the port is still there."""
        messages = []
        while self._arrived:
            arrival_ns, delta_seconds, data = self._arrived.popleft()
            if self._connection is not None and self._connection.pulse is not None:
                self._connection.pulse.hear(data)
            self._last_stamp_ns = self._anchor.stamp(arrival_ns, delta_seconds)
            if data and data[0] not in _DROPPED:
                messages.append(StampedMessage(self._last_stamp_ns, data))
                if data[0] < 0xF0:
                    self._spoken_on.add(data[0] & 0x0F)
        if not self._is_closed and now_ns >= self._looks_at_ns:
            self._look(now_ns)
            messages.extend(self._silenced(now_ns))
        return tuple(messages)

    def close(self) -> None:
        """Close the port for good."""
        self._is_closed = True
        self._status = f"{self.name} is closed."
        self._leave()

    def _look(self, now_ns: int) -> None:
        """Compare what should be open with what is there, and open, close or reopen accordingly."""
        self._looks_at_ns = now_ns + CHECK_NS
        connection = self._living(now_ns)
        if connection is None:
            return
        ports = ports_of(connection.client)
        if self.is_connected and any(port.system_name == self._system_name for port in ports):
            return
        is_there = any(port.name == self.name for port in ports)
        if self._is_waiting and not is_there:
            return
        if self._has_port:  # one that is our own is given up for certain only by leaving
            self._leave()
            connection = self._living(now_ns)
        if connection is None:
            return
        port = next((port for port in ports_of(connection.client) if port.name == self.name), None)
        if port is not None:
            self._open(connection, port)
        else:
            self._wait(connection)

    def _living(self, now_ns: int) -> Connection | None:
        """The client in a system that answers; a new one after it has died, None while it is dead."""
        if self._connection is not None and not self._is_answered(self._connection, now_ns):
            self._leave()
            self._drivers.abandon(self._api)
        if self._connection is None:
            try:
                self._connection = self._drivers.connect(self._api)
            except MidiInputError:
                self._looks_at_ns = now_ns + RETRY_NS
                self._status = (
                    f"The MIDI system does not answer any more. Start it again: {self.name} is taken up by itself."
                )
        return self._connection

    def _is_answered(self, connection: Connection, now_ns: int) -> bool:
        if not self._drivers.has(connection):
            return False
        if connection.pulse is None:
            return True
        with quiet_drivers(), suppress(*driver_errors()):
            connection.pulse.beat(now_ns)
        return not connection.pulse.is_lost

    def _open(self, connection: Connection, port: Port) -> None:
        try:
            self._have_port(connection, lambda: connection.client.open_port(port.index, name=PORT_NAME))
        except driver_errors() as error:
            why = f"{self.name} cannot be opened ({words_of(error)})."
            self._status = f"{why} Close what else uses it: it is tried again and again."
            self._looks_at_ns += RETRY_NS - CHECK_NS
            return
        self._status = f"{self.name} is {'back' if self._system_name else 'connected'}."
        self._system_name = port.system_name
        self.is_connected = True

    def _wait(self, connection: Connection) -> None:
        """The port has gone; where a system can die have a port all the same, which the pulse can reach."""
        self._status = f"{self.name} has gone. Plug it in again: it is taken up by itself."
        self._is_waiting = True
        if connection.pulse is not None:
            with suppress(*driver_errors()):
                self._have_port(connection, lambda: connection.client.open_virtual_port(PORT_NAME))

    def _have_port(self, connection: Connection, open_port: Callable[[], object]) -> None:
        """The one port in a client's life; whatever arrives on it is noted."""
        client, pulse = connection.client, connection.pulse
        self._has_port = True
        self._anchor.restart()
        with quiet_drivers():
            before = () if pulse is None else pulse.ports()
            client.ignore_types(sysex=False, timing=False, active_sense=False)
            client.set_callback(self._note_arrival)
            open_port()
            if pulse is not None:
                pulse.reach(before)

    def _leave(self) -> None:
        """Leave the system, and with it the port."""
        self._has_lost |= self.is_connected
        self.is_connected = self._has_port = self._is_waiting = False
        if self._connection is not None:
            connection, self._connection = self._connection, None
            self._drivers.release(connection)

    def _silenced(self, now_ns: int) -> list[StampedMessage]:
        """After the port was lost: the end of all that its device held."""
        if not self._has_lost:
            return []
        self._has_lost = False
        stamp_ns = max(now_ns, self._last_stamp_ns)
        channels, self._spoken_on = sorted(self._spoken_on), set()
        return [
            StampedMessage(stamp_ns, bytes((0xB0 | channel, *control)))
            for channel in channels
            for control in _SILENCING
        ]

    def _note_arrival(self, event: tuple[list[int], float], _: object = None) -> None:
        """Called in the driver's thread, where exceptions vanish without a trace."""
        arrival_ns = self._clock_ns()
        try:
            data, delta_seconds = event
            self._arrived.append((arrival_ns, delta_seconds, bytes(data)))
        except Exception as error:  # whatever it is, nobody else would see it
            self._callback_error = words_of(error)
