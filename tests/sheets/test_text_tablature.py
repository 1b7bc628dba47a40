import re
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sheets.text_tablature import text_tablature
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique
from trainer.theory.tuning import TUNINGS, Tuning

SIXTEENTH = Fraction(1, 4)


def line(*places: str, step: Fraction = SIXTEENTH, meter: Meter | None = None, tuning: str = "standard") -> Exercise:
    """A line of even notes; places are string/fret with `h`, `p` or `s` before it, e.g. `h1/8`; `s3>1/8` is a grace."""
    notes = []
    for index, place in enumerate(places):
        parts = re.fullmatch(r"([hps]?)(?:(\d+)>)?(\d+)/(\d+)", place)
        assert parts is not None
        mark, begin, course, fret = parts.groups()
        location = Location(int(course), int(fret))
        technique = {"": Technique.PICK, "h": Technique.HAMMER, "p": Technique.PULL, "s": Technique.SLIDE}[mark]
        slide_from = Location(int(course), int(begin)) if begin else None
        pitch = TUNINGS[tuning].pitch_at(location)
        notes.append(ScoreNote(index * step, step, location, pitch, technique, slide_from))
    return Exercise(
        name="quarry-steps",
        title="Quarry steps",
        tuning=TUNINGS[tuning],
        tempo=Tempo(Fraction(90)),
        notes=tuple(notes),
        meter=meter or Meter(),
        length_quarters=len(places) * step,
    )


def test_fives_in_sixteenths_with_everything_that_a_line_can_say() -> None:
    fives = line("1/10", "1/8", "p1/5", "2/8", "2/5", "1/12", "1/10", "p1/8", "2/10", "s12>2/8")
    marks: dict[int, dict[str, Any]] = {
        0: {"accent": True, "position": 3, "stroke": Stroke.DOWN, "finger": 4},
        1: {"position": 2, "stroke": Stroke.UP, "finger": 4},
        5: {"accent": True, "position": 4},
        6: {"position": 3},
    }
    notes = tuple(replace(note, **marks.get(index, {})) for index, note in enumerate(fives.notes))

    text = text_tablature(replace(fives, notes=notes, key="A minor pentatonic"))

    assert text == (
        "Quarry steps\n"
        "A minor pentatonic, standard tuning, 4/4, 90 quarters a minute\n"
        "\n"
        "   pos   3   2           4   3\n"
        "accent   >               >\n"
        "  pick   D   U\n"
        "     e |-10--8-p5--------12--10-p8-----------|\n"
        "     B |-----------8--5-------------10--12\\8-|\n"
        "     G |-------------------------------------|\n"
        "     D |-------------------------------------|\n"
        "     A |-------------------------------------|\n"
        "     E |-------------------------------------|\n"
        " count   1   e  &  a  2  e   &   a  3      e\n"
        "finger   4   4\n"
        "\n"
        "Rows are strings, the top one is string 1; numbers are frets, 0 = open. Signs here:\n"
        "  p5    pull-off to fret 5\n"
        "  5/7   with a fret close before the sign: pick fret 5 and slide to 7 at once\n"
        "  >     accent\n"
        "  D U   pick down, pick up\n"
        "  pos   the scale position that the hand moves to\n"
        "  finger  1 = index ... 4 = little\n"
        "  count 4 a beat: 1 e & a\n"
    )


def strings_and_count(text: str) -> str:
    """The drawn part of a text tablature."""
    return "\n\n".join(text.split("\n\n")[1:-1])


def test_triplets_with_legato_and_slides_are_counted_in_threes() -> None:
    text = text_tablature(line("6/3", "h6/5", "s6/7", "5/5", "p5/3", "s5/2", step=Fraction(1, 3)))

    assert strings_and_count(text) == (
        "    e |----------------------------|\n"
        "    B |----------------------------|\n"
        "    G |----------------------------|\n"
        "    D |----------------------------|\n"
        "    A |---------------5-p3----\\2---|\n"
        "    E |-3-h5----/7-----------------|\n"
        "count   1  trip  let  2  trip  let"
    )


def test_quintuplets_are_counted_from_the_number_of_their_beat() -> None:
    text = text_tablature(line(*["3/5", "3/7", "2/5", "2/8", "1/5"] * 2, step=Fraction(1, 5)))

    assert "count   1  2  3  4  5  2  2  3  4  5\n" in text
    assert "  count 5 a beat: 1 2 3 4 5\n" in text
    assert "the second is counted 2 2 3 4 5" in text


