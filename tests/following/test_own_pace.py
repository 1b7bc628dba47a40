import doctest

from trainer.following import own_pace
from trainer.following.own_pace import deviation_ns

MS = 1_000_000


def trail(*played_ms: int, written_ms: int = 100) -> own_pace.Trail:
    return tuple((at * MS, number * written_ms * MS) for number, at in enumerate(played_ms))


def test_the_examples_hold() -> None:
    failed, tried = doctest.testmod(own_pace)

    assert (failed, tried > 0) == (0, True)


def test_three_notes_are_needed_before_the_one_that_is_measured() -> None:
    assert deviation_ns(trail(0, 140, 280)) is None
    assert deviation_ns(trail(0, 140, 280, 420)) == 0


def test_a_late_note_before_does_not_make_the_next_one_look_early() -> None:
    assert deviation_ns(trail(0, 140, 280, 420, 600, 700)) == 0
    assert deviation_ns(trail(0, 140, 280, 420, 600)) == 40 * MS


def test_notes_that_are_written_at_one_time_tell_no_pace() -> None:
    assert deviation_ns(trail(0, 10, 20, 30, written_ms=0)) is None
