import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.playing.messages import StampedMessage
from trainer.playing.midi_file import parse_midi_file
from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.playing.take import Take, TakeError, TakeHeader, header_to_json, read_take

ON = bytes((0x90, 64, 100))
OFF = bytes((0x80, 64, 0))


def chunk(kind: bytes, content: bytes, length: int | None = None) -> bytes:
    return kind + (len(content) if length is None else length).to_bytes(4) + content


def midi(*tracks: str, form: int = 0, division: int = 480) -> bytes:
    """A file with these tracks, each written in hex."""
    header = b"".join(value.to_bytes(2) for value in (form, len(tracks), division))
    return chunk(b"MThd", header) + b"".join(chunk(b"MTrk", bytes.fromhex(track)) for track in tracks)


def read(data: bytes) -> list[tuple[int, str]]:
    return [(message.stamp_ns, message.data.hex(" ")) for message in parse_midi_file(data).messages]


def header() -> TakeHeader:
    return TakeHeader(
        program="boxwalk 0.1.0",
        date="2026-11-25T14:03:22+01:00",
        exercise_name="quarry-steps",
        exercise={"name": "quarry-steps", "notes": [{"onset_quarters": "1/3", "fret": 12}]},
        pace="click",
        quarters_per_minute=Fraction(187, 2),
        starts_at_ns=2_566_844_919,
        passes=4,
        first_note=8,
        last_note=15,
        profile=PickupProfile(
            name="six-pins", channel_use=ChannelUse.MPE, channel_of_course=(2, 3, 4, 5, 6, 7), latency_cycles=1.5
        ),
        tolerance={"hit_ns": 50_000_000, "hit_share_of_interval": 0.5},
        seed=7,
        input="Pickup",
    )


def with_text(text: bytes) -> bytes:
    return midi((b"\0\xff\x01" + bytes((0x80 | len(text) >> 7, len(text) & 0x7F)) + text + b"\0\xff\x2f\0").hex())


def altered(**fields: object) -> bytes:
    return with_text(json.dumps(json.loads(header_to_json(header())) | fields).encode())


# Stamps


def test_without_a_tempo_a_file_runs_at_120_quarters_a_minute() -> None:
    data = midi("00 904064 83 60 804000 00 FF2F00")

    assert read(data) == [(0, "90 40 64"), (500_000_000, "80 40 00")]


def test_a_tempo_changes_what_comes_after_it_and_nothing_before() -> None:
    # 480 ticks at 500,000 us, then 240 at 600,000 us, then 480 at 250,000 us
    data = midi("8360 904064 00 FF5103 0927C0 8170 804000 00 FF5103 03D090 8360 904164 00 FF2F00")

    assert read(data) == [(500_000_000, "90 40 64"), (800_000_000, "80 40 00"), (1_050_000_000, "90 41 64")]


def test_the_tempo_map_of_the_first_track_rules_the_others() -> None:
    data = midi("00 FF5103 0F4240 00 FF2F00", "8360 904064 00 FF2F00", form=1)

    assert read(data) == [(1_000_000_000, "90 40 64")]


def test_a_tick_that_is_no_whole_number_of_ns_does_not_add_up_an_error() -> None:
    # division 7 at 500,000 us: a tick is 71,428,571.43 ns, and seven of them are a quarter again
    data = midi("01 904064 01 804000 05 904064 00 FF2F00", division=7)

    assert [stamp for stamp, _ in read(data)] == [71_428_571, 142_857_143, 500_000_000]


@pytest.mark.parametrize(
    ("division", "second_ticks"), [(0xE728, 1000), (0xE878, 2880), (0xE250, 2400)], ids=["25x40", "24x120", "30x80"]
)
def test_a_division_by_film_frames_counts_real_time(division: int, second_ticks: int) -> None:
    two_sevens = bytes((0x80 | second_ticks >> 7, second_ticks & 0x7F)).hex()

    data = midi(f"00 FF5103 0F4240 {two_sevens} 904064 00 FF2F00", division=division)

    assert read(data) == [(1_000_000_000, "90 40 64")]


