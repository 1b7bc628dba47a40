import pytest

from trainer.score.fingering import Fretting, Grip, Link, grips_of
from trainer.score.hand import HANDS, fret_distance_mm, limits_of
from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord

# Common practice, no source, unless a test says otherwise.


def frettings(text: str) -> list[Fretting]:
    """`1/5 1/p3 2/s7 1/5+2/5`: string and fret; p is slurred, s is slid, + joins a chord."""
    rows = []
    for word in text.split():
        link = Link.SLURRED if "p" in word else Link.SLID if "s" in word else Link.FREE
        places = [place.translate({ord("p"): "", ord("s"): ""}).split("/") for place in word.split("+")]
        rows.append(Fretting(tuple(Location(int(course), int(fret)) for course, fret in places), link))
    return rows


def fingers(text: str, hand: str = "adult") -> list[list[int]]:
    grips = grips_of(frettings(text), HANDS[hand])
    return [[] if grip is None else list(grip.fingers.values()) for grip in grips]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("6/5 6/6 6/7 6/8", [1, 2, 3, 4]),
        ("6/5 6/8 5/5 5/7 4/5 4/7", [1, 4, 1, 3, 1, 3]),
        ("1/8 1/10 1/12", [1, 2, 4]),
        ("1/7 1/8 1/10", [1, 2, 4]),
        ("1/7 1/9 1/10", [1, 3, 4]),
    ],
)
def test_the_shapes_that_every_beginner_learns(line: str, expected: list[int]) -> None:
    assert fingers(line) == [[finger] for finger in expected]


def test_the_hand_stays_where_the_whole_line_can_be_reached() -> None:
    grips = grips_of(frettings("4/10 4/12 3/9 3/12 2/10 2/13"))

    assert {grip.index_fret for grip in grips if grip} == {10}


def test_a_slide_keeps_its_finger_and_takes_the_hand_along() -> None:
    first, second = (grip for grip in grips_of(frettings("1/8 1/s10")) if grip)

    assert list(first.fingers.values()) == list(second.fingers.values())
    assert second.index_fret - first.index_fret == 2


def test_a_slur_needs_two_fingers_and_a_hand_that_stays() -> None:
    first, second = (grip for grip in grips_of(frettings("1/9 1/p7")) if grip)

    assert (list(first.fingers.values()), list(second.fingers.values())) == ([3], [1])
    assert first.index_fret == second.index_fret


def test_notes_at_one_fret_that_sound_together_share_a_finger() -> None:
    assert fingers("1/7+2/7") == [[1, 1]]
    assert fingers("2/8+1/10") == [[1, 3]]


def test_open_strings_need_no_finger_and_leave_the_hand_where_it_is() -> None:
    assert fingers("1/3 1/0 2/3") == [[3], [], [3]]
    assert grips_of(frettings("1/0 2/0")) == (None, None)
    assert grips_of([]) == ()


def test_a_hand_that_reaches_less_moves_instead() -> None:
    line = "6/1 6/2 6/3 6/4"

    assert fingers(line) == [[1], [2], [3], [4]]
    # The 20 mm of a fret near the nut: frets 1 and 4 lie 97 mm apart, a child's hand reaches 78.
    moves = {grip.index_fret for grip in grips_of(frettings("6/1 5/4 6/1 5/4"), HANDS["child"]) if grip}
    assert len(moves) > 1


def test_what_no_hand_reaches_still_has_an_answer() -> None:
    assert fingers("1/1+2/12") == [[1, 4]]


def test_the_grip_tells_where_the_hand_lies() -> None:
    assert grips_of(frettings("2/8")) == (Grip(8, {Location(2, 8): 1}),)


def test_the_twelfth_fret_halves_the_string_and_the_fifth_leaves_three_quarters() -> None:
    """Equal temperament: L(1 - 2^(-n/12)); 0.5 and 0.250846 of the length (published fret tables)."""
    assert fret_distance_mm(0, 12, 1000) == pytest.approx(500)
    assert fret_distance_mm(0, 5, 1000) == pytest.approx(250.846, abs=0.001)


def test_a_hand_is_known_by_its_name() -> None:
    assert limits_of("small hand") is HANDS["small hand"]
    assert limits_of("any") is None
    with pytest.raises(UnknownWord, match="'chid' is not a hand; nearest: 'child'"):
        limits_of("chid")
