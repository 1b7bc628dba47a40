import io
import tempfile
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.meter import Meter
from trainer.score.midi_reading import read_midi, read_midi_exercise
from trainer.score.reading import Reading
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique
from trainer.theory.tuning import TUNINGS

Event = tuple[int, mido.Message | mido.MetaMessage]


def on(string: int, pitch: int, velocity: int = 80) -> mido.Message:
    return mido.Message("note_on", channel=string - 1, note=pitch, velocity=velocity)


def off(string: int, pitch: int) -> mido.Message:
    return mido.Message("note_off", channel=string - 1, note=pitch)


def midi_bytes(*tracks: list[Event], ticks: int = 480, form: int = 1) -> bytes:
    """A file of these tracks; events are (tick from the start, message)."""
    file = mido.MidiFile(type=form, ticks_per_beat=ticks)
    for events in tracks:
        track = file.add_track()
        before = 0
        for tick, message in events:
            track.append(message.copy(time=tick - before))
            before = tick
    packed = io.BytesIO()
    file.save(file=packed)
    return packed.getvalue()


def read(data: bytes) -> Exercise:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "Quarry steps.mid"
        path.write_bytes(data)
        return read_midi_exercise(path)


def spans(exercise: Exercise) -> list[tuple[Fraction, Fraction, int, int]]:
    return [(note.onset_quarters, note.duration_quarters, note.course, note.fret) for note in exercise.notes]


def test_channel_k_is_string_k_in_standard_tuning() -> None:
    exercise = read(midi_bytes([(0, on(2, 67)), (120, off(2, 67)), (120, on(1, 64)), (240, on(1, 64, 0))]))

    quarter = Fraction(1, 4)
    assert exercise == Exercise(
        name="quarry-steps",
        title="Quarry steps",
        tuning=TUNINGS["standard"],
        tempo=Tempo(Fraction(120)),
        notes=(
            ScoreNote(Fraction(0), quarter, Location(2, 8), 67),
            ScoreNote(quarter, quarter, Location(1, 0), 64),
        ),
        length_quarters=Fraction(4),
    )
    assert {note.technique for note in exercise.notes} == {Technique.PICK}


def test_tempo_meter_and_title_come_from_the_file() -> None:
    head: list[Event] = [
        (0, mido.MetaMessage("track_name", name="Two \x07gates")),
        (0, mido.MetaMessage("set_tempo", tempo=700_000)),
        (0, mido.MetaMessage("time_signature", numerator=3, denominator=8)),
    ]

    exercise = read(midi_bytes(head, [(0, on(1, 69)), (480, off(1, 69))]))

    assert (exercise.title, exercise.tempo) == ("Two gates", Tempo(Fraction(600, 7)))
    assert (exercise.meter, exercise.length_quarters, exercise.about) == (Meter(3, 8), Fraction(3, 2), "")


def test_a_later_tempo_is_named() -> None:
    tempos: list[Event] = [(tick, mido.MetaMessage("set_tempo", tempo=500_000 + tick)) for tick in (0, 480)]

    exercise = read(midi_bytes([*tempos, (960, on(1, 69)), (961, off(1, 69))], form=0))

    assert exercise.tempo == Tempo(Fraction(120))
    assert exercise.about == "The file changes its tempo; here the whole line is at the first one."


def test_onsets_are_exact_also_where_ticks_divide_unevenly() -> None:
    events: list[Event] = [(tick, on(1, 64 + tick % 20)) for tick in (0, 96, 192, 288, 384)]

    exercise = read(midi_bytes(events))

    assert [note.onset_quarters for note in exercise.notes] == [Fraction(step, 5) for step in range(5)]


def test_tracks_are_merged_in_time_order() -> None:
    low: list[Event] = [(240, on(6, 40)), (480, off(6, 40))]
    high: list[Event] = [(0, on(1, 64)), (240, off(1, 64)), (240, on(1, 65)), (480, off(1, 65))]

    half = Fraction(1, 2)
    assert spans(read(midi_bytes(low, high))) == [
        (Fraction(0), half, 1, 0),
        (half, half, 6, 0),
        (half, half, 1, 1),
    ]


def test_a_note_ends_where_the_next_on_its_string_begins() -> None:
    events: list[Event] = [(0, on(1, 64)), (480, on(1, 67)), (600, off(1, 64)), (960, off(1, 67))]

    assert spans(read(midi_bytes(events))) == [
        (Fraction(0), Fraction(1), 1, 0),
        (Fraction(1), Fraction(1), 1, 3),
    ]


