"""Pictures of every screen: `python -m tests.screens.pictures FOLDER`.

Each is rendered at 1920x1080 and 1280x720 from sittings that the simulated player plays through MIDI bytes, session and
follower, so what they show is what the program says; the faults are planted where now stands.
"""

import sys
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Protocol

from tests.screens import sounding
from tests.screens.boards import board, two_boards
from tests.screens.calls import called
from tests.screens.coached import COACHED, TROUBLE, advice_on, drilling
from tests.screens.coached import KNOWN as KNOWN_TEMPO
from tests.screens.contests import contest, relay
from tests.screens.desk import FRAME_NS, Desk, Page
from tests.screens.ghosted import ghosting_of, plan_of
from tests.screens.homework_pages import HOMEWORK
from tests.screens.png import png_of
from tests.screens.reviewed import reviewed
from tests.screens.rooms import day_plan, goals, improvising, progress, resting
from tests.screens.set_up_desk import MOMENTS

import pygame  # isort: skip  # after the desk, which chooses the driver

from trainer.coaching.known import Known
from trainer.coaching.rests import MINUTE_NS, SinceBreak
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.coaching.working_tempo import WorkingTempo
from trainer.devices.skill import SKILLS, Skill
from trainer.following.verdict import Pace
from trainer.run import RunPlan
from trainer.score.finding import twins_of
from trainer.score.library import exercise_names, load_exercise, load_recipe
from trainer.screens.benches import Bench, bench_of, line_bench, variation_bench
from trainer.screens.beside import BesideDoors, BesideScreen
from trainer.screens.builder import BuilderScreen, Doors, Kept
from trainer.screens.choices import Choices, InputChoice
from trainer.screens.home import HomeScreen, Workshop
from trainer.screens.home_now import Ahead
from trainer.screens.keys import KeysScreen
from trainer.screens.practice import PracticeScreen
from trainer.screens.result import ResultScreen
from trainer.screens.room_size import Room
from trainer.screens.screen import BUILDER, Action, Command, Screen, Typed
from trainer.screens.tempo_run import TempoRunScreen
from trainer.screens.tour import TourScreen
from trainer.screens.twin_table import Comparison
from trainer.screens.welcome import WelcomeScreen
from trainer.tablature.figures import TakeFigures, pass_summary
from trainer.tablature.glyphs import Rect
from trainer.touring import tour

SIZES = ((1920, 1080), (1280, 720))
NO_PORTS = (
    InputChoice("simulated", "simulated player", is_pickup=False),
    InputChoice("demonstration", "demonstration, without a slip", is_pickup=False),
)
TOO_SLOW = "after this a sitting should have ended"


