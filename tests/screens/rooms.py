"""Rooms of plan and progress, for pictures and tests: an invented player."""

from fractions import Fraction
from functools import cache, partial

from tests.progress.builders import weeks_played
from trainer.coaching.known import Known, KnownLine, KnownWeakness
from trainer.coaching.plan import Item, Kind, Plan
from trainer.coaching.planning import planned
from trainer.coaching.rests import MINUTE_NS, BreakCounter, SinceBreak
from trainer.dayroom import OVER_A_BACKING, drawing_of, goals_of
from trainer.progress.pictures import pictures_of
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.screens.day_plan import DayPlanScreen
from trainer.screens.improvise import ImproviseScreen, Music, Over
from trainer.screens.pick import PickScreen
from trainer.screens.progress import ProgressPage, ProgressScreen
from trainer.screens.screen import Action, Command, Screen
from trainer.sounds.backing import Accompaniment, backing_for
from trainer.theory.scale import key_named

from .desk import Page

KNOWN = Known(
    {
        "first-stones": KnownLine("first-stones", days_ago=9, days_played=3, passes=12, clean_passes=9, clean_qpm=80),
        "garden-wall": KnownLine("garden-wall", days_ago=1, days_played=4, passes=8, clean_passes=2, clean_qpm=90),
        "two-gates": KnownLine("two-gates", days_ago=0, days_played=2, passes=20, clean_passes=0),
    },
    KnownWeakness(
        "two-gates",
        6,
        7,
        "From note 6 to 7 (string 2 fret 8 to string 1 fret 5): came 25 ms late on average, spread 14 ms. Measured "
        "over 20 passes.",
    ),
)
NAMES = ("first-stones", "garden-wall", "two-gates", "two-wells", "stepping-stones", "quarry-steps-legato", "ladder")


def made(known: Known, minutes: int, goal: str) -> Plan:
    return planned(minutes, [load_exercise(name) for name in NAMES], known, goal)


GOALS = goals_of([load_exercise(name) for name in NAMES])


def day_plan(*actions: Action, minutes: int = 45, known: Known = KNOWN, played_minutes: int = 7) -> DayPlanScreen:
    def start(item: Item, _back: Screen) -> Screen:
        return Page(f"item {item.number}")

    screen = DayPlanScreen(
        partial(made, known),
        start=start,
        leave_to=lambda: Page("list"),
        minutes=minutes,
        goals=GOALS,
        rest=lambda now_ns: SinceBreak(played_minutes * MINUTE_NS, now_ns),
    )
    for action in actions:
        screen.handle(action)
    return screen


def goals(*actions: Action) -> PickScreen:
    """The goals of the day."""
    screen = day_plan().handle(Command.GOAL)
    assert isinstance(screen, PickScreen)
    for action in actions:
        screen.handle(action)
    return screen


def resting() -> DayPlanScreen:
    """A break of the plan, some of it over."""
    screen = day_plan(*[Command.DOWN] * 4, Command.CHOOSE, played_minutes=21)
    screen.update((), 65_000_000_000)
    return screen


def improvising() -> ImproviseScreen:
    """The last item of the plan, for a while."""
    item = next(item for item in day_plan().plan.items if item.kind is Kind.MUSIC)
    assert item.choice is not None
    line, tempo = load_exercise(item.choice.exercise), Tempo(Fraction(str(item.choice.qpm)))
    backing = backing_for(key_named(line.key), line.meter, Accompaniment("shuffle", "i VII VI VII"))
    screen = ImproviseScreen(
        Music(
            item.choice.title,
            (item.choice.task, OVER_A_BACKING.format(backing=backing.words, start=item.choice.start)),
            line,
            item.minutes,
            Over(backing, tempo),
        ),
        start=lambda: None,
        stop=lambda: None,
        leave_to=lambda: Page("plan"),
        breaks=BreakCounter(),
        began_ns=lambda: -tempo.ns(line.meter.bar_quarters),
        status=lambda: "A simulated player plays.",
    )
    screen.update((), 0)
    return screen


@cache
def pages() -> tuple[ProgressPage, ...]:
    return tuple(ProgressPage(each.title, each.sentence, drawing_of(each)) for each in pictures_of(weeks_played()))


def progress(*actions: Action) -> ProgressScreen:
    screen = ProgressScreen(pages(), "All takes, 31 Aug to 27 Sep", leave_to=lambda: Page("list"))
    for action in actions:
        screen.handle(action)
    return screen