def test_drop_frame_time_runs_at_29_97_frames_a_second() -> None:
    data = midi("81AB18 904064 00 FF2F00", division=0xE301)  # one tick a frame

    ticks = 1 << 14 | 0x2B << 7 | 0x18
    assert [stamp for stamp, _ in read(data)] == [round(Fraction(ticks * 1001 * 10**9, 30_000))]


# Events


def test_running_status_goes_on_across_meta_events() -> None:
    data = midi("00 904064 00 4164 00 FF0600 00 4200 00 FF2F00")

    assert [message for _, message in read(data)] == ["90 40 64", "90 41 64", "90 42 00"]


def test_tracks_are_merged_in_time_and_keep_the_order_of_the_file_inside_a_tick() -> None:
    data = midi("0A 904064 00 804000 00 FF2F00", "05 914064 05 814000 00 FF2F00", form=1)

    assert [message for _, message in read(data)] == ["91 40 64", "90 40 64", "80 40 00", "81 40 00"]


def test_a_system_exclusive_in_packets_is_one_message_when_it_is_complete() -> None:
    data = midi("00 F003 7D0102 8360 F702 0304 8360 F702 05F7 00 FF2F00")

    assert read(data) == [(1_000_000_000, "f0 7d 01 02 03 04 05 f7")]


def test_escaped_bytes_come_as_they_are() -> None:
    data = midi("00 F703 F20102 00 F701 F8 00 FF2F00")

    assert [message for _, message in read(data)] == ["f2 01 02", "f8"]


def test_chunks_of_unknown_kind_are_passed_over() -> None:
    data = midi("00 904064 00 FF2F00")

    assert read(data[:14] + chunk(b"Xtra", b"anything") + data[14:]) == [(0, "90 40 64")]


def test_a_longer_file_header_is_passed_over() -> None:
    data = midi("00 904064 00 FF2F00")

    longer = b"MThd" + (8).to_bytes(4) + data[8:14] + b"\0\0" + data[14:]

    assert read(longer) == [(0, "90 40 64")]


def test_bytes_behind_the_last_track_are_not_read() -> None:
    assert read(midi("00 904064 00 FF2F00") + b"MTrk\0\0\0\4\0\x80\x40\0") == [(0, "90 40 64")]


# Files that are cut off or broken


def test_a_file_cut_off_anywhere_gives_the_messages_that_are_whole() -> None:
    data = midi("00 904064 8360 804000 8360 F003 7D01F7 00 FF2F00")
    whole = parse_midi_file(data).messages
    ends = (26, 31, 38)  # where each of the three messages ends in the file

    for length in range(22, len(data)):
        cut = parse_midi_file(data[:length])

        assert (cut.messages, cut.is_cut_off) == (whole[: sum(end <= length for end in ends)], True)


def test_a_file_whose_second_track_is_missing_is_cut_off() -> None:
    data = midi("00 904064 00 FF2F00", "00 914064 00 FF2F00", form=1)

    cut = parse_midi_file(data[:30])

    assert cut.is_cut_off
    assert cut.messages == (StampedMessage(0, ON),)


@pytest.mark.parametrize(
    ("data", "complaint"),
    [
        (b"", "the file is empty"),
        (b"PK\3\4 something else", r"begins with b'PK\\x03\\x04', expected b'MThd'"),
        (b"MThd\0\0\0\6\0\0", "header is cut off"),
        (midi("00 FF2F00", form=2), "format 2: expected 0 or 1"),
        (midi("00 FF2F00", division=0), "division 0"),
        (midi("00 FF2F00", division=0xFF10), "division 0xff10: expected 24, 25, 29 or 30 frames"),
        (midi(), "no track"),
        (midi("00 4064 00 FF2F00"), "byte 23: 40, expected a status byte"),
        (midi("00 9040F4 00 FF2F00"), "expected data bytes below 80"),
        (midi("00 F4 00 FF2F00"), "F4 is no status"),
        (midi("8080808000 904064 00 FF2F00"), "more than four bytes"),
        (midi("00 FF5102 07A1 00 FF2F00"), "a tempo of 2 bytes, expected 3"),
        (midi("00 9040"), "runs past the end of its track"),
    ],
)
def test_a_broken_file_gets_one_sentence_that_names_it(tmp_path: Path, data: bytes, complaint: str) -> None:
    path = tmp_path / "broken.mid"
    path.write_bytes(data)

    with pytest.raises(TakeError, match=complaint) as caught:
        read_take(path)

    assert str(caught.value).startswith(f"{path}: ")
    assert "\n" not in str(caught.value)


