from collections.abc import Callable
from fractions import Fraction

import pytest

from tests.score.pages import attributes, bar, measure, page, plain, rest, staff_tuning, tab
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.meter import Meter
from trainer.score.placing import place_line
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique
from trainer.theory.tuning import TUNINGS

Read = Callable[..., Exercise]

H1 = '<hammer-on type="start">H</hammer-on>'
H2 = '<hammer-on type="stop"/>'
P1 = '<pull-off type="start">P</pull-off>'
P2 = '<pull-off type="stop"/>'
S1 = '<slide type="start"/>'
S2 = '<slide type="stop"/>'


def places(exercise: Exercise) -> list[tuple[Fraction, int, int]]:
    return [(note.onset_quarters, note.course, note.fret) for note in exercise.notes]


def techniques(exercise: Exercise) -> list[Technique]:
    return [note.technique for note in exercise.notes]


def test_a_note_is_read_whole(read: Read) -> None:
    text = bar(
        tab(
            "2/8",
            90,
            technical="<down-bow/><fingering>4</fingering>",
            notations="<articulations><accent/></articulations>",
            name="G4",
        )
    )

    exercise = read(text)

    assert exercise.notes == (
        ScoreNote(
            onset_quarters=Fraction(0),
            duration_quarters=Fraction(3, 2),
            location=Location(2, 8),
            pitch=67,
            stroke=Stroke.DOWN,
            finger=4,
            accent=True,
        ),
    )
    assert (exercise.name, exercise.title, exercise.tuning) == ("ridge-path", "ridge-path", TUNINGS["standard"])
    assert (exercise.tempo, exercise.meter, exercise.length_quarters) == (
        Tempo(Fraction(120)),
        Meter(4, 4),
        Fraction(3, 2),
    )


def test_title_key_meter_and_tempo_are_read(read: Read) -> None:
    time = "<key><fifths>2</fifths><mode>minor</mode></key><time><beats>6</beats><beat-type>8</beat-type></time>"
    text = page(
        measure(attributes(time + staff_tuning()), '<direction><sound tempo="92.5"/></direction>', tab("1/5")),
        head="<work><work-title>Two\n gates</work-title></work>",
    )

    exercise = read(text)

    assert (exercise.title, exercise.key, exercise.meter) == ("Two gates", "B minor", Meter(6, 8))
    assert exercise.tempo == Tempo(Fraction(185, 2))
    assert exercise.about == ""


def test_a_metronome_mark_counts_its_own_unit(read: Read) -> None:
    mark = "<metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>c. 60</per-minute></metronome>"
    text = bar(f"<direction><direction-type>{mark}</direction-type></direction>", tab("1/5"))

    assert read(text).tempo == Tempo(Fraction(90))


def test_changes_that_a_steady_line_cannot_show_are_named(read: Read) -> None:
    text = page(
        measure(attributes("<time><beats>3</beats><beat-type>4</beat-type></time>"), '<sound tempo="80"/>', tab("1/5")),
        measure(
            attributes("<time><beats>2</beats><beat-type>4</beat-type></time>"),
            '<sound tempo="100"/>',
            tab("1/7"),
            more='number="2"',
        ),
    )

    exercise = read(text)

    assert exercise.about == (
        "The file changes its tempo; here the whole line is at the first one, 80 quarters a minute. "
        "The file changes its meter to 2/4 in measure 2; bars here are as at first."
    )


@pytest.mark.parametrize(
    ("open_strings", "place", "sounding"),
    [
        ("E2 A2 D3 G3 B3 E4", "6/3", 43),
        ("D2 A2 D3 G3 B3 E4", "6/3", 41),
        ("Eb2 Ab2 Db3 Gb3 Bb3 Eb4", "1/0", 63),
        ("B1 E2 A2 D3 G3 B3 E4", "7/0", 35),
        ("E1 A1 D2 G2", "1/2", 45),
    ],
)
def test_line_1_of_a_staff_tuning_is_the_last_string(read: Read, open_strings: str, place: str, sounding: int) -> None:
    exercise = read(page(measure(attributes(staff_tuning(open_strings)), tab(place, name="C4"))))

    assert [note.pitch for note in exercise.notes] == [sounding]
    assert len(exercise.tuning.open_pitches) == len(open_strings.split())


def test_a_capo_raises_every_string(read: Read) -> None:
    exercise = read(page(measure(attributes(staff_tuning(capo=2)), tab("1/3"), tab("6/0"))))

    assert [note.pitch for note in exercise.notes] == [69, 42]
    assert exercise.tuning.name == "standard, capo 2"


def test_places_without_a_tuning_tell_it_by_their_pitches(read: Read) -> None:
    text = page(measure(attributes(), tab("6/2", name="E2"), tab("5/0", name="A2")))

    assert read(text).tuning == TUNINGS["drop-d"]


