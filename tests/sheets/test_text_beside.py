from dataclasses import replace
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.score.library import exercise_names, load_exercise
from trainer.sheets.text_tablature import text_beside

LINE = load_exercise("quarry-steps").excerpt(0, 3)


def staffs(text: str) -> list[list[str]]:
    """The blocks of rows, without headings and legend."""
    return [block.splitlines() for block in text.split("\n\n")[2:-1]]


def test_a_line_beside_itself_has_nothing_in_the_row_between() -> None:
    (staff,) = staffs(text_beside(LINE, LINE))

    assert staff[6] == "differs"
    assert staff[:6] == staff[7:13]
    assert staff[13].split() == ["count", "1", "e", "&", "a", "(2)"]


def test_a_note_that_is_missing_below_is_marked_under_its_beat() -> None:
    (staff,) = staffs(text_beside(LINE, replace(LINE, notes=(*LINE.notes[:2], LINE.notes[3]))))

    place = staff[6].index("upper")
    assert staff[6].split() == ["differs", "upper"]
    assert staff[1][place] == str(LINE.notes[2].fret)
    assert staff[8][place] == "-"


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(exercise_names()), st.sampled_from(exercise_names()), st.sampled_from([60, 100, 160]))
def test_the_same_beat_stands_in_the_same_column_of_both_lines(one: str, other: str, width: int) -> None:
    upper, lower = load_exercise(one), load_exercise(other)

    for staff in staffs(text_beside(upper, lower, width)):
        rows = [row for row in staff if "|" in row or row.rstrip().endswith("-")]
        assert len({len(row) for row in rows}) == 1
        bars = [[place for place, sign in enumerate(row) if sign == "|"] for row in rows]
        assert all(above == below for above, below in pairwise(bars))