def test_a_file_that_is_not_there_gets_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(TakeError, match=r"gone\.mid: No such file"):
        read_take(tmp_path / "gone.mid")


FILE_HEADER = midi("00 FF2F00")[:14]


@given(st.binary(max_size=80).map(FILE_HEADER.__add__) | st.binary(max_size=80).map(lambda track: midi(track.hex())))
def test_whatever_the_bytes_are_a_file_is_read_or_refused_and_time_never_runs_backwards(data: bytes) -> None:
    try:
        stamps = [message.stamp_ns for message in parse_midi_file(data).messages]
    except ValueError:
        return

    assert stamps == sorted(stamps)


# Headers


def test_a_header_comes_back_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "take.mid"
    path.write_bytes(with_text(header_to_json(header()).encode()))

    assert read_take(path) == Take(header(), ())


def test_a_whole_exercise_played_by_hand_has_neither_ends_nor_a_seed(tmp_path: Path) -> None:
    path = tmp_path / "take.mid"
    plain = replace(header(), first_note=None, last_note=None, seed=None)
    path.write_bytes(with_text(header_to_json(plain).encode()))

    assert read_take(path) == Take(plain, ())


def test_a_text_of_someone_else_is_no_header(tmp_path: Path) -> None:
    path = tmp_path / "foreign.mid"

    for text in (b"", b"Ridge path", b'{"boxwalk_takes": 1}', b"{", b"\xff\xfe"):
        path.write_bytes(with_text(text))

        assert read_take(path) == Take(None, ())


@pytest.mark.parametrize(
    ("data", "complaint"),
    [
        (altered(boxwalk_take=2), "version 2, this program reads version 1"),
        (altered(boxwalk_take="new"), "version 'new'"),
        (altered(exercise=[]), r"exercise: expected an object, found \[\]"),
        (altered(pace="brisk"), "pace: expected one of click, free, found 'brisk'"),
        (altered(pace=[]), "pace: expected one of click, free"),
        (altered(quarters_per_minute="fast"), "quarters_per_minute: expected a positive fraction"),
        (altered(quarters_per_minute="1e999999999"), "quarters_per_minute: expected a positive fraction"),
        (altered(quarters_per_minute="1/0"), "quarters_per_minute: expected a positive fraction"),
        (altered(quarters_per_minute=90), "quarters_per_minute: expected a text, found 90"),
        (altered(starts_at_ns=1.5), r"starts_at_ns: expected a whole number from 0 to 604800000000000, found 1\.5"),
        (altered(starts_at_ns=-1), "starts_at_ns: expected a whole number from 0 to 604800000000000, found -1"),
        (altered(passes=0), "passes: expected a whole number from 1 to 250000, found 0"),
        (altered(passes=True), "passes: expected a whole number from 1 to 250000, found True"),
        (altered(profile={}), r"profile\.name is missing, expected a text"),
        (
            altered(tolerance={"hit_ns": "wide"}),
            r"tolerance\.hit_ns: expected a number from 0 to 604800000000000, found 'wide'",
        ),
        (altered(tolerance={"hit_ns": float("nan")}), "not JSON: NaN is no number"),
        (with_text(b'{"boxwalk_take":'), "not JSON"),
    ],
)
def test_a_header_with_a_wrong_value_gets_a_sentence(tmp_path: Path, data: bytes, complaint: str) -> None:
    path = tmp_path / "take.mid"
    path.write_bytes(data)

    with pytest.raises(TakeError, match=f"take header: {complaint}"):
        read_take(path)


@pytest.mark.parametrize("channels", [[0], [17], ["1"], [True], "123"])
def test_channels_of_a_profile_are_numbers_from_1_to_16(tmp_path: Path, channels: object) -> None:
    path = tmp_path / "take.mid"
    profile = json.loads(header_to_json(header()))["profile"]
    path.write_bytes(altered(profile=profile | {"channel_of_course": channels}))

    with pytest.raises(TakeError, match="channel_of_course: expected a list of channels 1 to 16"):
        read_take(path)
