from fractions import Fraction

import pytest

from tests.score.builders import line, tab
from trainer.score.errors import Unplayable
from trainer.theory.technique import Stroke, Technique

# Common practice, no source, unless a test says otherwise.


def test_fours_through_4_5_1_2_3_4_end_an_octave_above_the_start() -> None:
    exercise = line(route="4 5 1 2 3 4")

    assert exercise.route == (4, 5, 1, 2, 3, 4)
    assert tab(exercise).split()[:4] == ["1/5", "1/2", "2/5", "2/3"]
    assert tab(exercise).split()[-4:] == ["1/17", "1/14", "2/17", "2/15"]
    assert [a.pitch + 12 for a in exercise.notes[:4]] == [b.pitch for b in exercise.notes[-4:]]


def test_up_two_down_one_from_4_visits_4_1_5_2_1_3_by_the_nearest_forms() -> None:
    exercise = line(route="up two, down one from 4 for 6")

    assert exercise.route == (4, 1, 5, 2, 1, 3)
    assert [note.fret for note in exercise.notes[::4]] == [5, 10, 7, 12, 10, 14]


def test_a_five_is_the_next_positions_highest_note_and_the_four_of_this_one() -> None:
    four, next_four, five = line(), line(route="2"), line(cell="fives down")

    assert [note.location for note in five.notes] == [
        next_four.notes[0].location,
        *(note.location for note in four.notes),
    ]


def test_a_three_string_line_rises_slides_falls_slides_and_rises() -> None:
    exercise = line(key="A minor pentatonic", strings="1-3", route="1 2 3", cell="up then down", shifts="slid")

    assert tab(exercise) == ("3/5 3/7 2/5 2/8 1/5 1/8 1/s10 1/8 2/10 2/8 3/9 3/7 3/s9 3/12 2/10 2/13 1/10 1/12")
    assert [note.group for note in exercise.notes] == [0] * 6 + [1] * 6 + [2] * 6


def test_cells_take_turns_from_one_position_to_the_next() -> None:
    exercise = line(route="1 2 3 4", cell="two fours down then a five down")

    sizes = [sum(note.group == group for note in exercise.notes) for group in range(4)]
    assert sizes == [4, 4, 5, 4]


def test_a_sequence_goes_through_a_position_group_by_group() -> None:
    exercise = line(key="A minor pentatonic", strings="1-3", cell="fours down")

    assert tab(exercise) == "1/8 1/5 2/8 2/5 1/5 2/8 2/5 3/7 2/8 2/5 3/7 3/5"
    assert [note.group for note in exercise.notes] == [0] * 4 + [1] * 4 + [2] * 4
    assert {note.position for note in exercise.notes} == {1}


def test_a_slid_shift_begins_as_a_grace_on_the_old_positions_top_note() -> None:
    assert tab(line(route="4 5", shifts="slid")) == "1/5 1/2 2/5 2/3 1/s(5)7 1/5 2/7 2/5"


def test_a_slid_shift_comes_straight_from_the_note_before_on_the_same_string() -> None:
    assert tab(line(route="4 5", cell="down then up", shifts="slid")) == "1/5 1/2 2/5 2/3 2/s5 2/7 1/5 1/7"


def test_a_slid_shift_to_the_note_just_played_begins_as_a_grace_on_the_old_step() -> None:
    assert tab(line(route="4 5", cell="steps 1 2", shifts="slid")) == "2/3 2/5 2/s(3)5 2/7"


def test_a_shift_from_below_begins_on_the_scale_note_below() -> None:
    assert tab(line(route="5 4", shifts="slid from below")) == "1/7 1/5 2/7 2/5 1/s(2)5 1/2 2/5 2/3"


def test_a_shift_that_wraps_an_octave_away_is_picked() -> None:
    exercise = line(route="climb by one from 4 wrapping", shifts="slid", last_fret=14)

    assert exercise.route == (4, 5, 1, 2, 3)
    assert [exercise.notes[first].fret for first in range(0, 20, 4)] == [5, 7, 10, 12, 2]
    picked, slid = Technique.PICK, Technique.SLIDE
    assert [exercise.notes[first].technique for first in range(0, 20, 4)] == [picked, slid, slid, slid, picked]


