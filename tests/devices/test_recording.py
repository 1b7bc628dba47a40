import errno
import io
from collections.abc import Callable
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

import mido
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from trainer.devices.recording import (
    FLUSH_NS,
    TICK_NS,
    TakeWriter,
    list_takes,
    quantised,
    take_path,
    takes_folder,
)
from trainer.playing.messages import StampedMessage
from trainer.playing.midi_file import MAX_DELTA_TICKS, parse_midi_file
from trainer.playing.take import TakeHeader, read_take

SECOND = 1_000_000_000
HEADER = TakeHeader(
    program="boxwalk 0.1.0",
    date="2026-11-25T14:03:22",
    exercise_name="quarry-steps",
    exercise={"name": "quarry-steps"},
    pace="click",
    quarters_per_minute=Fraction(90),
)


def on(stamp_ns: int, pitch: int = 64) -> StampedMessage:
    return StampedMessage(stamp_ns, bytes((0x90, pitch, 100)))


SECTOR = 512


class Disk:
    """A disk with room for so many bytes; it remembers every state that its one file went through, byte by byte.

    A few bytes that are written over others within one sector come at once: neither a kill nor a power failure
    divides a sector (from memory: 512 bytes, the smallest that disks write).
    """

    def __init__(self, room: int = 1 << 40) -> None:
        self.room = room
        self.content = bytearray()
        self.states: list[bytes] = []
        self.step_ends: list[int] = []

    def create(self, path: Path) -> "DiskFile":
        path.touch(exist_ok=False)
        return DiskFile(self, path)


class DiskFile(io.FileIO):
    def __init__(self, disk: Disk, path: Path) -> None:
        super().__init__(path, "r+b")
        self._disk = disk

    def write(self, data: Any) -> int:
        disk, at = self._disk, self.tell()
        fits = data[: max(0, disk.room - at)]
        if data and not fits:
            raise OSError(errno.ENOSPC, "No space left on device")
        is_at_once = at + len(fits) <= len(disk.content) and at // SECTOR == (at + len(fits) - 1) // SECTOR
        step = max(1, len(fits)) if is_at_once else 1
        for index in range(0, len(fits), step):
            disk.content[at + index : at + index + step] = fits[index : index + step]
            disk.states.append(bytes(disk.content))
        disk.step_ends.append(len(disk.states))
        super().write(fits)
        return len(fits)


def refuse(path: Path) -> io.RawIOBase:
    raise OSError(errno.EROFS, "Read-only file system", str(path))


# What a take holds


def test_a_take_reads_back_as_its_header_and_its_messages(tmp_path: Path) -> None:
    messages = (on(0), on(SECOND), StampedMessage(SECOND, b"\xe0\x00\x40"), StampedMessage(2 * SECOND, b"\x80\x40\x00"))
    writer = TakeWriter(tmp_path / "take.mid", HEADER)

    for message in messages:
        writer.keep(message)
    writer.close()

    take = read_take(tmp_path / "take.mid")
    assert (take.header, take.messages, take.is_cut_off) == (HEADER, messages, False)
    assert (writer.path, writer.trouble) == (tmp_path / "take.mid", None)


def channel_messages() -> st.SearchStrategy[bytes]:
    data = st.integers(0, 127)
    two = st.tuples(st.sampled_from([0x80, 0x90, 0xA0, 0xB0, 0xE0]), data, data)
    return (two | st.tuples(st.sampled_from([0xC0, 0xDF]), data)).map(bytes)


ANY_BYTES = st.binary(min_size=1, max_size=200)
SYSTEM_EXCLUSIVES = st.lists(st.integers(0, 127), max_size=300).map(lambda data: bytes((0xF0, *data, 0xF7)))
GAPS = st.integers(0, 3 * 10**6) | st.sampled_from(
    [0, 127, 128, MAX_DELTA_TICKS - 1, MAX_DELTA_TICKS, MAX_DELTA_TICKS + 1]
)


@given(st.lists(st.tuples(GAPS, channel_messages() | SYSTEM_EXCLUSIVES | ANY_BYTES, st.booleans()), max_size=12))
@example([(5, b"\xff", True), (5, b"\x90\x40\x50", True)])  # a system reset, MIDI 1.0
@example([(5, b"\xff\x51\x00\x00\x01", True), (5000, b"\x90\x40\x50", True)])  # looks like a tempo
@example([(5, b"\xff\x01text", False), (5, b"\xff\x2f", True), (5, b"\x90\x40\x50", True)])  # like a text, like the end
def test_any_bytes_at_any_stamps_come_back_exactly(
    tmp_path_factory: pytest.TempPathFactory, played: list[tuple[int, bytes, bool]]
) -> None:
    path = tmp_path_factory.mktemp("takes") / "take.mid"
    writer = TakeWriter(path, HEADER)
    stamp_ns, now_ns, messages = 0, 0, [on(0)]
    writer.keep(messages[0])

    for gap_ticks, data, is_flushed in played:
        stamp_ns += gap_ticks * TICK_NS
        messages.append(StampedMessage(stamp_ns, data))
        writer.keep(messages[-1])
        now_ns += FLUSH_NS
        if is_flushed:
            writer.tick(now_ns)
    writer.close()

    assert read_take(path).messages == tuple(messages)


