"""MIDI systems, clients and a clock without hardware."""

import os
from collections.abc import Callable
from dataclasses import dataclass, field

from trainer.devices.midi_drivers import MidiDrivers
from trainer.devices.midi_input import MidiInput
from trainer.playing.messages import StampedMessage

MS = 1_000_000
ON = [0x90, 64, 100]
OFF = [0x80, 64, 0]


@dataclass
class System:
    """A MIDI system without hardware; `ports` are what is plugged in, `busy` what another program holds."""

    ports: list[str] = field(default_factory=list)
    busy: set[str] = field(default_factory=set)
    is_there: bool = True
    can_die: bool = False
    """Whether inputs have a pulse."""
    carries: bool = True
    """Whether what a client plays into a port arrives there."""
    clients: list["Client"] = field(default_factory=list)
    log: list[str] = field(default_factory=list)

    def drivers(self, *others: "System") -> MidiDrivers:
        systems = (self, *others)

        def connect(api: int) -> "Client":
            systems[api].log.append("connect")
            if not systems[api].is_there:
                raise OSError("the server is not running")
            return Client(systems[api])

        def connect_pulse(api: int) -> "PulseClient | None":
            return PulseClient(systems[api]) if systems[api].can_die else None

        return MidiDrivers(lambda: list(range(len(systems))), connect, connect_pulse, lambda _seconds: None)

    def die(self) -> None:
        """What is open goes on showing what it saw, and hears nothing any more."""
        self.is_there, self.carries = False, False

    def start_again(self, *ports: str) -> None:
        self.is_there, self.carries, self.ports = True, True, list(ports)

    def send(self, data: list[int], delta_seconds: float) -> None:
        for client in self.clients:
            if self.carries and client.opened in self.ports and client.callback:
                client.callback((data, delta_seconds), None)


class Client:
    def __init__(self, system: System) -> None:
        self.system = system
        self.callback: Callable[[tuple[list[int], float], object], None] | None = None
        self.opened: str | None = None
        self.ignored = (True, True, True)
        system.clients.append(self)

    def get_ports(self) -> list[str]:
        os.write(2, b"noise of a driver\n")
        return list(self.system.ports)

    def open_port(self, port: int, name: str) -> None:
        if self.opened is not None:
            raise OSError("a port is open already")
        if self.system.ports[port] in self.system.busy:
            raise OSError("error creating the port.")
        self.opened = self.system.ports[port]
        self.system.log.append(f"open {self.opened} as {name}")

    def open_virtual_port(self, name: str) -> None:
        if self.opened is not None:
            raise OSError("a port is open already")
        self.opened = "nothing"
        self.system.log.append(f"wait as {name}")

    def set_callback(self, func: Callable[[tuple[list[int], float], object], None]) -> None:
        self.callback = func

    def cancel_callback(self) -> None:
        self.callback = None

    def ignore_types(self, sysex: bool, timing: bool, active_sense: bool) -> None:  # noqa: FBT001 - rtmidi's signature
        self.ignored = (sysex, timing, active_sense)

    def delete(self) -> None:
        assert self.callback is None, "a thread that is cancelled in a callback holds the interpreter up for ever"
        self.system.clients.remove(self)
        self.system.log.append("delete")


class PulseClient:
    """Sees the inputs that clients have opened, and plays into one of them."""

    def __init__(self, system: System) -> None:
        self.system = system
        self.target: Client | None = None
        self.is_deleted = False

    def get_ports(self) -> list[str]:
        return [f"client {id(client)}:input" for client in self._listening()]

    def open_port(self, port: int, name: str) -> None:
        assert self.target is None, "a port is open already"
        self.target = self._listening()[port]
        self.system.log.append(f"{name} into {self.target.opened}")

    def send_message(self, message: bytes) -> None:
        assert not self.is_deleted
        target = self.target
        if target is not None and self.system.carries and target.opened is not None and target.callback is not None:
            target.callback((list(message), 0.1), None)

    def delete(self) -> None:
        self.is_deleted = True

    def _listening(self) -> list[Client]:
        return [client for client in self.system.clients if client.opened is not None]


class Clock:
    def __init__(self) -> None:
        self.now_ns = 0

    def __call__(self) -> int:
        return self.now_ns


def opened(system: System, name: str = "Pickup") -> tuple[MidiInput, Clock]:
    clock = Clock()
    return MidiInput(name, system.drivers(), clock), clock


def poll_for(midi_input: MidiInput, clock: Clock, duration_ns: int) -> list[StampedMessage]:
    """Poll once a frame for a while."""
    messages: list[StampedMessage] = []
    end_ns = clock.now_ns + duration_ns
    while clock.now_ns < end_ns:
        clock.now_ns += 16 * MS
        messages.extend(midi_input.poll(clock.now_ns))
    return messages


def play(system: System, clock: Clock, at_ns: int, data: list[int], delta_seconds: float) -> None:
    clock.now_ns = at_ns
    system.send(data, delta_seconds)


def silenced(stamp_ns: int, *channels: int) -> list[StampedMessage]:
    """All notes off and reset all controllers, as the MIDI specification writes them."""
    controls = [bytes((0xB0 | channel, *control)) for channel in channels or (0,) for control in ((123, 0), (121, 0))]
    return [StampedMessage(stamp_ns, data) for data in controls]
