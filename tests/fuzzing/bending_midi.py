"""How MIDI is bent: the events of a file, and the messages of a stream.

Reference: Standard MIDI Files 1.0 (RP-001), MIDI 1.0 Detailed Specification.
"""

from collections.abc import Sequence
from typing import NamedTuple

from tests.fuzzing.bending import ODD_BYTES, ODD_NUMBERS, Edit, bent_bytes, chosen

ODD_EVENTS = (
    b"\xff\x2f\x00",
    b"\xff\x51\x03\x00\x00\x00",
    b"\xff\x51\x03\xff\xff\xff",
    b"\xff\x51\x02\x01\x02",
    b"\xff\x58\x04\x00\x00\x18\x08",
    b"\xff\x58\x04\x05\xff\x18\x08",
    b"\xff\x58\x01\x03",
    b"\xff\x59\x02\x7f\x07",
    b"\xff\x59\x00",
    b"\xff\x01\x81\x00" + b"x" * 128,
    b"\xff\x03\x02\xc3\x28",
    b"\xff\x7f\x00",
    b"\xf0\x03\x7e\x7f\xf7",
    b"\xf0\x02\x01\x02",
    b"\xf7\x01\xf8",
    b"\xf7\x03\xb0\x65\x00",
    b"\xf0\xff\xff\xff\x7f",
    b"\xb0\x65\x00",
    b"\xb0\x64\x00",
    b"\xb0\x06\x7f",
    b"\xb0\x06\x00",
    b"\xb0\x7b\x00",
    b"\xb0\x40\x7f",
    b"\xe0\x00\x00",
    b"\xe0\x7f\x7f",
    b"\xc0\x05",
    b"\xd0\x7f",
    b"\xa0\x40\x01",
    b"\x90\x40\x00",
    b"\x9f\x7f\x7f",
    b"\x90\x00\x01",
    b"\xf1\x00",
    b"\xf4",
    b"\xf8",
    b"\xfe",
    b"\xff",
)
ODD_DELTAS_S = (0.0, -1.0, float("nan"), float("inf"), 1e-9, 0.003, 0.5, 61.0, 86_400.0, 1e12)
_END = b"\x00\xff\x2f\x00"


class Driven(NamedTuple):
    """A message as a driver hands it over."""

    late_ns: int
    """How much later Python saw it than it came."""
    delta_s: float
    data: bytes


def bent_stream(stream: tuple[Driven, ...], edit: Edit, seeds: Sequence[tuple[Driven, ...]]) -> tuple[Driven, ...]:
    """Messages lost, doubled, moved, changed, late, or of another player."""
    messages = list(stream) or list(chosen(edit.what, seeds))
    at, to = edit.where % len(messages), edit.what % len(messages)
    one = messages[at]
    match edit.kind % 12:
        case 0:
            del messages[at : at + 1 + edit.what % 4]
        case 1:
            messages[to:to] = messages[at : at + 1 + edit.what % 30]
        case 2:
            messages[at], messages[to] = messages[to], messages[at]
        case 3:
            messages[at] = one._replace(data=chosen(edit.what, ODD_EVENTS))
        case 4:
            messages.insert(at, one._replace(data=chosen(edit.what, ODD_EVENTS)))
        case 5:
            messages[at] = one._replace(data=bent_bytes(one.data, Edit(edit.what, edit.where, edit.what >> 4), [b""]))
        case 6:
            messages[at] = one._replace(delta_s=chosen(edit.what, ODD_DELTAS_S))
        case 7:
            messages[at] = one._replace(late_ns=edit.what * 50_000)
        case 8:
            messages[at] = one._replace(data=one.data[:1] + bytes((chosen(edit.what, ODD_BYTES),)) + one.data[2:])
        case 9:
            messages[at:] = chosen(edit.what, seeds)[edit.where % 20 :]
        case 10:
            flood = Driven(0, 0.0002, bytes((0xE0 | edit.what % 16, edit.what % 128, edit.where % 128)))
            messages[at:at] = [flood] * (edit.what % 120)
        case _:
            status = one.data[0] if one.data else 0x90
            messages[at] = one._replace(data=bytes((status & 0xF0 | edit.what % 16,)) + one.data[1:])
    return tuple(messages)


def bent_midi_file(data: bytes, edit: Edit, seeds: Sequence[bytes]) -> bytes:
    """The events of one track bent and its length put right, or the header; of what is no such file, its bytes."""
    tracks = _tracks(data)
    if edit.kind % 5 == 0 or not tracks:
        return bent_bytes(data, edit._replace(kind=edit.kind // 5), seeds)
    if edit.kind % 5 == 1:
        place = chosen(edit.where, (8, 10, 12))
        number = chosen(edit.what, (*ODD_NUMBERS[:10], 24, 96, 480, 25_000, 0xE250, 0xE728, 0xE300))
        return data[:place] + number.to_bytes(2) + data[place + 2 :]
    start, end = chosen(edit.where, tracks)
    events = _bent_events(_events(data[start:end]), edit)
    body = b"".join(events)
    return data[: start - 4] + len(body).to_bytes(4) + body + data[end:]


def _bent_events(events: list[bytes], edit: Edit) -> list[bytes]:
    at, to = edit.where // 3 % len(events), edit.what % len(events)
    match edit.kind // 5 % 6:
        case 0:
            del events[at]
        case 1:
            events.insert(to, events[at])
        case 2:
            events[at], events[to] = events[to], events[at]
        case 3:
            events.insert(at, bytes((edit.what % 128,)) + chosen(edit.what, ODD_EVENTS))
        case 4:
            delta = chosen(
                edit.what, (b"\x00", b"\x7f", b"\x81\x00", b"\xff\x7f", b"\xff\xff\xff\x7f", b"\x80\x80\x00")
            )
            events[at] = delta + events[at].lstrip(bytes(range(0x80, 0x100)))[1:]
        case _:
            events[at] = bent_bytes(events[at], edit, events)
    return events


def _tracks(data: bytes) -> list[tuple[int, int]]:
    """Where the bodies of the tracks lie."""
    found, at = [], 14
    while data[at : at + 4] == b"MTrk":
        length = int.from_bytes(data[at + 4 : at + 8])
        if not length or at + 8 + length > len(data):
            break
        found.append((at + 8, at + 8 + length))
        at += 8 + length
    return found


def _events(body: bytes) -> list[bytes]:
    """The events of a track, each with its delta time; what cannot be taken apart is one event."""
    events, start = [], 0
    while start < len(body):
        at = start
        while at < len(body) and body[at] >= 0x80:
            at += 1
        end = _end_of_event(body, at + 1)
        events.append(body[start:end])
        start = end
    return events or [_END]


def _end_of_event(body: bytes, at: int) -> int:
    status = body[at] if at < len(body) else 0
    if status in (0xF0, 0xF7, 0xFF):
        at += 2 if status == 0xFF else 1
        length = 0
        while at < len(body):
            length = length << 7 | body[at] & 0x7F
            at += 1
            if body[at - 1] < 0x80:
                break
        return min(at + length, len(body))
    count = 1 if status & 0xE0 == 0xC0 else 2
    return min(at + count + (status >= 0x80), len(body))
