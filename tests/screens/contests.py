"""Contests at a desk, for pictures and tests."""

from collections.abc import Callable

from trainer.coaching.contest import Contest
from trainer.coaching.rests import DUE_NS, SinceBreak
from trainer.devices.skill import EXACT, Skill
from trainer.run import RunPlan
from trainer.score.daily import line_of_the_day
from trainer.score.library import load_exercise
from trainer.screens.contest import ContestDoors, ContestScreen, RelayDoors, TableRow
from trainer.screens.practice import Outcome, PracticeScreen
from trainer.screens.screen import Command, Screen

from .desk import Desk, Page

TABLE = (
    TableRow(612, "Anna", 151.2, 2, "2026-11-20"),
    TableRow(588, "", 144, 1, "2026-11-25", is_this_run=True),
    TableRow(540, "A name that is far too long for its column", 132.5, 3, "2026-11-18"),
)


def contest_at(
    desk: Desk,
    *,
    start_qpm: float = 200,
    table: tuple[TableRow, ...] = (),
    due: bool = False,
    relay: RelayDoors | None = None,
) -> ContestScreen:
    """A contest before its first pass."""

    def practice(plan: RunPlan, heard: Callable[[Outcome], Screen], back: Callable[[], Screen]) -> Screen:
        return PracticeScreen(
            plan, start_run=desk.start_run, status=lambda: "A desk.", show_result=heard, leave_to=back
        )

    return ContestScreen(
        Contest(load_exercise("two-gates"), start_qpm),
        ContestDoors(
            practice=practice,
            began=lambda: "2026-11-25T09:00:00+00:00",
            table=lambda _contest, _name: table,
            other_line=lambda: Contest(line_of_the_day("2026-11-25"), 60),
            leave_to=lambda: Page("list"),
            rest=lambda _now_ns: SinceBreak(DUE_NS if due else 0, 0),
            relay=relay,
        ),
    )


def contest(passes: int, *, skill: Skill = EXACT) -> ContestScreen:
    """A contest after some passes, with a table."""
    desk = Desk(skill)
    screen = contest_at(desk, start_qpm=120, table=TABLE)
    for _ in range(passes):
        if screen.contest.is_over:
            break
        playing = screen.handle(Command.PAUSE)
        assert playing is not None
        assert desk.play(playing, 40) is screen
    return screen


TWO = RelayDoors(
    names=lambda: ("Anna", "Ben"), has_second=lambda: True, next_second=lambda: "Second input: Barn pickup."
)
TEAMS = (
    TableRow(1152, "Anna + Ben", 126, 3, "2026-11-25", is_this_run=True),
    TableRow(980, "you + second player", 112.5, 5, "2026-11-20"),
)


def relay(passes: int, *, skill: Skill = EXACT) -> ContestScreen:
    """A relay after some passes, with its table."""
    desk = Desk(skill)
    screen = contest_at(desk, start_qpm=120, table=TEAMS, relay=TWO)
    screen.handle(Command.PACE)
    for _ in range(passes):
        if screen.contest.is_over:
            break
        playing = screen.handle(Command.PAUSE)
        assert playing is not None
        assert desk.play(playing, 40) is screen
    return screen
