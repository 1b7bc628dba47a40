"""Files as a stranger might send them: whatever their bytes, they are read or refused, and in no long time."""

import json
from collections.abc import Callable
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.homework.builders import assignment_of, lines_of, returned_of, take_of
from trainer.homework.assignment import assignment_bytes, assignment_in, text_of
from trainer.homework.container import ASSIGNMENT, RETURN, packed, unpacked
from trainer.homework.errors import HomeworkError
from trainer.homework.measuring import MeasuredTake, Unused, measured
from trainer.homework.returned import returned_bytes, returned_in

TAKE = take_of(passes=1)
GIVEN = assignment_bytes(assignment_of())
BACK = returned_bytes(returned_of(TAKE))
VALUES = json.loads(text_of(assignment_of()))
TOLD = json.loads(unpacked(BACK)[RETURN])
LINES = lines_of(assignment_of())

odd = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.sampled_from([10**40, -1, 0, 1, 2**31, 2**63]),
    st.floats(),
    st.sampled_from(["", "1/0", "1e999999999", "-1", "0", "3/2", "9" * 5000, "\ud800", "\u202e", "pick", "slide"]),
    st.text(max_size=8),
    st.sampled_from([[], {}, [[]], [None], {"a": {}}]),
)
bytes_changed = st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 255)), min_size=1, max_size=6)
patience = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def reads_or_refuses(data: bytes) -> None:
    for read in (assignment_in, returned_in):
        assert _complaint_of(read, data).isprintable()


def _complaint_of(read: Callable[[bytes], object], data: bytes) -> str:
    try:
        read(data)
    except HomeworkError as error:
        return str(error)
    return ""


def places(values: Any, here: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in a JSON value; of long lists the first two."""
    inside = values.items() if isinstance(values, dict) else enumerate(values[:2]) if isinstance(values, list) else ()
    return [here] * bool(here) + [place for key, value in inside for place in places(value, (*here, key))]


def put(values: Any, place: tuple[Any, ...], value: object) -> Any:
    changed = json.loads(json.dumps(values))
    inner = changed
    for key in place[:-1]:
        inner = inner[key]
    inner[place[-1]] = value
    return changed


@patience
@given(st.sampled_from([GIVEN, BACK]), bytes_changed)
def test_files_with_some_bytes_changed(data: bytes, changes: list[tuple[int, int]]) -> None:
    bent = bytearray(data)
    for at, byte in changes:
        bent[at % len(bent)] = byte

    reads_or_refuses(bytes(bent))


@patience
@given(st.sampled_from(places(VALUES)), odd)
def test_assignments_with_any_value_anywhere(place: tuple[Any, ...], value: object) -> None:
    reads_or_refuses(packed({ASSIGNMENT: json.dumps(put(VALUES, place, value)).encode()}))


@patience
@given(st.sampled_from(places(TOLD)), odd)
def test_returned_files_with_any_value_anywhere(place: tuple[Any, ...], value: object) -> None:
    members = unpacked(BACK) | {RETURN: json.dumps(put(TOLD, place, value)).encode()}

    reads_or_refuses(packed(members))


@patience
@given(st.binary(max_size=300))
def test_members_of_any_bytes(data: bytes) -> None:
    reads_or_refuses(packed({ASSIGNMENT: data}))
    reads_or_refuses(packed(unpacked(BACK) | {RETURN: data}))


@patience
@given(bytes_changed, st.integers(0, 10**6))
def test_takes_with_some_bytes_changed_are_measured_or_do_not_count(changes: list[tuple[int, int]], end: int) -> None:
    bent = bytearray(TAKE)
    for at, byte in changes:
        bent[at % len(bent)] = byte

    for data in (bytes(bent), TAKE[: end % len(TAKE)]):
        assert isinstance(measured(LINES, data), MeasuredTake | Unused)


@patience
@given(st.data())
def test_takes_with_any_value_in_their_header_are_measured_or_do_not_count(data: st.DataObject) -> None:
    start = TAKE.index(b'{"boxwalk_take"')
    header, end = json.JSONDecoder().raw_decode(TAKE[start:].decode("latin-1"))
    bent = put(header, data.draw(st.sampled_from(places(header))), data.draw(odd))
    text = json.dumps(bent, separators=(",", ":")).encode()
    head = b"MThd\0\0\0\6\0\0\0\1\x61\xa8MTrk"
    events = b"\0\xff\1" + _length(len(text)) + text + TAKE[start + end :]

    assert isinstance(measured(LINES, head + len(events).to_bytes(4) + events), MeasuredTake | Unused)


def _length(value: int) -> bytes:
    """A variable-length quantity of four bytes."""
    return bytes((value >> shift & 0x7F) | (0x80 if shift else 0) for shift in (21, 14, 7, 0))


def test_the_header_that_is_bent_reads_as_it_was_when_nothing_is_bent() -> None:
    start = TAKE.index(b'{"boxwalk_take"')
    header, end = json.JSONDecoder().raw_decode(TAKE[start:].decode("latin-1"))
    text = json.dumps(header, separators=(",", ":")).encode()
    events = b"\0\xff\1" + _length(len(text)) + text + TAKE[start + end :]

    found = measured(LINES, b"MThd\0\0\0\6\0\0\0\1\x61\xa8MTrk" + len(events).to_bytes(4) + events)

    assert isinstance(found, MeasuredTake)
    assert found.clean == (True,)