def test_an_off_written_after_the_next_onset_of_the_same_pitch_belongs_to_the_note_before() -> None:
    events: list[Event] = [(0, on(1, 64)), (480, on(1, 64)), (480, off(1, 64)), (960, off(1, 64))]

    assert spans(read(midi_bytes(events))) == [
        (Fraction(0), Fraction(1), 1, 0),
        (Fraction(1), Fraction(1), 1, 0),
    ]


@pytest.mark.parametrize(
    ("string", "pitch", "tuning"), [(6, 40, "standard"), (7, 35, "seven-string"), (8, 30, "eight-string")]
)
def test_more_channels_are_more_strings(string: int, pitch: int, tuning: str) -> None:
    exercise = read(midi_bytes([(0, on(string, pitch)), (480, off(string, pitch))]))

    assert (exercise.tuning, exercise.notes[0].location) == (TUNINGS[tuning], Location(string, 0))


@pytest.mark.parametrize("fret", [0, 24])
def test_the_neck_includes_its_ends(fret: int) -> None:
    assert read(midi_bytes([(0, on(1, 64 + fret))])).notes[0].fret == fret


NOTE: list[Event] = [(0, on(1, 64)), (480, off(1, 64))]


@pytest.mark.parametrize(
    ("data", "complaint"),
    [
        (
            midi_bytes([(0, on(2, 60)), (720, on(1, 63))]),
            r"quarter 1.5, string 1: D#4 \(MIDI 63\) is fret -1; expected a fret from 0 to 24",
        ),
        (midi_bytes([(0, on(1, 64)), (0, on(6, 65))]), "F4 .* is fret 25"),
        (
            midi_bytes([(0, on(1, 64)), (7, on(9, 64))]),
            "tick 7: a note on channel 9; expected channel 1 to 8, one for each string",
        ),
        (
            midi_bytes([(0, on(2, 60)), (0, on(1, 64)), (0, on(1, 67))]),
            r"two notes at once on channel 1 \(E4 and G4\)",
        ),
        (midi_bytes([(0, on(1, 10))]), "is fret -54; .*nor is there a place for every note on one neck"),
        (midi_bytes([(0, off(1, 64))]), "holds no notes to play"),
        (midi_bytes(NOTE, form=2), "format 2: expected format 0 or 1"),
        (midi_bytes(NOTE).replace(b"\x01\xe0", b"\xe7\x28", 1), "SMPTE frames: expected ticks a quarter"),
        (midi_bytes(NOTE, ticks=1).replace(b"\x00\x01MTrk", b"\x00\x00MTrk", 1), "0 ticks a quarter"),
        (midi_bytes([(0, mido.MetaMessage("set_tempo", tempo=0)), *NOTE]), "a tempo of 0"),
        (midi_bytes([(0, mido.MetaMessage("set_tempo", tempo=10_000)), *NOTE]), "tempo 6000 is not in 10..400"),
        (midi_bytes([(20_001 * 480, on(1, 64))]), "longer than 20000 quarters"),
        (midi_bytes(NOTE)[:30], "is a broken MIDI file"),
        (b"RIFF", "is not a standard MIDI file: expected MThd"),
        (b"", "is not a standard MIDI file"),
    ],
)
def test_what_cannot_be_played_is_refused_in_one_line(data: bytes, complaint: str) -> None:
    with pytest.raises(ExerciseError, match=complaint) as caught:
        read(data)

    assert "\n" not in str(caught.value)


def read_all(data: bytes, part: str = "") -> Reading:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "line.mid"
        path.write_bytes(data)
        return read_midi(path, part)


def test_notes_of_one_channel_that_fit_its_string_stay_on_it_and_this_is_said() -> None:
    reading = read_all(midi_bytes([(0, on(2, 60)), (480, on(2, 62))]))

    assert [note.location for note in reading.exercise.notes] == [Location(2, 1), Location(2, 3)]
    assert "All notes are on channel 2 and fit string 2, which was taken." in reading.remarks


def test_strings_of_one_channel_are_chosen_by_the_hand_and_this_is_said() -> None:
    scale = (60, 62, 64, 65, 67, 69, 71, 72)

    reading = read_all(midi_bytes([(480 * at, on(1, pitch)) for at, pitch in enumerate(scale)]))

    assert [note.pitch for note in reading.exercise.notes] == list(scale)
    assert len(reading.exercise.courses) > 1
    assert "All notes are on channel 1; strings were chosen by least hand movement." in reading.remarks


def test_chords_of_one_channel_get_a_string_for_each_note() -> None:
    chord = [(0, on(1, pitch)) for pitch in (40, 47, 52, 56, 59, 64)]

    notes = read_all(midi_bytes([*chord, (480, off(1, 40))])).exercise.notes

    assert [(note.course, note.fret) for note in notes] == [(6, 0), (5, 2), (4, 2), (3, 1), (2, 0), (1, 0)]


