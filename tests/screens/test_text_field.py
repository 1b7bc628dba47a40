from hypothesis import given
from hypothesis import strategies as st

from trainer.screens.text_field import Row, TextField
from trainer.tablature.glyphs import Size


class Even:
    """Letters that are ten pixels wide, all of them."""

    def width_px(self, text: str, size: Size) -> float:  # noqa: ARG002 - every size is alike here
        return 10.0 * len(text)

    def cap_px(self, size: Size) -> float:  # noqa: ARG002
        return 8.0


def field(text: str, room_px: float = 80) -> TextField:
    return TextField(text, Size.BODY, room_px, Even())


def test_rows_end_behind_a_space_and_a_word_that_is_too_long_is_cut() -> None:
    assert field("one two three").rows == (Row(0, 8), Row(8, 13))
    assert field("onetwothreefour").rows == (Row(0, 8), Row(8, 15))
    assert field("").rows == (Row(0, 0),)


def test_a_column_stands_behind_the_letters_before_it() -> None:
    assert field("one two three").place_of(4) == (0, 40.0)
    assert field("one two three").place_of(8) == (1, 0.0)
    assert field("one two three").place_of(13) == (1, 50.0)


def test_a_place_means_the_nearest_column() -> None:
    text = field("one two three")

    assert [text.column_at(0, x_px) for x_px in (-5, 14, 16, 999)] == [0, 1, 2, 7]
    assert [text.column_at(row, 999) for row in (1, 9)] == [13, 13]


def test_a_stretch_over_two_rows_has_two_pieces_and_one_past_the_end_a_letter() -> None:
    text = field("one two three")

    assert list(text.stretches(4, 10)) == [(0, 40.0, 70.0), (1, 0.0, 20.0)]
    assert list(text.stretches(13, 14)) == [(1, 50.0, 60.0)]


@given(st.text("ab ,", max_size=60), st.integers(10, 200))
def test_rows_hold_every_letter_once_and_each_column_is_found_where_it_stands(text: str, room_px: int) -> None:
    made = field(text, room_px)

    assert "".join(text[row.begin : row.end] for row in made.rows) == text
    assert all(len(text[row.begin : row.end].rstrip()) * 10 <= max(10, room_px) for row in made.rows)
    assert [made.column_at(*made.place_of(column)) for column in range(len(text) + 1)] == list(range(len(text) + 1))
