import pytest

from trainer.theory.naming import UnknownWord, folded, named, nearest


def test_spaces_hyphens_underscores_and_case_do_not_tell_names_apart() -> None:
    assert folded("Drop_D") == folded("drop d") == folded("drop-d") == "drop-d"


def test_the_nearest_word_is_the_most_alike_and_nothing_if_none_is() -> None:
    assert nearest("dorean", ["dorian", "phrygian"]) == "dorian"
    assert nearest("xyz", ["dorian", "phrygian"]) is None


def test_where_no_word_is_near_a_short_list_of_choices_is_shown() -> None:
    with pytest.raises(UnknownWord, match="'xyz' is not a mode: dorian, phrygian"):
        named("xyz", {"dorian": 1, "phrygian": 2}, "a mode")
