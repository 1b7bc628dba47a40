"""What differs between Linux, Windows and macOS, in one place; nothing else asks which of them it runs on.

Most of it needs no asking, because one way serves all three:

- Ports: ALSA and JACK put numbers behind names, Windows a number, macOS nothing; a port is known without them. On
  Windows a port can be opened once only: one that is held is said to be held, and tried again.
- Paths: `platformdirs` knows the folders; names of files are made of letters, digits and hyphens, and no device's name
  of Windows is one of them on any system, so that a folder can be carried from one to another.
- Keys: what Ctrl does, the command key of macOS does as well; both names of it are heard on every system.
- Screens: the window is drawn in the units that the system gives it; on Windows and macOS the system scales it.
- Time: `perf_counter_ns` is fine everywhere, `monotonic_ns` counts in steps of 16 ms on Windows.

References: Microsoft, "Naming Files, Paths, and Namespaces"; RtMidi 5, its names of ports for each system.
"""

import re

_SYSTEM_NUMBERS = re.compile(r"(\s+\[\d+\])|(\s+\d+(:\d+)?$)")
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul", "conin$", "conout$"}
    | {f"{device}{digit}" for device in ("com", "lpt") for digit in "0123456789¹²³"}
)


def plain_port_name(system_name: str) -> str:
    """The name of a port without the numbers that the system adds, which change between starts.

    >>> plain_port_name("Pickup 20:0"), plain_port_name("Pickup 1"), plain_port_name("a2j:Pickup [20] (capture): 0")
    ('Pickup', 'Pickup', 'a2j:Pickup (capture):')
    """
    return _SYSTEM_NUMBERS.sub("", system_name) or system_name


def is_device_name(file_name: str) -> bool:
    """Whether Windows takes a name for a device, in any case and whatever ending it has.

    >>> is_device_name("con.toml"), is_device_name("contour.toml")
    (True, False)
    """
    return file_name.partition(".")[0].rstrip(" ").casefold() in _DEVICES
