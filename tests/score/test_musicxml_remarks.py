from pathlib import Path

import pytest

from tests.score.pages import attributes, measure, on_disk, page, plain, rest, staff_tuning, tab
from trainer.score.errors import ExerciseError
from trainer.score.musicxml_reading import read_musicxml_file
from trainer.score.reading import Reading


def read(folder: Path, text: str, part: str = "") -> Reading:
    return read_musicxml_file(on_disk(folder, text), part)


def bars(*measures: str) -> str:
    first, *others = measures
    numbered = [measure(attributes(staff_tuning()), first, more='number="1"')]
    numbered += [measure(inside, more=f'number="{number}"') for number, inside in enumerate(others, start=2)]
    return page(*numbered)


def parts(*names: str) -> str:
    listed = "".join(
        f'<score-part id="P{n}"><part-name>{name}</part-name></score-part>' for n, name in enumerate(names)
    )
    bodies = "".join(
        f'<part id="P{n}">{measure(attributes(staff_tuning()), tab(f"1/{n}"))}</part>' for n in range(len(names))
    )
    return f'<score-partwise version="4.0"><part-list>{listed}</part-list>{bodies}</score-partwise>'


BEND = "<bend><bend-alter>2</bend-alter></bend>"
HARMONIC = "<harmonic><natural/></harmonic>"


def test_a_line_that_has_everything_of_its_file_has_no_remarks(tmp_path: Path) -> None:
    assert read(tmp_path, bars(tab("1/5") + tab("1/7"))).remarks == ()


def test_bends_are_read_as_plain_notes_and_listed_with_their_measures(tmp_path: Path) -> None:
    reading = read(tmp_path, bars(tab("1/5", technical=BEND), tab("1/7"), tab("1/8", technical=BEND)))

    assert [note.fret for note in reading.exercise.notes] == [5, 7, 8]
    assert reading.remarks == ("2 bends by 2 semitones read as plain notes: a line holds no bends (measures 1, 3).",)


def test_dead_notes_are_left_out_and_listed(tmp_path: Path) -> None:
    dead = tab("1/5", after="<notehead>x</notehead>")

    reading = read(tmp_path, bars(tab("1/5") + dead + tab("1/7")))

    assert [(note.onset_quarters, note.fret) for note in reading.exercise.notes] == [(0, 5), (2, 7)]
    assert reading.remarks == ("1 dead note left out: they have no pitch to follow (measure 1).",)


def test_harmonics_are_read_at_their_fret_and_listed(tmp_path: Path) -> None:
    reading = read(tmp_path, bars(tab("1/12", technical=HARMONIC)))

    assert reading.exercise.notes[0].fret == 12
    assert reading.remarks == ("1 harmonic read as fretted notes at their fret (measure 1).",)


@pytest.mark.parametrize(
    ("inside", "remark"),
    [
        (tab("1/5", notations="<ornaments><trill-mark/></ornaments>"), "1 trill mark left out (measure 1)."),
        (tab("1/5", notations="<articulations><staccato/></articulations>"), "1 staccato left out (measure 1)."),
        (tab("1/5", notations="<some-new-sign/>"), "1 some new sign left out (measure 1)."),
        (
            "<direction><direction-type><dynamics><f/></dynamics></direction-type></direction>" + tab("1/5"),
            "1 dynamics left out (measure 1).",
        ),
        (
            "<harmony><root><root-step>E</root-step></root></harmony>" + tab("1/5"),
            "1 chord symbol left out (measure 1).",
        ),
        (
            tab("1/5") + plain("E4", before="<cue/>"),
            "1 cue note left out: others play them (measure 1).",
        ),
    ],
)
def test_any_other_sign_is_listed_by_its_name(inside: str, remark: str, tmp_path: Path) -> None:
    assert read(tmp_path, bars(inside)).remarks == (remark,)


def test_of_many_places_the_first_are_named(tmp_path: Path) -> None:
    remark = read(tmp_path, bars(*[tab("1/5", technical=BEND)] * 7)).remarks[0]

    assert remark.endswith("(measures 1, 2, 3, 4 and 3 more).")


@pytest.mark.parametrize("part", ["2", "P1", "lead guitar", "Lead guitar"])
def test_a_part_is_chosen_by_number_id_or_name_and_the_others_are_named(part: str, tmp_path: Path) -> None:
    reading = read(tmp_path, parts("Rhythm", "Lead guitar", "Low"), part)

    assert [note.fret for note in reading.exercise.notes] == [1]
    assert reading.remarks == ("Part 2 'Lead guitar' was read; --part chooses another: 1 'Rhythm', 3 'Low'.",)


def test_a_part_that_is_not_there_is_refused_with_those_that_are(tmp_path: Path) -> None:
    with pytest.raises(ExerciseError, match="has no part '4'; there are 1 'Rhythm', 2 'Lead'"):
        read(tmp_path, parts("Rhythm", "Lead"), "4")


@pytest.mark.parametrize("words", ["D.C. al Fine", "D. S. al Coda", "da capo", "Dal Segno"])
def test_a_jump_in_words_is_refused_as_one_that_sounds_is(words: str, tmp_path: Path) -> None:
    direction = f"<direction><direction-type><words>{words}</words></direction-type></direction>"

    with pytest.raises(ExerciseError, match=r"a jump \(.*\) is not followed: write the repeated part out"):
        read(tmp_path, bars(tab("1/5") + direction + rest()))


def test_other_words_are_listed_and_refuse_nothing(tmp_path: Path) -> None:
    direction = "<direction><direction-type><words>slowly, D. please</words></direction-type></direction>"

    assert read(tmp_path, bars(direction + tab("1/5"))).remarks == ("1 line of words left out (measure 1).",)


def test_grace_notes_of_a_chord_get_a_string_each(tmp_path: Path) -> None:
    chord = plain("F5", 0, before="<grace/>") + plain("D5", 0, before="<grace/><chord/>")

    notes = read(tmp_path, bars(plain("C5") + chord.replace("<duration>0</duration>", "") + plain("C5"))).exercise.notes

    assert sorted(note.pitch for note in notes) == [72, 72, 74, 77]
    assert notes[1].onset_quarters == notes[2].onset_quarters
    assert notes[1].course != notes[2].course


def test_a_grace_note_that_a_slide_leaves_is_in_the_line_and_so_not_listed(tmp_path: Path) -> None:
    slid = tab("1/5", None, notations='<slide type="start"/>') + tab("1/8", notations='<slide type="stop"/>')
    struck = tab("1/5", None) + tab("1/8")

    reading = read(tmp_path, bars(slid + struck))

    assert [note.slide_from and note.slide_from.fret for note in reading.exercise.notes] == [5, None, None]
    assert reading.remarks == ("1 grace note played as short as can be, before the beat (measure 1).",)