def test_legato_picks_the_first_of_each_group_and_the_first_on_each_string() -> None:
    exercise = line(key="G major", strings="1-2", cell="up", articulation="legato")

    assert tab(exercise) == "2/5 2/h7 2/h8 1/5 1/h7 1/h8"
    assert tab(line(articulation="legato")) == "1/10 1/p7 2/10 2/p7"
    assert tab(line(key="G major", strings="1", cell="down", articulation="legato")) == "1/8 1/p7 1/p5"


def test_one_pick_a_string_goes_on_over_the_end_of_a_group() -> None:
    steps = "steps 1 2 | 1 2"

    assert tab(line(cell=steps, articulation="legato")) == "2/7 2/h10 2/7 2/h10"
    assert tab(line(cell=steps, articulation="one pick a string")) == "2/7 2/h10 2/p7 2/h10"


def test_a_note_that_repeats_or_follows_a_rest_is_picked_in_legato_too() -> None:
    assert tab(line(cell="steps 1 1 2", articulation="legato")) == "2/7 2/7 2/h10"
    assert tab(line(cell="steps 1 2", articulation="legato", rhythm="eighth + eighth rest")) == "2/7 2/10"


def test_strokes_alternate_over_what_the_pick_plays() -> None:
    exercise = line(route="4 5", articulation="legato", shifts="slid", first_stroke="up")

    down, up = Stroke.DOWN, Stroke.UP
    assert [note.stroke for note in exercise.notes] == [up, None, down, None, up, None, down, None]


def test_a_hand_over_four_frets_has_one_finger_a_fret_and_open_strings_have_none() -> None:
    assert [note.finger for note in line().notes] == [4, 1, 4, 1]
    assert [note.finger for note in line(key="E minor pentatonic", route="1").notes] == [3, None, 3, None]


def test_whole_steps_lie_under_the_first_the_second_and_the_fourth_finger() -> None:
    exercise = line(key="G major", strings="1-2", route="3", cell="up")

    assert [(note.fret, note.finger) for note in exercise.notes] == [(8, 1), (10, 2), (12, 4)] * 2


def test_a_double_stop_slides_on_both_of_its_strings() -> None:
    exercise = line(route="1 2", cell="steps 1+3", shifts="slid")

    assert tab(exercise) == "1/7 2/7 1/s10 2/s10"


def test_one_finger_stays_at_both_ends_of_a_slide() -> None:
    exercise = line(key="A minor pentatonic", strings="1-3", route="3 4", cell="up then down", shifts="slid")

    before, slid = exercise.notes[5:7]
    assert (before.fret, slid.fret, slid.technique) == (12, 15, Technique.SLIDE)
    assert (before.finger, slid.finger) == (4, 4)


def test_onsets_are_exact_whatever_the_division() -> None:
    for notes_a_beat in range(1, 9):
        exercise = line(route="1 1 1 1 1", rhythm=f"{notes_a_beat} a beat")

        assert [note.onset_quarters for note in exercise.notes] == [Fraction(i, notes_a_beat) for i in range(20)]
        assert {note.duration_quarters for note in exercise.notes} == {Fraction(1, notes_a_beat)}


def test_figures_of_mixed_values_and_rests_go_round_whatever_the_groups_are() -> None:
    exercise = line(cell="fives down", rhythm="dotted eighth + sixteenth + eighth rest + triplet")

    assert [note.onset_quarters for note in exercise.notes] == [
        Fraction(0),
        Fraction(3, 4),
        Fraction(3, 2),
        Fraction(11, 6),
        Fraction(31, 12),
    ]


def test_beats_of_four_and_of_three_take_turns() -> None:
    exercise = line(route="1 1", rhythm="4 then 3 a beat")

    assert [note.onset_quarters for note in exercise.notes][3:] == [
        Fraction(3, 4),
        Fraction(1),
        Fraction(4, 3),
        Fraction(5, 3),
        Fraction(2),
    ]


def test_the_accents_of_fives_in_sixteenths_meet_the_bar_again_after_eighty_notes() -> None:
    exercise = line(route="1 2 1 2 1 2 1 2 1 2 1 2 1 2 1 2 1", cell="fives down", rhythm="sixteenths", accents="groups")

    accents = [note.onset_quarters for note in exercise.notes if note.accent]
    assert [onset for onset in accents if onset % 4 == 0] == [0, 20]
    assert [onset % 1 for onset in accents[:4]] == [0, Fraction(1, 4), Fraction(1, 2), Fraction(3, 4)]


