"""The MIDI systems that python-rtmidi reaches, their ports, and the names that ports are remembered by.

A port is known by its name without the numbers that the system adds, which change between starts, and by an ordinal
when several have that name: `Pickup`, `Pickup (2)`.
"""

import difflib
import gc
import re
import time
from collections import Counter
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from typing import Protocol

from trainer.devices.pulse import Pulse, PulseClient
from trainer.devices.quiet import quiet_drivers
from trainer.devices.system import plain_port_name

CLIENT_NAME = "boxwalk"
PULSE_NAME = f"{CLIENT_NAME}-pulse"
CALL_ENDS_S = 0.01
"""By then a callback that was under way has come to its end, for it takes some microseconds."""
_THROUGH = re.compile(r"\bthrough\b", re.IGNORECASE)


class MidiInputError(Exception):
    """Why there is no MIDI input, in words for the player."""


class MidiClient(Protocol):
    """What is used of `rtmidi.MidiIn`."""

    def get_ports(self) -> list[str]:
        """The names of the ports that can be opened."""
        ...

    def open_port(self, port: int, name: str) -> object:
        """Open one of them by its place in that list."""
        ...

    def set_callback(self, func: Callable[[tuple[list[int], float], object], None]) -> None:
        """Have a function called for each message."""
        ...

    def cancel_callback(self) -> None:
        """Have it called no longer."""
        ...

    def ignore_types(self, sysex: bool, timing: bool, active_sense: bool) -> None:  # noqa: FBT001 - rtmidi's signature
        """Choose what the driver holds back."""
        ...

    def open_virtual_port(self, name: str) -> object:
        """Have a port of our own that nothing is joined to."""
        ...

    def delete(self) -> None:
        """Leave the MIDI system, and with it the port."""
        ...


@dataclass(frozen=True, slots=True)
class Port:
    """A port that can be opened now."""

    name: str
    """The name to remember it by."""
    system_name: str
    """The name that the system gives it today."""
    index: int


@dataclass(frozen=True, slots=True, eq=False)
class Connection:
    """One client in a MIDI system, and what it is told by whether that system lives."""

    api: int
    client: MidiClient
    pulse: Pulse | None
    """None where a system does not die."""


