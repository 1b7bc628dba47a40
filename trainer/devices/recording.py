"""Keeping a take while it is played.

Theory of operation. A take is a standard MIDI file of format 0 at every moment, so that a killed program loses only
what it had not yet written. A track ends with an end-of-track event (00 FF 2F 00), and its length stands in its first
bytes; growing it must not pass through a state that a reader cannot open. Each growth therefore has three steps, of
which the last two change four bytes and one byte and cannot be caught half-way:

1. the new events and a new end of track are written *behind* the old one, where readers do not look yet;
2. the length of the track is patched: the file now holds the new events, with an early end of track among them;
3. one byte of the early end is patched (2F to 01), which turns it into an empty text event.

What arrives is written by `tick`, at most every `FLUSH_NS`. Writing hands the bytes to the operating system and does
not wait for the disk (an fsync would stop the frames for tens of ms), so a killed program loses at most that time, and
a power failure what the system had not yet written; `close` waits for the disk. When writing fails, `trouble` says so
in a sentence, everything stays in memory and is tried again; at the end it goes to a spare folder.

Conventions: a tick of the file is 20 us: division 25000 at 120 quarters a minute, the tempo that readers assume by
themselves. That is finer than a MIDI cable (320 us a byte) or any port, and the largest delta time is 89 minutes;
longer silences are bridged by empty text events, and one stands where the take was over. Stamps are quantised before
they are judged (`quantised`), so that the take says exactly what was judged.

Reference: Standard MIDI Files 1.0 (RP-001, MIDI Manufacturers Association).
"""

import os
import re
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from io import RawIOBase
from itertools import count
from pathlib import Path

import platformdirs

from trainer.playing.messages import StampedMessage
from trainer.playing.midi_file import (
    DEFAULT_TEMPO_US,
    END_OF_TRACK,
    MAX_DELTA_TICKS,
    META,
    SYSEX,
    SYSEX_END,
    TEMPO,
    TEXT,
    data_bytes_after,
)
from trainer.playing.take import TakeError, TakeHeader, header_to_json, read_take

TICK_NS = 20_000
FLUSH_NS = 500_000_000  # half of the second that a killed program may lose
_DIVISION = DEFAULT_TEMPO_US * 1000 // TICK_NS
_LENGTH_POSITION = 18  # of the track's length: behind the file header (14 bytes) and "MTrk"
_TRACK_START = 22
_EMPTY_TEXT = bytes((META, TEXT, 0))
_END = bytes((0, META, END_OF_TRACK, 0))
_END_TYPE_AT = 2  # of the byte in `_END` that makes it an end of track
_DATA_FOLDER_VARIABLE = "BOXWALK_DATA"
CONTEST = "contest"
"""How the name of a take begins that is a pass of a contest's run."""


def quantised(stamp_ns: int) -> int:
    """The tick of a take that a stamp falls into, in ns: at most one tick earlier, never later."""
    return stamp_ns // TICK_NS * TICK_NS


def takes_folder() -> Path:
    """Where takes are kept: in the user's data folder, or in the folder that BOXWALK_DATA names."""
    named = os.environ.get(_DATA_FOLDER_VARIABLE)
    return (Path(named) if named else platformdirs.user_data_path("boxwalk", appauthor=False)) / "takes"


def take_path(folder: Path, when: datetime, exercise_name: str) -> Path:
    """A name for a take by its date and exercise, with characters that every system allows."""
    plain = re.sub(r"[^a-z0-9]+", "-", exercise_name.lower()).strip("-")[:60] or "line"
    return folder / f"{when:%Y-%m-%d_%H-%M-%S}_{plain}.mid"


@dataclass(frozen=True, slots=True)
class ListedTake:
    """One file of the folder of takes."""

    path: Path
    header: TakeHeader | None
    note_ons: int
    duration_ns: int
    trouble: str | None = None
    """Why it cannot be read."""


def list_takes(folder: Path) -> tuple[ListedTake, ...]:
    """The takes in a folder, the newest first; none when there is no such folder."""
    return tuple(_listed(path) for path in sorted(folder.glob("*.mid"), reverse=True))