@pytest.mark.parametrize(
    ("accents", "places"),
    [("none", []), ("groups", [0, 4]), ("beats", [0, 2, 4, 6]), ("every 3", [0, 3, 6]), ("2 4", [1, 3, 5, 7])],
)
def test_accents_lie_where_they_are_asked_for(accents: str, places: list[int]) -> None:
    exercise = line(route="1 2", rhythm="eighths", accents=accents)

    assert [place for place, note in enumerate(exercise.notes) if note.accent] == places


@pytest.mark.parametrize(
    ("meter", "rhythm", "length"),
    [("4/4", "quarters", 4), ("3/4", "quarters", 6), ("7/8", "eighths", Fraction(7, 2)), ("4/4", "triplets", 4)],
)
def test_the_length_is_a_whole_number_of_bars(meter: str, rhythm: str, length: Fraction) -> None:
    assert line(meter=meter, rhythm=rhythm).length_quarters == length


def test_notes_that_sound_together_share_their_onset_and_stroke() -> None:
    exercise = line(cell="steps 1+3 2+4", rhythm="eighths")

    assert tab(exercise) == "1/7 2/7 1/10 2/10"
    assert [note.onset_quarters for note in exercise.notes] == [0, 0, Fraction(1, 2), Fraction(1, 2)]
    assert [note.stroke for note in exercise.notes] == [Stroke.DOWN, Stroke.DOWN, Stroke.UP, Stroke.UP]


def test_a_drop_d_line_a_seven_string_line_and_a_bass_line_lie_where_their_tuning_puts_them() -> None:
    drop_d = line(key="A minor pentatonic", tuning="drop-d", strings="5-6", cell="up")
    seven = line(key="B minor pentatonic", tuning="seven-string", strings="6-7", cell="up")
    bass = line(key="G minor pentatonic", tuning="bass", strings="3-4", cell="up")

    assert tab(drop_d) == "6/7 6/10 5/5 5/7"
    assert tab(seven) == "7/0 7/3 6/0 6/2"
    assert tab(bass) == "4/3 4/6 3/3 3/5"


@pytest.mark.parametrize(
    ("fields", "field", "reason"),
    [
        (
            {"route": "4 5 1 2 3 4", "last_fret": 16},
            "route",
            "position 4 after position 3 is off the neck: it needs fret",
        ),
        (
            {"route": "4 down 2", "last_fret": 14},
            "route",
            "position 2 after position 4 is off the neck: on string . it lies",
        ),
        ({"route": "6"}, "route", "there is no position 6: the scale has positions 1 to 5"),
        ({"route": "high 4", "last_fret": 14}, "route", "position 4 has no octave-up form here: it needs fret 15"),
        ({"cell": "steps 1+2"}, "cell", "frets 7 and 10 of string 2 would sound at once"),
        ({"cell": "steps 2 s3"}, "cell", "a slide to fret 7 of string 1 needs .* nothing slides across strings"),
        ({"cell": "steps 1 s1"}, "cell", "goes nowhere"),
        ({"cell": "steps 2 h1"}, "cell", "a hammer-on to fret 7 of string 2 needs a lower note before it, not fret 10"),
        ({"cell": "steps 1 p2"}, "cell", "a pull-off to fret 10 of string 2 needs a higher note before it, not fret 7"),
        ({"cell": "steps h1"}, "cell", "a hammer-on to fret 7 of string 2 needs a note before it on the same string"),
        ({"cell": "steps 1 h2", "rhythm": "eighth + eighth rest"}, "cell", "needs a note before it"),
        (
            {"route": "4 5", "shifts": "slid from the last note"},
            "shifts",
            "a slide to fret 7 of string 1 cannot cross strings",
        ),
        (
            {"key": "E minor pentatonic", "route": "1 2", "cell": "up", "shifts": "slid"},
            "shifts",
            "a slide from fret 0 to fret 3 of string 2 is impossible: an open string cannot slide",
        ),
        (
            {"key": "A minor pentatonic", "route": "5 4", "cell": "up", "shifts": "slid from below"},
            "shifts",
            "a slide to fret 1 of string 2 would begin behind the nut",
        ),
        ({"strings": "1 7"}, "strings", "there is no string 7: standard has strings 1 to 6"),
    ],
)
def test_what_cannot_be_played_is_refused_with_the_reason(fields: dict[str, object], field: str, reason: str) -> None:
    with pytest.raises(Unplayable, match=reason) as caught:
        line(**fields)

    assert caught.value.field == field
