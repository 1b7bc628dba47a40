"""What the coach says on the screen, for pictures and tests: results of passes in which one note always comes late."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

from trainer.coaching.advice import Advice
from trainer.coaching.effect import in_drill_words
from trainer.coaching.ladder import Ladder, Rungs
from trainer.coaching.rests import MINUTE_NS, SinceBreak
from trainer.coaching.sitting import passes_of_sitting
from trainer.coaching.telling import Hearing
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.coaching.transitions import weigh
from trainer.coaching.ways import Asking, Way
from trainer.devices.skill import Skill
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.screens.coach import CoachDoors, CoachScreen
from trainer.screens.practice import Outcome, PracticeScreen
from trainer.screens.result import Onward, ResultScreen
from trainer.screens.screen import Command
from trainer.screens.tempo_run import TempoRunScreen
from trainer.screens.tempo_ways import TempoWaysScreen

from .desk import Desk, Page

STEADY = Skill(timing_sd_ns=8_000_000)
WEAK_NOTE = 9
EFFECT = (
    "Since the drill, from note 8 to 9: 44 ms late before, 12 ms late now (-32 ms, 95 %: -39 to -25); spread 9 ms "
    "before, 8 ms now."
)
TROUBLE = (
    "The history /home/player/boxwalk/history.db cannot be written: the disk is full. Free some space; until then "
    "takes are kept as files, and they are taken in later."
)
KNOWN = "A month ago, on 24 Oct: ♩ = 84, between 80 and 88 (2.8 notes a second)."


def advice_on(outcome: Outcome, hearing: Hearing = Hearing(knows_delays=True)) -> Advice:  # noqa: B008 - frozen
    """What the coach says of one sitting."""
    exercise, tempo = outcome.plan.exercise, outcome.plan.tempo
    passes = passes_of_sitting(outcome.stretches, tempo)
    return Advice(exercise, weigh(passes, [note.technique for note in exercise.notes]), hearing, tempo)


@cache
def late_outcome(passes: int = 20, late_ms: int = 45, *, name: str = "two-gates") -> Outcome:
    """A sitting whose note 9 comes late in every pass."""
    exercise = load_exercise(name)
    return outcome_of(exercise, passes, late_faults(exercise, passes, late_ms))


def late_faults(exercise: Exercise, passes: int, late_ms: int) -> str:
    """The weak note late in every pass."""
    return ", ".join(f"late {turn * len(exercise.notes) + WEAK_NOTE} {late_ms}" for turn in range(passes))


def outcome_of(exercise: Exercise, passes: int, faults: str = "") -> Outcome:
    """A sitting, played to its end."""
    desk = Desk(STEADY, faults)
    page = desk.play(desk.practice(RunPlan(exercise, exercise.tempo, passes=passes)), 900)
    assert isinstance(page, Page)
    assert page.outcome is not None
    return page.outcome


def result(outcome: Outcome, *remarks: str, trouble: str = "", onward: tuple[Onward, ...] = ()) -> ResultScreen:
    """The result with the coach's column."""
    page = Page("list")
    return ResultScreen(
        outcome,
        play_again=lambda _: page,
        leave_to=lambda: page,
        advice=advice_on(outcome),
        remarks=remarks,
        onward=onward,
        rest=lambda _: SinceBreak(7 * MINUTE_NS, 0),
        trouble=lambda: trouble,
    )


def way(key: str, words: str, command: Command) -> Onward:
    """A way on that leads to a page named after its key."""
    return Onward(key, words, command, lambda: Page(key))


def coached(*remarks: str, trouble: str = "") -> ResultScreen:
    """A weak transition."""
    return result(late_outcome(), *remarks, trouble=trouble, onward=(way("D", "drill notes 7 to 10", Command.DRILL),))


def turned(screen: ResultScreen, command: Command) -> ResultScreen:
    """The same after a key."""
    screen.handle(command)
    return screen


def drill_plan() -> RunPlan:
    """The smallest drill for the weak transition."""
    drill = advice_on(late_outcome()).drills()[0]
    return RunPlan(drill.exercise, drill.exercise.tempo, passes=8)


