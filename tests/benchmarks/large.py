"""What is measured of large things: a line of 5,000 notes, 5,000 files, a sitting of 300 takes.

Processor time of this process; sizes are those of issue and test alike, so that both speak of the same thing.
"""

import gc
import os
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TypeVar

from tests.benchmarks.figures import Figure, Goal, NotMeasurableError, Way, resident_mb
from tests.benchmarks.judging import long_line
from tests.benchmarks.measures import percentile
from tests.history.builders import plan_of, record
from tests.screens.desk import FRAME_NS, Desk, Page

import pygame  # isort: skip  # after the desk, which chooses the driver

from tests.screens.sitting import Sitting
from trainer.devices.skill import SKILLS
from trainer.judging import Asked, judge_take
from trainer.playing.take import read_take
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.file_reading import read_file
from trainer.score.library import load_exercise
from trainer.score.note_list import note_list_text
from trainer.score.tempo import Tempo
from trainer.screens.choices import InputChoice
from trainer.screens.home import HomeScreen
from trainer.screens.screen import Command, Typed
from trainer.sheets.kinds import files_of
from trainer.workroom import Library

NOTES = 5_000
FILES = 5_000
TAKES = 300
SIZE = (1920, 1080)
RECIPE = 'title = "Ledge {number}"\nkey = "{key} dorian"\nroute = "1"\ncell = "up"\n'
KEYS = "ABCDEFG"
T = TypeVar("T")


def long_exercise(_way: Way) -> Iterator[Figure]:
    """A line of 5,000 notes: read, drawn, followed, judged, written down."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        line = folder / "long-way.toml"
        line.write_text(note_list_text(replace(long_line(NOTES), name="long-way")), encoding="utf-8")
        cost_s, exercise = spent(lambda: read_file(line).exercise)
        yield Figure(f"a line of {NOTES} notes, read", cost_s, "s")
        yield from _drawn(exercise)
        take = record(folder, plan_of(exercise, passes=1), skill=SKILLS["practised"]).take_path
        assert take is not None
        cost_s, _ = spent(lambda: judge_take(exercise, read_take(take), Asked()))
        yield Figure(f"a line of {NOTES} notes, a take of it judged", cost_s, "s")
        for ending in (".pdf", ".musicxml", ".mid", ".txt"):
            cost_s, _ = spent(lambda ending=ending: files_of([exercise], folder / f"sheet{ending}"))
            yield Figure(f"a line of {NOTES} notes, written as {ending}", cost_s, "s")


def _drawn(exercise: Exercise) -> Iterator[Figure]:
    """Half a minute of it on the screen."""
    surface = pygame.display.set_mode(SIZE)
    desk = Desk(SKILLS["practised"])
    screen = desk.practice(RunPlan(exercise, exercise.tempo))
    cost_s, _ = spent(lambda: (desk.play(screen, FRAME_NS / 1e9), screen.draw(surface, desk.now_ns)))
    yield Figure(f"a line of {NOTES} notes, from its choice to its first frame", cost_s, "s")
    costs = []
    for _ in range(30 * 60):
        cost_s, _ = spent(lambda: (desk.play(screen, FRAME_NS / 1e9), screen.draw(surface, desk.now_ns)))
        costs.append(1e3 * cost_s)
    yield Figure(f"a line of {NOTES} notes, a frame at 1920x1080, p99", percentile(costs, 99), "ms", Goal(most=8))


def large_library(way: Way) -> Iterator[Figure]:
    """Five thousand own files, every fiftieth broken: the list opens, is read on, searched and stepped through."""
    count = FILES if way is Way.WHOLE else FILES // 10
    with tempfile.TemporaryDirectory() as name:
        own = Path(name) / "exercises"
        own.mkdir()
        for number in range(count):
            text = "key = 3" if number % 50 == 0 else RECIPE.format(number=number, key=KEYS[number % len(KEYS)])
            (own / f"ledge-{number:04}.toml").write_text(text, encoding="utf-8")
        before = os.environ.get("BOXWALK_DATA")
        os.environ["BOXWALK_DATA"] = name
        try:
            yield from _listed(count)
        finally:
            if before is None:
                del os.environ["BOXWALK_DATA"]
            else:
                os.environ["BOXWALK_DATA"] = before


def _listed(count: int) -> Iterator[Figure]:
    where = f"a library of {count} own files"
    surface = pygame.display.set_mode(SIZE)
    library = Library()
    cost_s, _ = spent(lambda: (library.look(), library.read_on(60_000_000)))
    yield Figure(f"{where}, until the list opens", cost_s, "s", Goal(most=0.5))
    home = HomeScreen(
        library.known,
        list_inputs=lambda: (InputChoice("simulated", "simulated player", is_pickup=False),),
        play=lambda _plan, _chosen: Page("practice"),
        more=library.more,
    )
    costs = []
    while library.is_reading or len(costs) < 60:
        now_ns = len(costs) * FRAME_NS
        cost_s, _ = spent(lambda now_ns=now_ns: (home.update((), now_ns), home.draw(surface, now_ns)))
        costs.append(1e3 * cost_s)
    yield Figure(f"{where}, all read", sum(costs) / 1e3, "s")
    yield Figure(f"{where}, a frame meanwhile, p99", percentile(costs, 99), "ms")
    keys = [Typed(letter) for letter in "ledge 42"]
    steps = [Command.BACK, *[Command.DOWN] * 20]
    for what, actions in (("a letter of the search", keys), ("a step in the list with its preview", steps)):
        costs = [spent(lambda one=one: (home.handle(one), home.draw(surface, 0)))[0] for one in actions]
        yield Figure(f"{where}, {what}, most", 1e3 * max(costs), "ms", Goal(most=100))


def long_sitting(way: Way) -> Iterator[Figure]:
    """Three hundred takes one after the other, kept and taken into the history, on the real screens."""
    takes = TAKES if way is Way.WHOLE else TAKES // 10
    line = load_exercise("two-gates")
    plan = RunPlan(line, Tempo(Fraction(240)))
    with tempfile.TemporaryDirectory() as name, Sitting(Path(name), plan) as sitting:
        costs, held, handles = [], [], []
        for _ in range(takes):
            cost_s, _ = spent(sitting.take)
            costs.append(cost_s)
            held.append(resident_mb())
            handles.append(open_files())
        kept = sitting.kept_takes()
    tenth = max(1, takes // 10)
    where = f"a sitting of {takes} takes"
    yield Figure(f"{where}, in the history", kept, "", Goal(takes, takes))
    growth = sum(costs[-tenth:]) / sum(costs[tenth : 2 * tenth])
    yield Figure(f"{where}, the last tenth against the second", growth, "times", Goal(most=1.2))
    yield Figure(f"{where}, memory from the second tenth to the end", held[-1] - held[2 * tenth - 1], "MB")
    yield Figure(f"{where}, open files from the second tenth to the end", handles[-1] - handles[2 * tenth - 1], "")


def open_files() -> int:
    """How many files and sockets this process holds; `NotMeasurableError` where the system does not say."""
    try:
        return sum(1 for _ in Path("/proc/self/fd").iterdir())
    except OSError as error:
        raise NotMeasurableError("open files are counted in /proc, which is not here") from error


def spent(act: Callable[[], T]) -> tuple[float, T]:
    """Processor seconds of a call, without a collection of garbage, and what came of it."""
    gc.disable()
    began = time.process_time()
    result = act()
    cost_s = time.process_time() - began
    gc.enable()
    return cost_s, result