class Pictured(Screen, Protocol):
    """A screen that says where its texts are."""

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts and where their capitals lie."""
        ...


def playing(
    name: str,
    seconds: float,
    *,
    skill: Skill = SKILLS["learning"],
    faults: str = "",
    passes: int = 8,
    pace: Pace = Pace.CLICK,
    style: str = "bend",
) -> tuple[PracticeScreen, Desk]:
    """A sitting that has gone on for some seconds."""
    exercise = load_exercise(name)
    desk = Desk(skill, faults, style)
    screen = desk.practice(RunPlan(exercise, exercise.tempo, pace=pace, passes=passes))
    assert desk.play(screen, seconds) is screen
    return screen, desk


def played(name: str, *, skill: Skill = SKILLS["learning"], passes: int = 8, played_minutes: int = 0) -> ResultScreen:
    """The result of a whole sitting, with what the coach says of it."""
    exercise = load_exercise(name)
    desk = Desk(skill)
    page = desk.play(desk.practice(RunPlan(exercise, exercise.tempo, passes=passes)), 900)
    assert isinstance(page, Page), TOO_SLOW
    assert page.outcome is not None
    return ResultScreen(
        page.outcome,
        play_again=lambda _: page,
        leave_to=lambda: page,
        advice=advice_on(page.outcome),
        rest=lambda _: SinceBreak(played_minutes * MINUTE_NS, 0),
    )


def welcome() -> WelcomeScreen:
    """The first page, with two pickups."""
    inputs = (InputChoice("Hut pickup", "Hut pickup"), InputChoice("Barn pickup", "Barn pickup"), *NO_PORTS)
    return WelcomeScreen(
        lambda _: load_exercise("first-stones"),
        list_inputs=lambda: inputs,
        is_set_up=lambda chosen: chosen.name == "Hut pickup",
        play=lambda _: Page("practice"),
        set_up=lambda _: Page("set-up"),
        leave=lambda: Page("list"),
        tour=lambda _: Page("tour"),
    )


def guided(stops: int) -> TourScreen:
    """The tour, some stops on, where it stands."""
    screen = tour(lambda: Page("list"))
    for _ in range(stops):
        screen.handle(Command.RIGHT)
    screen.update((), 0)
    now_ns = 0
    while screen.is_playing:
        now_ns += FRAME_NS
        screen.update((), now_ns)
    return screen


def beside(upper: str, *lower: str) -> BesideScreen:
    """One line over another."""
    doors = BesideDoors(hear=lambda _: 0, hush=lambda: None, leave=lambda: Page("list"))
    return BesideScreen(load_exercise(upper), [load_exercise(name) for name in lower], doors)


def terms_page() -> KeysScreen:
    """The last page of help."""
    page = KeysScreen(Page("list"))
    for _ in range(9):
        page.handle(Command.RIGHT)
        page.texts(SIZES[0])
    return page


def explained(name: str, index: int) -> ResultScreen:
    """The result, with a note under the cursor."""
    screen = played(name)
    for _ in range(index + 1):
        screen.handle(Command.DOWN)
    return screen


@cache
def figures(name: str) -> TakeFigures | None:
    """What a take of two passes by the simulated player comes to; none of the fast twins."""
    if name.endswith("fast"):
        return None
    exercise = load_exercise(name)
    desk = Desk(SKILLS["learning"])
    page = desk.play(desk.practice(RunPlan(exercise, exercise.tempo, passes=2)), 600)
    assert isinstance(page, Page), TOO_SLOW
    session = desk.runs[0].session
    summary = pass_summary(session.exercise, session.ledger, range(len(session.exercise.notes)))
    return TakeFigures(
        date="2026-11-25T10:00:00",
        is_simulated=True,
        pace="click",
        quarters_per_minute=exercise.tempo.quarters_per_minute,
        notes=summary.notes,
        as_written=summary.as_written,
        bias_ms=summary.bias_ms,
        spread_ms=summary.spread_ms,
        techniques=summary.techniques,
    )


WORKSHOP = Workshop(
    build=lambda exercise: Page(exercise.name),
    vary=lambda exercise: Page(exercise.name),
    hear=lambda _: 0,
    hush=lambda: None,
    figures=figures,
    played=frozenset,
)
DOORS = Doors(
    play=lambda exercise, _: Page(exercise.name),
    keep=lambda _title, _text: Kept("There is an exercise of that name already: choose another."),
    hear=lambda _: 0,
    hush=lambda: None,
    sound_status=lambda: "Sound on the card, 12 ms",
    leave=lambda: Page("list"),
)


class Steps:
    """Something to go on with, and a plan that was begun."""

    def ahead(self, chosen: InputChoice) -> tuple[Ahead, ...]:  # noqa: ARG002 - the same on any
        return (
            Ahead("Ctrl Enter", "go on with what was played last", "Quarry steps, ♩ = 72, yesterday", Command.GO_ON),
            Ahead("F10", "today's plan, 3 of 9", "5 min, line: Terrace in fours, down", Command.PLAN),
        )

    def plan(self, chosen: InputChoice, settings: Choices) -> RunPlan | None:  # noqa: ARG002 - the same on any
        return None


def home(selected: str, *actions: Action, notice: str = "") -> HomeScreen:
    """The list with no pickup plugged in, after some actions."""
    screen = HomeScreen(
        tuple(load_exercise(name) for name in exercise_names()),
        list_inputs=lambda: NO_PORTS,
        play=lambda _plan, _input: Page("practice"),
        selected=selected,
        workshop=WORKSHOP,
        doorstep=Steps(),
        notice=notice,
    )
    for action in actions:
        screen.handle(action)
    for now_ns in range(8):
        screen.update((), now_ns)
    return screen


def builder(bench: Bench, *actions: Action, heard_ns: int = 0) -> BuilderScreen:
    """The builder after some actions, and when something has been heard for a while."""
    screen = BuilderScreen(bench, DOORS)
    for action in actions:
        screen.handle(action)
    screen.update((), heard_ns)
    return screen


def building(name: str, *actions: Action, heard_ns: int = 0) -> BuilderScreen:
    """The builder, begun with a shipped line."""
    return builder(bench_of(load_recipe(name)[1]), *actions, heard_ns=heard_ns)


def varying(name: str, *actions: Action, heard_ns: int = 0) -> BuilderScreen:
    """Variations of a shipped line."""
    return builder(variation_bench(load_exercise(name), load_recipe(name)[1]), *actions, heard_ns=heard_ns)


def compared(name: str) -> ResultScreen:
    """The result, with the twins beside it."""
    exercise = load_exercise(name)
    twins = twins_of(exercise, map(load_exercise, exercise_names()))
    desk = Desk(SKILLS["learning"])
    page = desk.play(desk.practice(RunPlan(exercise, exercise.tempo, passes=2)), 600)
    assert isinstance(page, Page), TOO_SLOW
    assert page.outcome is not None
    comparison = Comparison((exercise, *twins), figures)
    screen = ResultScreen(page.outcome, play_again=lambda _: page, leave_to=lambda: page, comparison=comparison)
    screen.handle(Command.TWINS)
    for now_ns in range(8):
        screen.update((), now_ns)
    return screen


def tempo_run() -> TempoRunScreen:
    """An adaptive run that is over."""
    procedure = WorkingTempo(76)
    for outcome in "cccxccxccccxcccxccxc":
        procedure = procedure.told(clean=outcome == "c")
    page = Page("list")
    return TempoRunScreen(
        TempoSitting(load_exercise("quarry-steps"), procedure, remark="Pass 20 at ♩ = 104.5: clean."),
        practice=lambda _plan, _heard, _back: page,
        status=lambda: "A simulated player plays.",
        leave_to=lambda: page,
        known=KNOWN_TEMPO,
    )


LONGEST_LINE = (
    "Eb harmonic minor, eight strings, strings 1 2 3 4 5 6, up three down two from 1 for 9, two fours down then a five "
    "down then thirds up and down, dotted eighth + sixteenth, accent every 3, one pick a string, after an eighth, 7/8, "
    "up-stroke first, 24 frets, foxes, 132"
)


def paused(name: str, seconds: float) -> tuple[PracticeScreen, Desk]:
    """A sitting that stands, with a selection marked."""
    screen, desk = playing(name, seconds)
    for command in (Command.PAUSE, *[Command.LEFT] * 7, Command.MARK_START, *[Command.RIGHT] * 5, Command.MARK_END):
        screen.handle(command)
    return screen, desk


ALL_VERDICTS = "unslid 12, miss 13, string 14, fret 15, extra 16, late 16 38, early 17 21"


def against_a_ghost(name: str, seconds: float) -> tuple[PracticeScreen, Desk]:
    """A sitting that is played against the best of its earlier passes."""
    ghosting, plan = ghosting_of(name, SKILLS["learning"], "miss 13, fret 15"), plan_of(name)
    desk = Desk(SKILLS["learning"], seed=7)
    screen = desk.practice(plan, ghosting=ghosting)
    assert desk.play(screen, seconds) is screen
    return screen, desk


SITTINGS: dict[str, Callable[[], tuple[PracticeScreen, Desk]]] = {
    "practice": lambda: playing("quarry-steps", 50.0),
    "practice-verdicts": lambda: playing("ridge-path", 8.25, skill=SKILLS["exact"], faults=ALL_VERDICTS),
    "practice-count-in": lambda: playing("two-gates", 2.0),
    "practice-paused": lambda: paused("two-gates-slid", 30.0),
    "practice-ghost": lambda: against_a_ghost("ridge-path", 8.25),
    "practice-legato": lambda: playing("quarry-steps-legato", 52.0),
    "practice-unmeasurable": lambda: playing("quarry-steps-legato", 21.0, style="chromatic"),
    "practice-seven-strings": lambda: playing("deep-shaft", 34.0),
    "practice-bass": lambda: playing("cart-track", 130.0),
    "practice-quintuplets": lambda: playing("five-ledges", 40.0),
    "practice-septuplets": lambda: playing("seven-springs", 52.0),
    "practice-three-notes-a-string": lambda: playing("night-quarry", 83.0),
    "practice-six-strings": lambda: playing("long-terrace", 106.0),
    "practice-double-stops": lambda: playing("paired-stones", 45.0),
    "practice-mixed-figures": lambda: playing("dry-wall", 50.0),
    "practice-drill": drilling,
    "practice-own-pace": lambda: playing("ridge-path", 30.0, pace=Pace.FREE),
}
STANDING: dict[str, Callable[[], Pictured]] = {
    "home": lambda: home("quarry-steps"),
    "home-filtered": lambda: home("", *map(Typed, "legato three")),
    "home-narrowed": lambda: home("", *[Command.PREVIOUS_CHOICE] * 3, *[Command.RIGHT] * 7),
    "home-trouble": lambda: home("quarry-steps", notice=TROUBLE),
    "home-twins": lambda: home("quarry-steps", Command.TWINS),
    "keys": lambda: KeysScreen(Page("list"), tour=lambda: Page("tour")),
    "keys-building": lambda: KeysScreen(Page("list"), place=BUILDER),
    "marks": lambda: KeysScreen(Page("list"), shows_marks=True),
    "terms": terms_page,
    "board": lambda: board("quarry-steps", 8.0),
    "board-large-room": lambda: board("quarry-steps", 8.0, Room(14.0, 1.5)),
    "board-empty": lambda: board("ridge-path", 0.0),
    "board-two": lambda: two_boards("quarry-steps", "ridge-path", 8.0),
    "board-paused": lambda: board("quarry-steps", 8.0, None, Command.PAUSE, *[Command.LEFT] * 4),
    "board-reading": lambda: board("quarry-steps", 8.0, Room(6.0), Command.MARKS, Command.PAUSE),
    "board-pointing": lambda: board(
        *("quarry-steps", 8.0, None, *[Command.NEXT_CHOICE] * 3, Command.PACE, Command.UP, Command.UP, Command.CHOOSE),
        *[Command.RIGHT] * 3,
    ),
    "call": lambda: called(2.0),
    "call-answered": lambda: called(12.0),
    "call-shown": lambda: called(12.0, Command.CHOOSE),
    "beside": lambda: beside("two-gates", "two-gates-slid"),
    "beside-other": lambda: beside("quarry-steps", "ridge-path"),
    "contest": lambda: contest(3, skill=SKILLS["practised"]),
    "contest-begins": lambda: contest(0),
    "contest-relay": lambda: relay(5, skill=SKILLS["practised"]),
    "sound": sounding.settings,
    "sound-offset": sounding.finding_the_offset,
    "welcome": welcome,
    "tour": lambda: guided(3),
    "tour-coach": lambda: guided(7),
    "build": lambda: building("quarry-steps", *[Command.DOWN] * 10),
    "build-wrong": lambda: builder(line_bench(), *map(Typed, ", foxes up, 4/5")),
    "build-long": lambda: builder(line_bench(LONGEST_LINE), Command.UP),
    "build-naming": lambda: building("long-terrace", Command.KEEP, Command.CHOOSE),
    "build-seven-strings": lambda: building("deep-shaft", *[Command.DOWN] * 2),
    "build-whole-neck": lambda: building("whole-ridge", *[Command.DOWN] * 5, Command.LISTEN, heard_ns=2_000_000_000),
    "vary": lambda: varying("quarry-steps", Command.RIGHT, Command.RIGHT),
    "vary-refused": lambda: varying("quarry-steps", Command.DOWN, *[Command.RIGHT] * 9),
    "vary-notes": lambda: builder(variation_bench(load_exercise("ridge-path"), None)),
    "tempo-run": tempo_run,
    "result": lambda: played("quarry-steps", played_minutes=26),
    "result-legato": lambda: played("ridge-path"),
    "result-seven-strings": lambda: played("deep-shaft"),
    "result-explained": lambda: explained("ridge-path", 5),
    "result-long": lambda: played("long-terrace", passes=3),
    "result-twins": lambda: compared("quarry-steps"),
    "review-why": lambda: reviewed(9.5, Command.PAUSE, Command.LEFT),
    "review-note": lambda: reviewed(
        9.5, Command.NOTE, *map(Typed, "The slide into the third beat: the fourth finger comes late. Slower, twice.")
    ),
    "review-other": lambda: reviewed(11.6, Command.PAUSE, Command.NEXT_CHOICE, shows_other=True),
}
ROOMS: dict[str, Callable[[], Pictured]] = {
    "plan": day_plan,
    "plan-drill": lambda: day_plan(*[Command.DOWN] * 5),
    "plan-break-skipped": lambda: day_plan(*[Command.DOWN] * 4, Command.ERASE_NEXT),
    "plan-break": resting,
    "plan-goal": lambda: goals(*[Command.DOWN] * 3),
    "plan-goal-narrowed": lambda: goals(*map(Typed, "fours legato")),
    "plan-music": improvising,
    "plan-unknown": lambda: day_plan(minutes=180, known=Known()),
    "progress-tempo": progress,
    "progress-timing": lambda: progress(Command.RIGHT),
    "progress-neck": lambda: progress(*[Command.RIGHT] * 2),
    "progress-transitions": lambda: progress(*[Command.RIGHT] * 3),
    "progress-practice": lambda: progress(*[Command.RIGHT] * 4),
}
"""Rooms of plan and progress; `test_rooms` looks at them."""


def screens() -> Iterator[tuple[str, Pictured, int]]:
    """Every screen by its name, and what time it is there."""
    for name, make in (STANDING | ROOMS | COACHED | HOMEWORK).items():
        yield name, make(), 0
    for name, sit in SITTINGS.items():
        screen, desk = sit()
        yield name, screen, desk.now_ns
    for name, rehearse in MOMENTS.items():
        set_up = rehearse()
        yield name, set_up.screen, set_up.now_ns


def main() -> None:
    """Render all of them, or those whose names begin with what follows the folder."""
    folder, wanted = Path(sys.argv[1]), tuple(sys.argv[2:])
    folder.mkdir(parents=True, exist_ok=True)
    pygame.display.init()
    for name, screen, now_ns in screens():
        if wanted and not name.startswith(wanted):
            continue
        for size in SIZES:
            surface = pygame.display.set_mode(size)
            screen.draw(surface, now_ns)
            (folder / f"{name}-{size[0]}.png").write_bytes(png_of(surface))


if __name__ == "__main__":
    main()
