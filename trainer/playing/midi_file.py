"""Standard MIDI files as stamped messages: a forgiving, exact reader.

It reads formats 0 and 1, any number of tracks, running status, tempo maps and SMPTE divisions, and a file that was cut
off as far as it is whole. Messages keep their bytes as they were sent, status byte first.

Conventions: stamps are ns from the start of the file, by integer arithmetic from ticks, to the nearest ns; messages of
one tick keep the order of the file (by track, then by place in the track). Meta events are not messages: only the tempo
and the first text of the first track are read.

Reference: Standard MIDI Files 1.0 (RP-001, MIDI Manufacturers Association), and for the lengths of messages the MIDI
1.0 Detailed Specification, table of status bytes.
"""

from dataclasses import dataclass
from typing import NamedTuple

from trainer.playing.messages import StampedMessage

MAX_DELTA_TICKS = 0x0FFF_FFFF  # RP-001: a delta time has at most four bytes of seven bits
DEFAULT_TEMPO_US = 500_000  # RP-001: 120 quarters a minute until the file says otherwise
META, TEXT, TEMPO, END_OF_TRACK = 0xFF, 0x01, 0x51, 0x2F
SYSEX, SYSEX_END = 0xF0, 0xF7  # in a file, F7 also begins an escape: bytes that are sent as they are

_CHANNEL_DATA_BYTES = {0x80: 2, 0x90: 2, 0xA0: 2, 0xB0: 2, 0xC0: 1, 0xD0: 1, 0xE0: 2}
_SYSTEM_DATA_BYTES = {0xF1: 1, 0xF2: 2, 0xF3: 1, 0xF6: 0, 0xF8: 0, 0xFA: 0, 0xFB: 0, 0xFC: 0, 0xFE: 0}
_NS_PER_SECOND = 1_000_000_000
LONGEST_NS = 7 * 86_400 * _NS_PER_SECOND
"""What lasts longer than a week was not played: a slip, or an attack."""
_FRAMES_PER_SECOND = {24: (24, 1), 25: (25, 1), 29: (30_000, 1001), 30: (30, 1)}  # RP-001: -29 is 30 drop-frame


class MidiFileError(ValueError):
    """What is wrong with a MIDI file, in words, with the byte where that is known."""


class _CutOffError(Exception):
    """The file ends in the middle of an event."""


@dataclass(frozen=True, slots=True)
class MidiFile:
    """What a standard MIDI file holds, as far as playing is concerned."""

    messages: tuple[StampedMessage, ...]
    first_text: bytes | None
    """The first text event (FF 01) of the first track."""
    is_cut_off: bool
    """The file ends before it should; `messages` are those that are whole."""
    ends_at_ns: int = 0
    """When its last event falls, a meta event (the end of the track) included."""


class _Event(NamedTuple):
    tick: int
    data: bytes
    """A message, or the content of a meta event."""
    meta_kind: int | None = None
    """The type of a meta event; None for a message. Its bytes cannot tell: FF is a system reset on the wire."""


@dataclass(slots=True)
class _Cursor:
    """A place in the bytes of one track."""

    data: bytes
    position: int
    end: int
    is_cut_off: bool
    """The file ends before the track does."""

    def take(self, count: int) -> bytes:
        """The next `count` bytes."""
        if self.position + count > self.end:
            if self.is_cut_off:
                raise _CutOffError
            raise MidiFileError(f"byte {self.position}: an event runs past the end of its track")
        self.position += count
        return self.data[self.position - count : self.position]

    def byte(self) -> int:
        """The next byte."""
        return self.take(1)[0]

    def variable_length(self) -> int:
        """A number in bytes of seven bits, the highest first."""
        value = 0
        for _ in range(4):
            byte = self.byte()
            value = value << 7 | byte & 0x7F
            if byte < 0x80:
                return value
        raise MidiFileError(f"byte {self.position}: a number of more than four bytes")


def data_bytes_after(status: int) -> int | None:
    """How many data bytes a channel message has, by its status byte; None when it is not a channel message."""
    return _CHANNEL_DATA_BYTES.get(status & 0xF0)


def parse_midi_file(data: bytes) -> MidiFile:
    """Read the bytes of a standard MIDI file; `MidiFileError` when they are not one."""
    track_count, division, position = _file_header(data)
    ns_per_tick = _TickLength.of(division)
    tracks: list[list[_Event]] = []
    is_cut_off = False
    while len(tracks) < track_count and position + 8 <= len(data):
        kind, start = data[position : position + 4], position + 8
        position = start + int.from_bytes(data[position + 4 : start])
        if kind == b"MTrk":
            cursor = _Cursor(data, start, min(position, len(data)), is_cut_off=position > len(data))
            tracks.append(_track_events(cursor))
            is_cut_off |= cursor.is_cut_off
    if not tracks:
        raise MidiFileError("the file holds no track")
    first_text = next((event.data for event in tracks[0] if event.meta_kind == TEXT), None)
    merged = sorted((event for track in tracks for event in track), key=lambda event: event.tick)
    messages, ends_at_ns = _stamped(merged, ns_per_tick)
    return MidiFile(messages, first_text, is_cut_off or len(tracks) < track_count, ends_at_ns)