class MidiDrivers:
    """The MIDI systems that rtmidi was built for: ALSA and JACK on Linux, one elsewhere; any of them may be absent.

    When a JACK server has died, a new client that is refused takes away what the older ones need, and closing those
    then crashes (seen with jackd 1.9.21). So ports are listed through a client that is open, if there is one; a system
    that is known to be lost is left with all clients at once, before a new one is tried; and when a client is refused
    all the same, the older ones of that system are kept as they are, for good.

    `connect_pulse` gives a client to beat with (`trainer.devices.pulse`), or None for a system that does not die.
    """

    def __init__(
        self,
        apis: Callable[[], list[int]],
        connect: Callable[[int], MidiClient],
        connect_pulse: Callable[[int], PulseClient | None] = lambda _api: None,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._apis = apis
        self._connect = connect
        self._connect_pulse = connect_pulse
        self._sleep = sleep
        self._connected: list[Connection] = []
        self._lost: list[Connection] = []

    def connect(self, api: int) -> Connection:
        """A new client, with its pulse; `MidiInputError` when that system is absent."""
        connection: Connection | None = None
        try:
            with quiet_drivers():
                client = self._connect(api)
                connection = Connection(api, client, None)
                output = self._connect_pulse(api)
        except driver_errors() as error:
            self._lost += [lost for lost in (*self._connected, connection) if lost is not None and lost.api == api]
            self._connected = [kept for kept in self._connected if kept.api != api]
            raise MidiInputError(f"The MIDI system does not answer ({words_of(error)}).") from error
        if output is not None:
            connection = Connection(api, client, Pulse(output))
        self._connected.append(connection)
        return connection

    def has(self, connection: Connection) -> bool:
        """Whether a client is still in its system; if not, it must not be touched."""
        return connection in self._connected

    def release(self, *connections: Connection) -> None:
        """Leave the system, as far as these are still in it.

        Callbacks are called off first, and those under way come to their end: JACK cancels a client's thread when the
        client leaves, and a thread that is cancelled while it waits for the interpreter keeps its lock for ever (seen
        with jackd 1.9.21). What they use is held meanwhile, for rtmidi 1.5 lets go of it at once.
        """
        leaving = [connection for connection in connections if connection in self._connected]
        in_use = [gc.get_referents(connection.client) for connection in leaving]
        with quiet_drivers(), suppress(*driver_errors()):
            for connection in leaving:
                connection.client.cancel_callback()
        self._sleep(CALL_ENDS_S)
        in_use.clear()
        for connection in leaving:
            self._connected.remove(connection)
            with quiet_drivers(), suppress(*driver_errors()):
                connection.client.delete()
            with quiet_drivers(), suppress(*driver_errors()):
                if connection.pulse is not None:
                    connection.pulse.client.delete()

    def abandon(self, api: int) -> None:
        """Leave a system that has died, with every client."""
        self.release(*(connection for connection in self._connected if connection.api == api))

    def ports(self) -> list[tuple[int, Port]]:
        """All ports with the API they are found by; a device that two APIs show is given once."""
        found: list[tuple[int, Port]] = []
        for api in self.apis():
            seen = {port.name for _, port in found}
            found.extend((api, port) for port in self._ports_of(api) if port.name not in seen)
        return found

    def apis(self) -> list[int]:
        """The APIs that rtmidi was built with; `MidiInputError` when it cannot be loaded at all."""
        try:
            return self._apis()
        except ImportError as error:
            raise MidiInputError(
                f"MIDI input cannot be loaded: {error}. On Linux it needs the package libasound2 (or libasound2t64)."
            ) from error

    def _ports_of(self, api: int) -> tuple[Port, ...]:
        for connection in self._connected:
            if connection.api == api:
                return ports_of(connection.client)
        try:
            connection = self.connect(api)
        except MidiInputError:
            return ()
        try:
            return ports_of(connection.client)
        finally:
            self.release(connection)


def _compiled_apis() -> list[int]:
    import rtmidi

    return [api for api in rtmidi.get_compiled_api() if api != rtmidi.API_RTMIDI_DUMMY]


def _connect(api: int) -> MidiClient:
    import rtmidi

    return rtmidi.MidiIn(api, name=CLIENT_NAME)


def _connect_pulse(api: int) -> PulseClient | None:
    import rtmidi

    return rtmidi.MidiOut(api, name=PULSE_NAME) if api == rtmidi.API_UNIX_JACK else None


DRIVERS = MidiDrivers(_compiled_apis, _connect, _connect_pulse)


def input_names(drivers: MidiDrivers = DRIVERS) -> tuple[str, ...]:
    """The names of the ports that can be opened, real devices first; none when there is no MIDI system."""
    try:
        names = [port.name for _, port in drivers.ports()]
    except MidiInputError:
        return ()
    return tuple(sorted(names, key=lambda name: _THROUGH.search(name) is not None))


def ports_of(client: MidiClient) -> tuple[Port, ...]:
    """The ports that a client sees but for our own, by the names to remember them by; none when its system has gone."""
    try:
        with quiet_drivers():
            system_names = client.get_ports()
    except driver_errors():
        return ()
    counts: Counter[str] = Counter()
    ports = []
    for index, system_name in enumerate(system_names):
        if system_name.startswith(PULSE_NAME):
            continue
        plain = plain_port_name(system_name)
        counts[plain] += 1
        name = plain if counts[plain] == 1 else f"{plain} ({counts[plain]})"
        ports.append(Port(name, system_name, index))
    return tuple(ports)


def port_named(wanted: str, names: Iterable[str]) -> str:
    """The port that `wanted` means: its name, in any case, or a part that only one has; `MidiInputError` otherwise."""
    names = list(names)
    if not names:
        raise MidiInputError(f"There is no MIDI port {wanted!r}: none was found at all. Is the pickup plugged in?")
    plain = plain_port_name(wanted).strip().casefold()
    for candidates in (
        [name for name in names if name == wanted],
        [name for name in names if name.casefold() == plain],
        [name for name in names if plain and plain in name.casefold()],
    ):
        if len(candidates) == 1:
            return candidates[0]
    near = difflib.get_close_matches(wanted, names, n=3, cutoff=0.0)
    raise MidiInputError(f"There is no MIDI port {wanted!r}. Nearest: {', '.join(near)}.")


def words_of(error: BaseException) -> str:
    """What a driver said, without its full stop."""
    return str(error).strip().rstrip(".") or type(error).__name__


def driver_errors() -> tuple[type[Exception], ...]:
    """What rtmidi raises; its `SystemError` is an `OSError`, and so is a port in use on Windows."""
    try:
        import rtmidi
    except ImportError:
        return (ImportError, OSError)
    return (rtmidi.RtMidiError, OSError)