def _listed(path: Path) -> ListedTake:
    try:
        take = read_take(path)
    except TakeError as error:
        return ListedTake(path, None, 0, 0, str(error))
    note_ons = sum(_is_note_on(message.data) for message in take.messages)
    return ListedTake(path, take.header, note_ons, take.messages[-1].stamp_ns if take.messages else 0)


def _create_file(path: Path) -> RawIOBase:
    """A new file, written without a buffer of Python's; `FileExistsError` when there is one already."""
    return path.open("xb", buffering=0)


class TakeWriter:
    """Writes one take: `keep` what arrives, `tick` once a frame, `close` at the end.

    `path` is a wish: when it is taken, a number is added. No method raises for the disk's sake; see `trouble`.
    """

    def __init__(
        self,
        path: Path,
        header: TakeHeader,
        *,
        spare_folder: Path | None = None,
        create: Callable[[Path], RawIOBase] = _create_file,
    ) -> None:
        self.path: Path | None = None
        """Where the take is kept, None while it is nowhere."""
        self.trouble: str | None = None
        """A sentence for the player when the take cannot be written."""
        self._wanted = path
        self._spare_folder = spare_folder or Path(tempfile.gettempdir()) / "boxwalk-takes"
        self._create = create
        self._head = _meta(TEMPO, DEFAULT_TEMPO_US.to_bytes(3)) + _meta(TEXT, header_to_json(header).encode())
        self._events = bytearray()
        self._file: RawIOBase | None = None
        self._written = 0
        self._end_at = 0
        self._last_ns = 0
        self._now_ns = 0
        self._flushed_at_ns = 0
        self._has_notes = False
        self._is_closed = False
        self._write()

    def keep(self, message: StampedMessage) -> None:
        """Keep one message; it is written at a later `tick`.

        `ValueError` when its stamp is not quantised or runs backwards: the take would not say what was judged.
        """
        if message.stamp_ns % TICK_NS or message.stamp_ns < self._last_ns:
            raise ValueError(
                f"stamp {message.stamp_ns} ns: expected a multiple of {TICK_NS} that is at least {self._last_ns}"
            )
        if message.data:
            self._events += _delta((message.stamp_ns - self._last_ns) // TICK_NS) + _file_event(message.data)
            self._last_ns = message.stamp_ns
            self._has_notes |= _is_note_on(message.data)

    def tick(self, now_ns: int) -> None:
        """Write what waits, when the last writing is `FLUSH_NS` or more ago."""
        self._now_ns = now_ns
        if now_ns - self._flushed_at_ns >= FLUSH_NS:
            self._flushed_at_ns = now_ns
            self._write()

    def close(self) -> None:
        """Write the rest and when the take was over, and wait for the disk; a take that holds no note is not kept."""
        if self._is_closed:
            return
        self._is_closed = True
        if not self._has_notes:
            self._discard()
            return
        self._events += _delta(max(0, self._now_ns - self._last_ns) // TICK_NS) + _EMPTY_TEXT
        self._write(to_disk=True)
        if self.trouble is not None:
            self._keep_elsewhere()

    def _write(self, *, to_disk: bool = False) -> None:
        """Bring the file up to date; on failure say so, and leave the rest for the next time."""
        try:
            if self._file is None:
                self._file = self._begin(self._wanted)
            if self._written < len(self._events):
                self._grow(self._file)
            if to_disk:
                _settle(self._file)
        except OSError as error:
            self.trouble = (
                f"The take cannot be written to {self._wanted} ({error.strerror or error}). "
                "It is kept in memory, and writing is tried again."
            )
        else:
            self.trouble = None

    def _begin(self, wanted: Path) -> RawIOBase:
        """A new file that holds all that is kept so far."""
        wanted.parent.mkdir(parents=True, exist_ok=True)
        image = _file_image(self._head + self._events)
        path, file = self._created(wanted)
        try:
            _write_at(file, 0, image)
        except OSError:
            file.close()
            path.unlink(missing_ok=True)
            raise
        self.path, self._end_at, self._written = path, len(image) - len(_END), len(self._events)
        return file

    def _created(self, wanted: Path) -> tuple[Path, RawIOBase]:
        for number in count(1):
            path = wanted if number == 1 else wanted.with_stem(f"{wanted.stem}_{number}")
            try:
                return path, self._create(path)
            except FileExistsError:
                continue
        raise AssertionError("there is always a free name")

    def _grow(self, file: RawIOBase) -> None:
        """Append what is new in three steps, each of which leaves a file that can be opened; see the module's text."""
        new = bytes(self._events[self._written :])
        end_at = self._end_at + len(_END) + len(new)
        _write_at(file, self._end_at + len(_END), new + _END)
        _write_at(file, _LENGTH_POSITION, (end_at + len(_END) - _TRACK_START).to_bytes(4))
        _write_at(file, self._end_at + _END_TYPE_AT, bytes((TEXT,)))
        self._end_at = end_at
        self._written += len(new)

    def _keep_elsewhere(self) -> None:
        wanted = self._wanted
        self._abandon()
        try:
            file = self._begin(self._spare_folder / wanted.name)
            _settle(file)
        except OSError as error:
            self.trouble = f"The take could be written neither to {wanted} nor to {self._spare_folder} ({error})."
        else:
            self.trouble = f"The take could not be written to {wanted}; it is kept as {self.path}."

    def _abandon(self) -> None:
        """Let the file go that could not be written to; what it holds stays a readable beginning of the take."""
        if self._file is not None:
            with suppress(OSError):
                self._file.close()
            self._file = None

    def _discard(self) -> None:
        self._abandon()
        if self.path is not None:
            try:
                self.path.unlink(missing_ok=True)
            except OSError as error:
                self.trouble = f"The empty take {self.path} cannot be removed ({error.strerror or error})."
        self.path = None


def _settle(file: RawIOBase) -> None:
    """Wait until the disk has a file, and close it."""
    try:
        os.fsync(file.fileno())
    finally:
        file.close()


def _write_at(file: RawIOBase, position: int, data: bytes) -> None:
    """Write all of `data`; a raw file may take it in parts when a disk fills up, and then raises on the next part."""
    file.seek(position)
    while data:
        data = data[file.write(data) or 0 :]


def _file_image(events: bytes) -> bytes:
    header = b"MThd" + (6).to_bytes(4) + (0).to_bytes(2) + (1).to_bytes(2) + _DIVISION.to_bytes(2)
    return header + b"MTrk" + (len(events) + len(_END)).to_bytes(4) + events + _END


def _meta(kind: int, content: bytes) -> bytes:
    return bytes((0, META, kind)) + _variable_length(len(content)) + content


def _delta(ticks: int) -> bytes:
    """A delta time; one too long for its four bytes is bridged by empty text events."""
    bridges, rest = divmod(ticks, MAX_DELTA_TICKS)
    return (_variable_length(MAX_DELTA_TICKS) + _EMPTY_TEXT) * bridges + _variable_length(rest)


def _file_event(data: bytes) -> bytes:
    """A message as a file holds it: as it is, as a system exclusive, or, whatever else it is, as an escape (F7)."""
    if data_bytes_after(data[0]) == len(data) - 1 and max(data[1:]) < 0x80:
        return data
    if data[0] == SYSEX and data[-1] == SYSEX_END:
        return bytes((SYSEX,)) + _variable_length(len(data) - 1) + data[1:]
    return bytes((SYSEX_END,)) + _variable_length(len(data)) + data


def _variable_length(value: int) -> bytes:
    sevens = [value & 0x7F]
    while value := value >> 7:
        sevens.append(value & 0x7F | 0x80)
    return bytes(reversed(sevens))


def _is_note_on(data: bytes) -> bool:
    return len(data) == 3 and data[0] & 0xF0 == 0x90 and data[2] > 0
