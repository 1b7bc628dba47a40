import pytest

from trainer.score.articulation import (
    Accents,
    Articulation,
    ShiftKind,
    accents_of,
    articulation_of,
    fingers_of,
    shift_kind_of,
)
from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord


def fingers(*frets: int, course: int = 1) -> list[int | None]:
    held = fingers_of(Location(course, fret) for fret in frets)
    return [held.get(Location(course, fret)) for fret in frets]


def test_articulations_and_shifts_have_names() -> None:
    assert articulation_of("One pick a string") is Articulation.ONE_A_STRING
    assert shift_kind_of("slide") is shift_kind_of("slid") is ShiftKind.SLID
    with pytest.raises(UnknownWord, match="'slidd' is not a kind of shift; nearest: 'slid'"):
        shift_kind_of("slidd")


@pytest.mark.parametrize(
    ("text", "accents"),
    [
        ("none", Accents()),
        ("groups", Accents(on_groups=True)),
        ("beats", Accents(on_beats=True)),
        ("every three", Accents(every=3)),
        ("1, 4", Accents(places=frozenset({1, 4}))),
    ],
)
def test_accents_are_read(text: str, accents: Accents) -> None:
    assert accents_of(text) == accents


@pytest.mark.parametrize(("text", "nearest"), [("beets", "beats"), ("every x", None), ("every 0", None), ("", None)])
def test_a_slip_in_accents_is_named(text: str, nearest: str | None) -> None:
    with pytest.raises(UnknownWord) as caught:
        accents_of(text)

    assert nearest is None or caught.value.nearest == nearest


def test_four_frets_have_one_finger_each() -> None:
    assert fingers(5, 6, 7, 8) == [1, 2, 3, 4]
    assert fingers(5, 8) == [1, 4]


def test_an_open_string_needs_no_finger_and_keeps_the_hand_at_the_nut() -> None:
    assert fingers(0, 3) == [None, 3]
    assert fingers(0, 5, 8) == [None, 1, 4]


def test_a_stretch_of_five_frets_or_more_rises_from_the_index_finger_to_the_little_one() -> None:
    assert fingers(5, 7, 9) == [1, 3, 4]
    assert fingers(5, 10) == [1, 4]
    assert fingers(5, 8, 10, 12) == [1, 2, 3, 4]


def test_five_notes_on_a_string_share_the_little_finger() -> None:
    assert fingers(3, 5, 7, 9, 10) == [1, 2, 3, 4, 4]