def test_mido_reads_the_same_notes_at_the_same_times(tmp_path: Path) -> None:
    writer = TakeWriter(tmp_path / "take.mid", HEADER)
    for index in range(40):
        writer.keep(on(index * 37 * TICK_NS, 40 + index))
        writer.tick(index * FLUSH_NS // 3)
    writer.close()

    file = mido.MidiFile(tmp_path / "take.mid")
    seconds, notes = 0.0, []
    for message in file:
        seconds += message.time
        if isinstance(message, mido.Message) and message.type == "note_on":
            notes.append((round(seconds * SECOND), message.note))

    assert file.type == 0
    assert notes == [(index * 37 * TICK_NS, 40 + index) for index in range(40)]


def test_a_silence_longer_than_a_delta_time_is_bridged(tmp_path: Path) -> None:
    two_hours_ns = 7200 * SECOND
    writer = TakeWriter(tmp_path / "take.mid", HEADER)
    writer.keep(on(0))
    writer.keep(on(two_hours_ns))
    writer.close()

    assert [message.stamp_ns for message in read_take(tmp_path / "take.mid").messages] == [0, two_hours_ns]
    assert mido.MidiFile(tmp_path / "take.mid").length == pytest.approx(7200)


def test_a_take_without_a_note_leaves_no_file(tmp_path: Path) -> None:
    writer = TakeWriter(tmp_path / "take.mid", HEADER)
    writer.keep(StampedMessage(0, b"\xb0\x65\x00"))
    writer.tick(FLUSH_NS)
    assert (tmp_path / "take.mid").exists()

    writer.close()

    assert list(tmp_path.iterdir()) == []
    assert (writer.path, writer.trouble) == (None, None)


@pytest.mark.parametrize(
    ("stamp_ns", "tick_ns"), [(0, 0), (TICK_NS - 1, 0), (TICK_NS, TICK_NS), (-1, -TICK_NS), (10**15 + 1, 10**15)]
)
def test_a_quantised_stamp_is_the_tick_it_falls_into(stamp_ns: int, tick_ns: int) -> None:
    assert quantised(stamp_ns) == tick_ns


@pytest.mark.parametrize("stamp_ns", [SECOND + 1, SECOND - TICK_NS])
def test_a_stamp_that_the_file_could_not_say_is_refused(tmp_path: Path, stamp_ns: int) -> None:
    writer = TakeWriter(tmp_path / "take.mid", HEADER)
    writer.keep(on(SECOND))

    with pytest.raises(
        ValueError, match=f"stamp {stamp_ns} ns: expected a multiple of 20000 that is at least {SECOND}"
    ):
        writer.keep(on(stamp_ns))
    writer.close()


# A program killed at any moment


def test_what_was_kept_is_in_the_file_at_the_next_tick_half_a_second_after_the_last_writing(tmp_path: Path) -> None:
    path = tmp_path / "take.mid"
    writer = TakeWriter(path, HEADER)
    writer.keep(on(0))

    writer.tick(FLUSH_NS - 1)
    early = read_take(path).messages
    writer.tick(FLUSH_NS)
    late = read_take(path).messages
    writer.close()

    assert (early, late) == ((), (on(0),))


def test_after_every_byte_written_the_file_opens_and_holds_a_beginning_of_what_was_kept(tmp_path: Path) -> None:
    disk = Disk()
    writer = TakeWriter(tmp_path / "take.mid", HEADER, create=disk.create)
    first_image = disk.step_ends[0]
    messages = [on(index * 30_000 * TICK_NS, 40 + index) for index in range(24)]
    for index, message in enumerate(messages):
        writer.keep(message)
        if index % 3 == 2:
            writer.tick((index + 1) * FLUSH_NS)
    writer.close()

    counts = []
    for state in disk.states[first_image - 1 :]:
        mido.MidiFile(file=io.BytesIO(state))
        read = parse_midi_file(state)
        assert (read.messages, read.is_cut_off) == (tuple(messages[: len(read.messages)]), False)
        counts.append(len(read.messages))
    assert counts == sorted(counts)
    assert sorted(set(counts)) == [0, 3, 6, 9, 12, 15, 18, 21, 24]


# Disks that fail


def test_a_full_disk_is_said_and_what_did_not_fit_is_written_when_there_is_room_again(tmp_path: Path) -> None:
    disk = Disk()
    writer = TakeWriter(tmp_path / "take.mid", HEADER, create=disk.create)
    disk.room = len(disk.content) + 3
    writer.keep(on(0))
    writer.tick(FLUSH_NS)
    trouble, read_meanwhile = writer.trouble, parse_midi_file(bytes(disk.content)).messages

    disk.room = 1 << 40
    writer.keep(on(SECOND))
    writer.tick(2 * FLUSH_NS)
    trouble_later = writer.trouble
    writer.close()

    assert trouble is not None
    assert "take.mid (No space left on device). It is kept in memory" in trouble
    assert read_meanwhile == ()
    assert trouble_later is None
    assert read_take(tmp_path / "take.mid").messages == (on(0), on(SECOND))


@pytest.mark.parametrize("create", [refuse, Disk(room=0).create, Disk(room=30).create], ids=["read-only", "full", "30"])
def test_a_take_that_its_folder_does_not_take_is_kept_in_the_spare_folder(
    tmp_path: Path, create: Callable[[Path], io.RawIOBase]
) -> None:
    spare = tmp_path / "spare"

    def create_here(path: Path) -> io.RawIOBase:
        return path.open("xb", buffering=0) if path.parent == spare else create(path)

    writer = TakeWriter(tmp_path / "takes" / "take.mid", HEADER, spare_folder=spare, create=create_here)
    trouble_at_first, path_at_first = writer.trouble, writer.path
    writer.keep(on(0))
    writer.tick(FLUSH_NS)
    writer.close()

    assert trouble_at_first is not None
    assert path_at_first is None
    assert writer.trouble == (
        f"The take could not be written to {tmp_path / 'takes' / 'take.mid'}; it is kept as {spare / 'take.mid'}."
    )
    assert writer.path == spare / "take.mid"
    assert read_take(spare / "take.mid").messages == (on(0),)


def test_a_disk_that_fills_up_in_the_middle_leaves_a_beginning_there_and_the_whole_in_the_spare_folder(
    tmp_path: Path,
) -> None:
    disk, spare = Disk(), tmp_path / "spare"

    def create(path: Path) -> io.RawIOBase:
        return path.open("xb", buffering=0) if path.parent == spare else disk.create(path)

    writer = TakeWriter(tmp_path / "take.mid", HEADER, spare_folder=spare, create=create)
    writer.keep(on(0))
    writer.tick(FLUSH_NS)
    disk.room = len(disk.content) + 1
    writer.keep(on(SECOND))
    writer.close()

    assert read_take(tmp_path / "take.mid").messages == (on(0),)
    assert read_take(spare / "take.mid").messages == (on(0), on(SECOND))
    assert writer.path == spare / "take.mid"


def test_a_take_that_can_be_written_nowhere_says_so_and_does_not_raise(tmp_path: Path) -> None:
    writer = TakeWriter(tmp_path / "take.mid", HEADER, spare_folder=tmp_path / "spare", create=refuse)
    writer.keep(on(0))
    writer.close()

    assert writer.path is None
    assert writer.trouble is not None
    assert writer.trouble.startswith("The take could be written neither to ")


# Names and the folder


def test_takes_that_begin_in_one_second_get_names_of_their_own(tmp_path: Path) -> None:
    wanted = take_path(tmp_path, datetime(2026, 11, 25, 14, 3, 22), "Quarry steps: ../up & over")

    writers = [TakeWriter(wanted, HEADER) for _ in range(3)]
    for writer in writers:
        writer.keep(on(0))
        writer.close()

    assert [writer.path.name for writer in writers if writer.path] == [
        "2026-11-25_14-03-22_quarry-steps-up-over.mid",
        "2026-11-25_14-03-22_quarry-steps-up-over_2.mid",
        "2026-11-25_14-03-22_quarry-steps-up-over_3.mid",
    ]


def test_an_exercise_without_a_plain_name_still_gets_a_file(tmp_path: Path) -> None:
    assert take_path(tmp_path, datetime(2026, 1, 2, 3, 4, 5), "…").name == "2026-01-02_03-04-05_line.mid"


def test_takes_are_listed_from_the_newest_with_what_is_wrong_with_broken_ones(tmp_path: Path) -> None:
    older = TakeWriter(tmp_path / "2026-11-24_a.mid", HEADER)
    for message in (on(0), StampedMessage(SECOND, b"\x90\x40\x00"), on(2 * SECOND)):
        older.keep(message)
    older.close()
    (tmp_path / "2026-11-25_b.mid").write_bytes(b"")
    (tmp_path / "notes.txt").write_text("no take")

    newest, oldest = list_takes(tmp_path)

    assert newest.trouble == f"{tmp_path / '2026-11-25_b.mid'}: the file is empty"
    assert (oldest.path, oldest.header, oldest.note_ons, oldest.duration_ns, oldest.trouble) == (
        tmp_path / "2026-11-24_a.mid",
        HEADER,
        2,
        2 * SECOND,
        None,
    )


def test_without_a_folder_there_are_no_takes(tmp_path: Path) -> None:
    assert list_takes(tmp_path / "nowhere") == ()


def test_the_folder_of_takes_can_be_named_by_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))

    assert takes_folder() == tmp_path / "takes"


def test_otherwise_the_folder_of_takes_is_in_the_users_data_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("BOXWALK_DATA", raising=False)

    assert takes_folder().parts[-2:] == ("boxwalk", "takes")


def test_a_take_tells_when_it_was_over_though_nothing_more_was_played(tmp_path: Path) -> None:
    writer = TakeWriter(tmp_path / "take.mid", HEADER)
    writer.keep(on(SECOND))

    writer.tick(7 * SECOND + TICK_NS + 1)
    writer.close()

    assert read_take(tmp_path / "take.mid").ends_at_ns == 7 * SECOND + TICK_NS