def test_a_wrong_octave_is_no_tuning(read: Read) -> None:
    text = page(measure(attributes(), tab("6/2", name="F#3"), tab("5/0", name="A3")))

    assert read(text).tuning == TUNINGS["standard"]


def test_four_strings_in_the_low_octave_are_a_bass(read: Read) -> None:
    text = page(measure(attributes(), tab("4/3", name="G1"), tab("1/2", name="A2")))

    assert read(text).tuning == TUNINGS["bass"]


def test_odd_groups_and_dots_are_exact_fractions(read: Read) -> None:
    # 7 in a quarter does not divide into 60: an exporter rounds to 9 8 9 8 9 8 9, and the type says what is meant.
    ratio = "<time-modification><actual-notes>7</actual-notes><normal-notes>4</normal-notes></time-modification>"
    sevens = [
        tab(f"1/{fret}", length, after="<type>16th</type>" + ratio)
        for fret, length in enumerate([9, 8, 9, 8, 9, 8, 9], start=1)
    ]

    exercise = read(bar(*sevens, tab("1/8", 45, after="<type>eighth</type><dot/>"), tab("1/9", 15)))

    onsets = [note.onset_quarters for note in exercise.notes]
    assert onsets == [*(Fraction(step, 7) for step in range(7)), Fraction(1), Fraction(7, 4)]
    assert exercise.length_quarters == 2


def test_a_fragment_without_divisions_is_read_by_its_note_types(read: Read) -> None:
    text = page(measure(tab("4/5", 12, after="<type>half</type><dot/>"), tab("4/7", 4, after="<type>quarter</type>")))

    assert places(read(text)) == [(Fraction(0), 4, 5), (Fraction(3), 4, 7)]


def test_rests_backup_and_forward_move_the_time(read: Read) -> None:
    text = bar(
        rest(30),
        tab("1/5", 30),
        "<backup><duration>60</duration></backup>",
        tab("6/5", 120, before="<voice>2</voice>"),
        "<forward><duration>15</duration></forward>",
        tab("5/7", 45),
    )

    assert places(read(text)) == [(Fraction(0), 6, 5), (Fraction(1, 2), 1, 5), (Fraction(9, 4), 5, 7)]


def test_a_chord_has_one_onset(read: Read) -> None:
    text = bar(tab("6/3"), tab("5/2", before="<chord/>"), tab("4/0", before="<chord/>"), tab("1/3"))

    assert places(read(text)) == [(Fraction(0), 6, 3), (Fraction(0), 5, 2), (Fraction(0), 4, 0), (Fraction(1), 1, 3)]


def test_tied_notes_are_one_note_also_over_a_bar_line(read: Read) -> None:
    text = page(
        measure(attributes(staff_tuning()), tab("1/5", after='<tie type="start"/>')),
        measure(tab("1/5", after='<tie type="stop"/><tie type="start"/>'), tab("1/5", 30, after='<tie type="stop"/>')),
        measure(tab("1/5")),
    )

    notes = read(text).notes

    assert [(note.onset_quarters, note.duration_quarters) for note in notes] == [
        (Fraction(0), Fraction(5, 2)),
        (Fraction(5, 2), Fraction(1)),
    ]


def test_a_let_ring_mark_is_no_tie(read: Read) -> None:
    text = bar(tab("1/5", notations='<tied type="let-ring"/>'), tab("1/5"))

    assert len(read(text).notes) == 2


def test_a_technique_belongs_to_the_note_that_its_line_stops_at(read: Read) -> None:
    text = bar(
        tab("3/5", technical=H1),
        tab("3/7", technical=H2 + P1),
        tab("3/5", technical=P2, notations=S1),
        tab("3/9", notations=S2 + '<glissando type="start"/>'),
        tab("3/4", notations='<glissando type="stop"/>'),
    )

    exercise = read(text)

    assert techniques(exercise) == [
        Technique.PICK,
        Technique.HAMMER,
        Technique.PULL,
        Technique.SLIDE,
        Technique.SLIDE,
    ]
    assert all(note.slide_from is None for note in exercise.notes)


def test_a_hammer_on_from_nowhere_is_written_across_two_strings(read: Read) -> None:
    text = bar(tab("2/5", technical=H1), tab("1/8", technical=H2))

    assert techniques(read(text)) == [Technique.PICK, Technique.HAMMER]


def test_a_line_without_an_end_goes_to_the_next_note_of_its_voice(read: Read) -> None:
    text = bar(tab("2/5", technical=H1), tab("2/8"), tab("2/5"))

    assert techniques(read(text)) == [Technique.PICK, Technique.HAMMER, Technique.PICK]


def test_a_tap_begins_a_note_without_the_pick(read: Read) -> None:
    assert techniques(read(bar(tab("2/5"), tab("2/12", technical="<tap/>")))) == [Technique.PICK, Technique.HAMMER]


