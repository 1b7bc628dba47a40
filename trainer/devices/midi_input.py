"""Live input from a MIDI port, through python-rtmidi.

Theory of operation. The driver calls back from a thread of its own; the callback only notes (arrival, delta, bytes)
and returns. `poll`, called once a frame, stamps what was noted (`trainer.playing.stamps`), and every `CHECK_NS` it
compares the names of the ports that exist with the one that is open: an unplugged port raises nothing, it only vanishes
from that list. When it has vanished the input says so and opens it again when it is back. Clock and active sensing
messages are let through by the driver, because those that it ignores would eat the deltas of the others, and are
dropped here.

Limits: a cable that is out and in again between two looks is not noticed, nor is a JACK server that dies: its client
library goes on showing the ports that were there. Choosing the port again helps in both cases.

A port is known by its name without the numbers that the system adds, which change between starts, and by an ordinal
when several have that name: `Pickup`, `Pickup (2)`.

Conventions: stamps and `now_ns` are on the computer's steady clock, `time.perf_counter_ns` (`time.monotonic_ns` counts
in steps of 16 ms on Windows).
"""

import difflib
import re
import time
from collections import Counter, deque
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from typing import Protocol

from trainer.devices.quiet import quiet_drivers
from trainer.playing.messages import StampedMessage
from trainer.playing.stamps import StampAnchor

CLIENT_NAME = "boxwalk"
CHECK_NS = 500_000_000  # a look costs 0.03 to 0.16 ms
_DROPPED = (0xF8, 0xFE)  # clock and active sensing (MIDI 1.0): they come all the time and say nothing of what is played
_SYSTEM_NUMBERS = re.compile(r"(\s+\[\d+\])|(\s+\d+(:\d+)?$)")
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

    def ignore_types(self, sysex: bool, timing: bool, active_sense: bool) -> None:  # noqa: FBT001 - rtmidi's signature
        """Choose what the driver holds back."""
        ...

    def close_port(self) -> None:
        """Close the port and forget the callback."""
        ...

    def delete(self) -> None:
        """Leave the MIDI system."""
        ...


@dataclass(frozen=True, slots=True)
class Port:
    """A port that can be opened now."""

    name: str
    """The name to remember it by."""
    system_name: str
    """The name that the system gives it today."""
    index: int


class MidiDrivers:
    """The MIDI systems that rtmidi was built for: ALSA and JACK on Linux, one elsewhere; any of them may be absent.

    When a JACK server has died, a new client that is refused takes away what the older ones need, and closing those
    then crashes (seen with jackd 1.9.21). So ports are listed through a client that is open, if there is one, and when
    a client is refused the older ones of that system are left as they are, for good.
    """

    def __init__(self, apis: Callable[[], list[int]], connect: Callable[[int], MidiClient]) -> None:
        self._apis = apis
        self._connect = connect
        self._connected: list[tuple[int, MidiClient]] = []
        self._lost: list[tuple[int, MidiClient]] = []

    def connect(self, api: int) -> MidiClient:
        """A new client; `MidiInputError` when that system is absent."""
        try:
            with quiet_drivers():
                client = self._connect(api)
        except _driver_errors() as error:
            self._lost.extend(entry for entry in self._connected if entry[0] == api)
            raise MidiInputError(f"The MIDI system does not answer ({_plain(error)}).") from error
        self._connected.append((api, client))
        return client

    def release(self, api: int, client: MidiClient) -> None:
        """Leave the system."""
        self._connected.remove((api, client))
        if (api, client) in self._lost:
            return
        with quiet_drivers(), suppress(*_driver_errors()):
            client.delete()

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
        for connected_api, connected in self._connected:
            if connected_api == api:
                return ports_of(connected)
        try:
            client = self.connect(api)
        except MidiInputError:
            return ()
        try:
            return ports_of(client)
        finally:
            self.release(api, client)


def _compiled_apis() -> list[int]:
    import rtmidi

    return [api for api in rtmidi.get_compiled_api() if api != rtmidi.API_RTMIDI_DUMMY]


def _connect(api: int) -> MidiClient:
    import rtmidi

    return rtmidi.MidiIn(api, name=CLIENT_NAME)


DRIVERS = MidiDrivers(_compiled_apis, _connect)


def input_names(drivers: MidiDrivers = DRIVERS) -> tuple[str, ...]:
    """The names of the ports that can be opened, real devices first; none when there is no MIDI system."""
    try:
        names = [port.name for _, port in drivers.ports()]
    except MidiInputError:
        return ()
    return tuple(sorted(names, key=lambda name: _THROUGH.search(name) is not None))