def test_a_beat_without_an_onset_is_counted_in_brackets() -> None:
    text = text_tablature(line("1/5", "1/8", step=Fraction(2)))

    assert strings_and_count(text).splitlines()[0] == "    e |-5-------8------|"
    assert strings_and_count(text).splitlines()[-1] == "count   1  (2)  3  (4)"
    assert "  (2)   a beat on which no note begins\n" in text


def test_a_chord_stands_in_one_column() -> None:
    chord = line("6/3", "5/2", "4/0", "3/0")
    notes = tuple(replace(note, onset_quarters=Fraction(0), duration_quarters=Fraction(1)) for note in chord.notes)

    text = text_tablature(replace(chord, notes=notes, length_quarters=Fraction(1)))

    assert [row[6:] for row in strings_and_count(text).splitlines()[:6]] == [
        "|---|",
        "|---|",
        "|-0-|",
        "|-0-|",
        "|-2-|",
        "|-3-|",
    ]


def test_staves_break_at_bars_and_too_long_bars_at_beats() -> None:
    places = ["1/5", "1/7", "1/8", "1/10"] * 8

    bars = strings_and_count(text_tablature(line(*places), width=70)).split("\n\n")
    beats = strings_and_count(text_tablature(line(*places), width=36)).split("\n\n")

    assert [staff.splitlines()[0] for staff in bars] == [
        "    e |-5--7--8--10--5--7--8--10--5--7--8--10--5--7--8--10-|",
    ] * 2
    assert [staff.splitlines()[0] for staff in beats] == [
        "    e |-5--7--8--10--5--7--8--10--",
        "    e --5--7--8--10--5--7--8--10-|",
    ] * 2


@pytest.mark.parametrize(
    ("tuning", "letters"),
    [
        ("standard", "e B G D A E"),
        ("drop-d", "E B G D A D"),
        ("e-flat", "eb Bb Gb Db Ab Eb"),
        ("open-d", "d A F# D A D"),
        ("seven-string", "e B G D A E B"),
        ("bass", "G D A E"),
    ],
)
def test_every_string_has_its_letter_string_1_on_top(tuning: str, letters: str) -> None:
    rows = strings_and_count(text_tablature(line("1/5", tuning=tuning))).splitlines()[:-1]

    assert [row.split()[0] for row in rows] == letters.split()


def test_the_legend_names_only_the_signs_that_occur() -> None:
    legend = text_tablature(line("1/5", "1/8")).split("\n\n")[-1]

    assert legend == (
        "Rows are strings, the top one is string 1; numbers are frets, 0 = open. Signs here:\n"
        "  count 4 a beat: 1 e & a\n"
    )


def test_a_line_without_notes_is_an_empty_staff() -> None:
    empty = replace(line(), length_quarters=Fraction(4))

    assert "count   (1)  (2)  (3)  (4)" in text_tablature(empty)


places = st.tuples(st.sampled_from(["", "", "h", "p", "s"]), st.integers(1, 6), st.integers(0, 24)).map(
    lambda place: f"{place[0]}{place[1]}/{place[2]}"
)


@given(st.lists(places, min_size=1, max_size=40), st.sampled_from([1, 2, 3, 4, 5, 7]), st.integers(40, 120))
def test_the_frets_can_be_read_back_in_order_and_rows_are_even(
    written: list[str], notes_a_beat: int, width: int
) -> None:
    exercise = line(*written, step=Fraction(1, notes_a_beat))

    staves = strings_and_count(text_tablature(exercise, width)).split("\n\n")

    read_back: list[tuple[int, int]] = []
    for staff in staves:
        rows = staff.splitlines()[:6]
        assert len({len(row) for row in rows}) == 1
        found = [
            (fret.start(), course, int(fret.group()))
            for course, row in enumerate(rows, start=1)
            for fret in re.finditer(r"\d+", row)
        ]
        read_back += [(course, fret) for _, course, fret in sorted(found)]
        assert max(len(row) for row in staff.splitlines()) <= max(width, 60)
    assert read_back == [(note.course, note.fret) for note in exercise.notes]


def test_a_tuning_of_ones_own_has_letters_too() -> None:
    exercise = replace(line("1/5"), tuning=Tuning("own", (61, 54, 49)))

    assert [row.split()[0] for row in strings_and_count(text_tablature(exercise)).splitlines()[:3]] == [
        "c#",
        "F#",
        "C#",
    ]