def _file_header(data: bytes) -> tuple[int, int, int]:
    """Number of tracks, division, and where the chunks after the header begin."""
    if not data:
        raise MidiFileError("the file is empty")
    if data[:4] != b"MThd":
        raise MidiFileError(f"not a MIDI file: it begins with {data[:4]!r}, expected b'MThd'")
    length = int.from_bytes(data[4:8])
    if len(data) < 14 or length < 6:
        raise MidiFileError("the file header is cut off: 14 bytes expected")
    form, track_count, division = (int.from_bytes(data[at : at + 2]) for at in (8, 10, 12))
    if form > 1:
        raise MidiFileError(f"format {form}: expected 0 or 1 (one piece of music)")
    return track_count, division, 8 + length


@dataclass(frozen=True, slots=True)
class _TickLength:
    """The length of a tick as an exact ratio of ns; when it is metrical, the numerator follows the tempo."""

    numerator: int
    denominator: int
    is_metrical: bool

    @classmethod
    def of(cls, division: int) -> "_TickLength":
        if division & 0x8000 == 0:
            if division == 0:
                raise MidiFileError("division 0: expected ticks a quarter")
            return cls(DEFAULT_TEMPO_US * 1000, division, is_metrical=True)
        frames, ticks_a_frame = 0x100 - (division >> 8), division & 0xFF
        if frames not in _FRAMES_PER_SECOND or ticks_a_frame == 0:
            raise MidiFileError(f"division {division:#06x}: expected 24, 25, 29 or 30 frames a second with ticks")
        rate, per = _FRAMES_PER_SECOND[frames]
        return cls(_NS_PER_SECOND * per, rate * ticks_a_frame, is_metrical=False)

    def nearest_ns(self, elapsed: int) -> int:
        """A time that is kept in ns times the denominator."""
        return (elapsed + self.denominator // 2) // self.denominator


def _stamped(events: list[_Event], tick: _TickLength) -> tuple[tuple[StampedMessage, ...], int]:
    """The messages among `events` (sorted by tick) with their stamps, the tempo events obeyed; and when all ends."""
    messages: list[StampedMessage] = []
    numerator = tick.numerator
    elapsed, last_tick = 0, 0  # elapsed: in ns times the denominator, so that it stays whole
    for event in events:
        elapsed += (event.tick - last_tick) * numerator
        last_tick = event.tick
        if event.meta_kind is None:
            messages.append(StampedMessage(tick.nearest_ns(elapsed), event.data))
        elif event.meta_kind == TEMPO and tick.is_metrical:
            numerator = int.from_bytes(event.data) * 1000
    ends_at_ns = tick.nearest_ns(elapsed)
    if ends_at_ns > LONGEST_NS:
        raise MidiFileError(f"it lasts {ends_at_ns // (3600 * _NS_PER_SECOND)} hours: expected at most a week")
    return tuple(messages), ends_at_ns


def _track_events(cursor: _Cursor) -> list[_Event]:
    """The events of one track; of a track that is cut off, those that are whole.

    An end-of-track event before the end is passed over, as most readers do; but when what follows it cannot be read,
    the track was over.
    """
    events: list[_Event] = []
    tick, running, sysex = 0, None, b""
    has_ended = False
    try:
        while cursor.position < cursor.end:
            tick += cursor.variable_length()
            status = cursor.byte()
            if status == META:
                kind, content = _meta_event(cursor)
                has_ended |= kind == END_OF_TRACK
                events.append(_Event(tick, content, kind))
                continue
            if status in (SYSEX, SYSEX_END):
                content = cursor.take(cursor.variable_length())
                data, sysex = _assembled(status, content, sysex)
            else:
                data, running = _message(cursor, status, running)
            if data:
                events.append(_Event(tick, data))
    except _CutOffError:
        pass
    except MidiFileError:
        if not has_ended:
            raise
    return events


def _meta_event(cursor: _Cursor) -> tuple[int, bytes]:
    """Its type and its content."""
    kind = cursor.byte()
    content = cursor.take(cursor.variable_length())
    if kind == TEMPO and len(content) != 3:
        raise MidiFileError(f"byte {cursor.position}: a tempo of {len(content)} bytes, expected 3")
    return kind, content


def _assembled(status: int, content: bytes, begun: bytes) -> tuple[bytes, bytes]:
    """A complete message, if there is one now, and the system exclusive that is still open after this packet.

    RP-001: F0 begins a system exclusive and F7 continues one that is open; else F7 holds bytes to send as they are.
    """
    if status == SYSEX_END and not begun:
        return content, b""
    whole = (begun if status == SYSEX_END else bytes((SYSEX,))) + content
    return (whole, b"") if whole[-1] == SYSEX_END else (b"", whole)


def _message(cursor: _Cursor, status: int, running: int | None) -> tuple[bytes, int | None]:
    """A channel message, its status perhaps carried over, or a short system message; and the status to carry on."""
    first = b""
    if status < 0x80:
        if running is None:
            raise MidiFileError(f"byte {cursor.position - 1}: {status:02X}, expected a status byte")
        first, status = bytes((status,)), running
    count = data_bytes_after(status)
    is_channel_message = count is not None
    if count is None:
        count = _SYSTEM_DATA_BYTES.get(status)
    if count is None:
        raise MidiFileError(f"byte {cursor.position - 1}: {status:02X} is no status that a MIDI file may hold")
    data = first + cursor.take(count - len(first))
    if any(byte >= 0x80 for byte in data):
        raise MidiFileError(f"byte {cursor.position - 1}: {data.hex(' ').upper()}, expected data bytes below 80")
    return bytes((status,)) + data, status if is_channel_message else running