def drilled() -> ResultScreen:
    """The result of a drill."""
    advice = advice_on(late_outcome())
    assert advice.worst is not None
    drills = advice.drills()
    outcome = outcome_of(drills[0].exercise, 8)
    passes = passes_of_sitting(outcome.stretches, outcome.plan.tempo)
    went = in_drill_words(weigh(passes), advice.worst.to_index - drills[0].first, advice.worst)
    onward = (
        way("D", "longer", Command.DRILL),
        way("L", "back to the line", Command.LOOP),
    )
    page = Page("list")
    return ResultScreen(
        outcome,
        play_again=lambda _: page,
        leave_to=lambda: page,
        remarks=[f"Drill 1 of {len(drills)}. {drills[0].about}", went],
        onward=onward,
    )


def drilling() -> tuple[PracticeScreen, Desk]:
    """A drill that is being played."""
    desk = Desk(STEADY)
    screen = desk.practice(drill_plan())
    assert desk.play(screen, 12) is screen
    return screen, desk


def ways(way: Way, *actions: Command) -> TempoWaysScreen:
    """The settings of one way to ask for tempi."""
    asking = replace(Asking(84), way=way)
    screen = TempoWaysScreen(
        load_exercise("two-gates"),
        asking,
        begin=lambda asking: Page(asking.way.value),
        leave_to=lambda: Page("list"),
        known=KNOWN,
        rest=lambda _: SinceBreak(21 * MINUTE_NS, 0),
        status=lambda: "A simulated player plays.",
    )
    for action in actions:
        screen.handle(action)
    return screen


def listed(*actions: Command) -> CoachScreen:
    """The coach's list, all lines of it weighed."""
    advice = {
        "two-gates": advice_on(late_outcome()),
        "ridge-path": advice_on(outcome_of(load_exercise("ridge-path"), 6)),
        "quarry-steps": advice_on(outcome_of(load_exercise("quarry-steps"), 2)),
    }
    screen = CoachScreen(
        [each.exercise for each in advice.values()],
        lambda line: advice[line.name],
        CoachDoors(
            drill=lambda told, _back: Page(f"drill {told.exercise.name}"),
            play=lambda told, _back: Page(f"play {told.exercise.name}"),
            leave_to=lambda: Page("list"),
        ),
    )
    for now_ns in range(3):
        screen.update((), now_ns)
    for action in actions:
        screen.handle(action)
    return screen


def laddered() -> TempoRunScreen:
    """A ladder on its way."""
    procedure = Ladder(84, Rungs(in_row=2, down=4.0))
    for outcome in "ccccxcc":
        procedure = procedure.told(clean=outcome == "c")
    page = Page("list")
    return TempoRunScreen(
        TempoSitting(load_exercise("two-gates"), procedure, remark="Pass 7 at ♩ = 92: clean."),
        practice=lambda _plan, _heard, _back: page,
        status=lambda: "A simulated player plays.",
        leave_to=lambda: page,
        rest=lambda _: SinceBreak(9 * MINUTE_NS, 0),
    )


COACHED: dict[str, Callable[[], ResultScreen | TempoWaysScreen | TempoRunScreen | CoachScreen]] = {
    "coach": listed,
    "coach-nothing": lambda: listed(Command.DOWN, Command.DRILL),
    "coach-early": lambda: listed(Command.DOWN, Command.DOWN),
    "result-coach": coached,
    "result-coach-passes": lambda: turned(coached(), Command.NEXT_CHOICE),
    "result-coach-early": lambda: result(late_outcome(2)),
    "result-coach-effect": lambda: coached(EFFECT),
    "result-coach-trouble": lambda: coached(trouble=TROUBLE),
    "result-drill": drilled,
    "tempo-working": lambda: ways(Way.WORKING),
    "tempo-ladder-run": laddered,
    "tempo-ladder": lambda: ways(Way.LADDER, *[Command.DOWN] * 4, Command.RIGHT),
    "tempo-bursts": lambda: ways(Way.BURSTS),
    "tempo-shuffled": lambda: ways(Way.SHUFFLED),
}
"""Results, drills and ways to ask for tempi; `test_coached` looks at them."""