def ports_of(client: MidiClient) -> tuple[Port, ...]:
    """The ports that a client sees, by the names to remember them by; none when its system has gone."""
    try:
        with quiet_drivers():
            system_names = client.get_ports()
    except _driver_errors():
        return ()
    counts: Counter[str] = Counter()
    ports = []
    for index, system_name in enumerate(system_names):
        plain = _SYSTEM_NUMBERS.sub("", system_name) or system_name
        counts[plain] += 1
        name = plain if counts[plain] == 1 else f"{plain} ({counts[plain]})"
        ports.append(Port(name, system_name, index))
    return tuple(ports)


def port_named(wanted: str, names: Iterable[str]) -> str:
    """The port that `wanted` means: its name, in any case, or a part that only one has; `MidiInputError` otherwise."""
    names = list(names)
    if not names:
        raise MidiInputError(f"There is no MIDI port {wanted!r}: none was found at all. Is the pickup plugged in?")
    plain = _SYSTEM_NUMBERS.sub("", wanted).casefold()
    for candidates in (
        [name for name in names if name == wanted],
        [name for name in names if name.casefold() == plain],
        [name for name in names if plain and plain in name.casefold()],
    ):
        if len(candidates) == 1:
            return candidates[0]
    near = difflib.get_close_matches(wanted, names, n=3, cutoff=0.0)
    raise MidiInputError(f"There is no MIDI port {wanted!r}. Nearest: {', '.join(near)}.")


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
        self._client: MidiClient | None = drivers.connect(self._api)
        self._clock_ns = clock_ns
        self._arrived: deque[tuple[int, float, bytes]] = deque()
        self._anchor = StampAnchor()
        self._system_name = ""
        self._status = ""
        self._callback_error: str | None = None
        self._checked_at_ns = clock_ns()
        self._look()

    @property
    def status(self) -> str:
        """One sentence for the screen."""
        if self._callback_error is not None:
            return f"{self._status} A message could not be taken in: {self._callback_error}."
        return self._status

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """The messages that have arrived since the last poll; once in a while, see whether the port is still there."""
        messages = []
        while self._arrived:
            arrival_ns, delta_seconds, data = self._arrived.popleft()
            stamp_ns = self._anchor.stamp(arrival_ns, delta_seconds)
            if data and data[0] not in _DROPPED:
                messages.append(StampedMessage(stamp_ns, data))
        if not self._is_closed and now_ns - self._checked_at_ns >= CHECK_NS:
            self._checked_at_ns = now_ns
            self._look()
        return tuple(messages)

    def close(self) -> None:
        """Close the port for good."""
        self.is_connected, self._is_closed = False, True
        self._status = f"{self.name} is closed."
        self._leave()

    def _look(self) -> None:
        """Compare what should be open with what is there, and open, close or reopen accordingly."""
        ports = ports_of(self._client) if self._client is not None else ()
        if self.is_connected and any(port.system_name == self._system_name for port in ports):
            return
        port = next((port for port in ports if port.name == self.name), None)
        if port is not None:
            self._open(port)
        else:
            self._close_port()
            self._status = f"{self.name} has gone. Plug it in again: it is taken up by itself."

    def _open(self, port: Port) -> None:
        if self._client is None:
            return
        self._close_port()
        self._anchor.restart()
        try:
            with quiet_drivers():
                self._client.ignore_types(sysex=False, timing=False, active_sense=False)
                self._client.set_callback(self._note_arrival)
                self._client.open_port(port.index, name="input")
        except _driver_errors() as error:
            self._status = (
                f"{self.name} cannot be opened ({_plain(error)}). If another program uses it, close that one: "
                "it is tried again all the time."
            )
            return
        self._status = f"{self.name} is {'back' if self._system_name else 'connected'}."
        self._system_name = port.system_name
        self.is_connected = True

    def _close_port(self) -> None:
        if self.is_connected and self._client is not None:
            with quiet_drivers(), suppress(*_driver_errors()):
                self._client.close_port()
        self.is_connected = False

    def _leave(self) -> None:
        if self._client is not None:
            client, self._client = self._client, None
            self._drivers.release(self._api, client)

    def _note_arrival(self, event: tuple[list[int], float], _: object = None) -> None:
        """Called in the driver's thread, where exceptions vanish without a trace."""
        arrival_ns = self._clock_ns()
        try:
            data, delta_seconds = event
            self._arrived.append((arrival_ns, delta_seconds, bytes(data)))
        except Exception as error:  # whatever it is, nobody else would see it
            self._callback_error = _plain(error)


def _plain(error: BaseException) -> str:
    return str(error).strip().rstrip(".") or type(error).__name__


def _driver_errors() -> tuple[type[Exception], ...]:
    """What rtmidi raises; its `SystemError` is an `OSError`, and so is a port in use on Windows."""
    try:
        import rtmidi
    except ImportError:
        return (ImportError, OSError)
    return (rtmidi.RtMidiError, OSError)
