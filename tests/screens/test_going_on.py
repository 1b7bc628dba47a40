from trainer.coaching.tempo_sitting import REST_AFTER_PASSES, REST_SECONDS
from trainer.screens.going_on import BETWEEN_SECONDS, NS_PER_SECOND, GoingOn
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command

from .contests import contest_at
from .desk import Desk


def waits(going_on: GoingOn, passes: int) -> int:
    """After how many seconds the next pass begins."""
    for second in range(60):
        if going_on.feed(second * NS_PER_SECOND, passes, is_break_due=False):
            return second
    raise AssertionError("it never goes on")


def test_it_waits_a_little_between_passes_and_longer_after_every_fifth() -> None:
    going_on = GoingOn()
    going_on.turn()

    assert waits(going_on, 1) == BETWEEN_SECONDS
    assert waits(going_on, REST_AFTER_PASSES) == REST_SECONDS


def test_it_is_off_at_first_and_stands_still_when_a_break_is_due() -> None:
    going_on = GoingOn()
    off = [going_on.feed(second * NS_PER_SECOND, 1, is_break_due=False) for second in range(60)]
    going_on.turn()
    due = [going_on.feed(second * NS_PER_SECOND, 1, is_break_due=True) for second in range(60)]

    assert not any(off)
    assert not any(due)
    assert going_on.words(0) == ""


def test_a_contest_plays_pass_after_pass_without_a_key_and_says_when() -> None:
    desk = Desk()
    screen = contest_at(desk, start_qpm=300)
    screen.handle(Command.LOOP)
    screen.update((), 0)
    said = "\n".join(text for text, _ in screen.texts((1280, 720)))

    following = screen.update((), BETWEEN_SECONDS * NS_PER_SECOND)

    assert f"the next pass begins by itself in {BETWEEN_SECONDS} s" in said
    assert isinstance(following, PracticeScreen)
    desk.play(following, 30)
    assert len(screen.contest.scores) >= 2