def test_a_slide_across_strings_is_refused_with_its_place(read: Read) -> None:
    text = bar("\n", tab("2/5", notations=S1), "\n", tab("1/8", notations=S2))

    with pytest.raises(
        ExerciseError, match=r"musicxml:3: measure \?: a slide from string 2 to string 1: .* its string$"
    ):
        read(text)


def test_a_grace_note_that_slides_is_where_the_main_note_slides_from(read: Read) -> None:
    text = bar(tab("1/5"), tab("1/8", None, notations=S1), tab("1/10", notations=S2))

    exercise = read(text)

    assert places(exercise) == [(Fraction(0), 1, 5), (Fraction(1), 1, 10)]
    assert (exercise.notes[1].technique, exercise.notes[1].slide_from) == (Technique.SLIDE, Location(1, 8))


def test_any_other_grace_note_is_a_short_note_before_the_beat(read: Read) -> None:
    text = bar(tab("1/5"), tab("1/8", None, technical=H1), tab("1/10", technical=H2))

    exercise = read(text)

    assert places(exercise) == [(Fraction(0), 1, 5), (Fraction(7, 8), 1, 8), (Fraction(1), 1, 10)]
    assert [note.duration_quarters for note in exercise.notes] == [Fraction(7, 8), Fraction(1, 8), Fraction(1)]
    assert techniques(exercise) == [Technique.PICK, Technique.PICK, Technique.HAMMER]


def test_grace_notes_at_the_very_start_take_their_time_from_the_main_note(read: Read) -> None:
    text = bar(tab("1/5", None), tab("1/7", None), tab("1/8", 60), tab("1/5", 60))

    assert places(read(text)) == [
        (Fraction(0), 1, 5),
        (Fraction(1, 8), 1, 7),
        (Fraction(1, 4), 1, 8),
        (Fraction(1), 1, 5),
    ]


def test_grace_notes_after_the_last_note_end_with_it(read: Read) -> None:
    exercise = read(bar(tab("1/5"), tab("1/7", None)))

    assert places(exercise) == [(Fraction(0), 1, 5), (Fraction(7, 8), 1, 7)]
    assert exercise.length_quarters == 1


def test_string_fret_and_tuning_win_over_the_written_pitch(read: Read) -> None:
    assert [note.pitch for note in read(bar(tab("1/5", name="C2"))).notes] == [69]


def test_notes_without_places_get_the_nearest_ones(read: Read) -> None:
    text = bar(plain("A4"), plain("C5"), plain("E4"), plain("G4"))

    assert places(read(text)) == [(Fraction(0), 1, 5), (Fraction(1), 1, 8), (Fraction(2), 2, 5), (Fraction(3), 2, 8)]


def test_pitches_alone_are_placed_as_a_whole_line(read: Read) -> None:
    # Alone, E4 is the open first string; before a run up the neck it is fretted where the run begins.
    alone, before_a_run = read(bar(plain("E4"))), read(bar(*map(plain, ["E4", "E5", "F5", "G5", "E5", "F5", "G5"])))
    chords = [[note.pitch] for note in before_a_run.notes]

    assert places(alone) == [(Fraction(0), 1, 0)]
    assert before_a_run.notes[0].fret >= 5
    assert [(note.location,) for note in before_a_run.notes] == list(place_line(chords, before_a_run.tuning, 24))


def test_pitches_are_found_as_they_sound_not_as_they_are_written(read: Read) -> None:
    transpose = "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"
    exercise = read(page(measure(attributes(transpose), plain("E4"), plain("A3"))))

    assert [note.pitch for note in exercise.notes] == [52, 45]


def test_one_note_without_a_place_follows_the_octave_of_those_with_one(read: Read) -> None:
    text = bar(tab("1/5", name="A5"), tab("2/5", name="E5"), plain("G5"))

    assert [note.pitch for note in read(text).notes] == [69, 64, 67]


def test_a_slide_between_pitches_stays_on_one_string(read: Read) -> None:
    text = bar(plain("G4", notations=S1), plain("F5", notations=S2))

    assert places(read(text)) == [(Fraction(0), 1, 3), (Fraction(1), 1, 13)]


def test_the_tablature_staff_is_chosen_among_staves_and_parts(read: Read) -> None:
    two_staves = measure(
        attributes("<staves>2</staves>" + staff_tuning().replace("<staff-details>", '<staff-details number="2">')),
        plain("A5", after="<staff>1</staff>"),
        "<backup><duration>60</duration></backup>",
        tab("1/5", before="<voice>5</voice>", after="<staff>2</staff>"),
    )
    text = page(measure(attributes(), plain("C4"), plain("D4"))).replace(
        "</score-partwise>", f'<part id="P2">{two_staves}</part></score-partwise>'
    )

    assert places(read(text)) == [(Fraction(0), 1, 5)]
