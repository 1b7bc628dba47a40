import pytest

from trainer.score.articulation import (
    Accents,
    Articulation,
    ShiftKind,
    accents_of,
    accents_text,
    articulation_of,
    shift_kind_of,
)
from trainer.theory.naming import UnknownWord


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
    assert accents_of(accents_text(accents)) == accents


@pytest.mark.parametrize(("text", "nearest"), [("beets", "beats"), ("every x", None), ("every 0", None), ("", None)])
def test_a_slip_in_accents_is_named(text: str, nearest: str | None) -> None:
    with pytest.raises(UnknownWord) as caught:
        accents_of(text)

    assert nearest is None or caught.value.nearest == nearest