def test_notes_below_a_guitar_get_an_instrument_that_has_them() -> None:
    assert read_all(midi_bytes([(0, on(3, 30)), (480, on(3, 28))])).exercise.tuning == TUNINGS["bass"]


def track(name: str, channel: int, *pitches: int) -> list[Event]:
    named: list[Event] = [(0, mido.MetaMessage("track_name", name=name))]
    return named + [(480 * at, on(channel, pitch)) for at, pitch in enumerate(pitches)]


def test_of_several_instruments_the_first_is_read_and_the_others_are_named() -> None:
    data = midi_bytes(track("Drums", 10, 36, 38), track("Lead", 1, 60, 62), track("Bass", 2, 28, 31))

    reading = read_all(data)

    assert [note.pitch for note in reading.exercise.notes] == [60, 62]
    assert "Track 2 'Lead' was read; --part chooses another: 1 'Drums', 3 'Bass'." in reading.remarks


@pytest.mark.parametrize("part", ["3", "bass", "Bass"])
def test_a_part_is_chosen_by_its_number_or_its_name(part: str) -> None:
    data = midi_bytes(track("Drums", 10, 36, 38), track("Lead", 1, 60, 62), track("Bass", 2, 28, 31))

    assert [note.pitch for note in read_all(data, part).exercise.notes] == [28, 31]


def test_a_part_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(ExerciseError, match="has no part '3'; the tracks with notes are 1 'Lead', 2 'Bass'"):
        read_all(midi_bytes(track("Lead", 1, 60), track("Bass", 2, 28)), "3")


def test_the_tuning_that_a_file_of_ours_names_is_taken() -> None:
    told = mido.MetaMessage("text", text="open strings, string 1 last: D2 A2 D3 G3 B3 E4")

    reading = read_all(midi_bytes([(0, told), (0, on(6, 38)), (480, on(1, 64))]))

    assert reading.exercise.tuning == TUNINGS["drop-d"]


def test_what_a_line_has_no_room_for_is_counted() -> None:
    bend = mido.Message("pitchwheel", channel=0, pitch=100)

    remarks = read_all(midi_bytes([(0, on(1, 64)), (10, bend), (20, bend), (480, off(1, 64))])).remarks

    assert "2 pitch bends left out: a line holds no bends." in remarks


def test_onsets_that_look_played_are_pointed_out() -> None:
    remarks = read_all(midi_bytes([(0, on(1, 64)), (487, on(1, 65)), (960, on(1, 67))])).remarks

    assert any(remark.startswith("1 of 3 onsets lie on no division") for remark in remarks)


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ExerciseError, match=r"gone\.mid: cannot be read \(No such file"):
        read_midi_exercise(tmp_path / "gone.mid")


WHOLE = midi_bytes(
    [(0, mido.MetaMessage("key_signature", key="Am")), (0, mido.MetaMessage("time_signature")), *NOTE],
    [(0, on(6, 45)), (10, mido.Message("pitchwheel", channel=5, pitch=100)), (480, off(6, 45))],
)


@settings(deadline=None, max_examples=200)
@given(
    st.one_of(
        st.binary(max_size=60).map(lambda tail: b"MThd\x00\x00\x00\x06" + tail),
        st.integers(0, len(WHOLE)).map(lambda end: WHOLE[:end]),
        st.tuples(st.integers(8, len(WHOLE) - 1), st.binary(min_size=1, max_size=3)).map(
            lambda cut: WHOLE[: cut[0]] + cut[1] + WHOLE[cut[0] + len(cut[1]) :]
        ),
    )
)
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        exercise = read(data)
    except ExerciseError:
        return

    assert exercise.length_quarters > 0
    assert list(exercise.notes) == sorted(exercise.notes, key=lambda note: note.onset_quarters)


@given(st.lists(st.tuples(st.integers(0, 2000), st.integers(1, 6), st.integers(0, 24)), min_size=1, max_size=30))
def test_notes_on_one_string_never_overlap(played: list[tuple[int, int, int]]) -> None:
    unique = {(tick, string): fret for tick, string, fret in played}
    opens = TUNINGS["standard"].open_pitches
    events: list[Event] = [
        (tick, on(string, opens[string - 1] + fret)) for (tick, string), fret in sorted(unique.items())
    ]

    notes = read(midi_bytes(events)).notes

    assert len(notes) == len(unique)
    for course in range(1, 7):
        line = [note for note in notes if note.course == course]
        for before, after in pairwise(line):
            assert before.onset_quarters + before.duration_quarters == after.onset_quarters
