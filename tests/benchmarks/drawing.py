"""What is measured of frames: `watched` notes what each frame of the window's own loop costs, and when it ends.

The loop is the program's (`trainer.window.show`); what it calls first and last in a frame, pygame's `event.get` and
`display.flip`, is wrapped. A frame's work is what lies between, without the sleep to its deadline.
"""

import gc
import time
from array import array
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from tests.benchmarks.figures import Figure, Goal, Way
from tests.benchmarks.measures import percentile
from tests.screens.desk import FRAME_NS, Desk

import pygame  # isort: skip  # after the desk, which chooses the driver

from trainer.devices.skill import SKILLS
from trainer.practiceroom import tidy_memory
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.screens.screen import Screen

FRAME_MS = FRAME_NS / 1e6
MISSED_AFTER_NS = 3 * FRAME_NS // 2
"""Between the ends of two frames: longer, and the picture stood still for a frame."""


@dataclass(slots=True)
class Frames:
    """What each frame took, in ns."""

    work: "array[int]" = field(default_factory=lambda: array("q"))
    """By the clock."""
    processor: "array[int]" = field(default_factory=lambda: array("q"))
    """Of the thread that draws."""
    gaps: "array[int]" = field(default_factory=lambda: array("q"))
    """From the end of the frame before to the end of this one."""
    is_counting: bool = True

    def clear(self) -> None:
        """Begin anew."""
        for one in (self.work, self.processor, self.gaps):
            del one[:]


@contextmanager
def watched(frames: Frames, ends: Callable[[], bool]) -> Iterator[None]:
    """Note every frame of a window that is open meanwhile; it is closed when it `ends()`."""
    get, flip = pygame.event.get, pygame.display.flip
    begun = [0, 0, 0]

    def first(*arguments: object, **named: object) -> list[pygame.event.Event]:
        begun[0], begun[1] = time.perf_counter_ns(), time.thread_time_ns()
        events: list[pygame.event.Event] = get(*arguments, **named)  # type: ignore[arg-type] # passed on as they came
        return [pygame.event.Event(pygame.QUIT)] if ends() else events

    def last() -> None:
        flip()
        if not frames.is_counting:
            return
        now_ns = time.perf_counter_ns()
        frames.work.append(now_ns - begun[0])
        frames.processor.append(time.thread_time_ns() - begun[1])
        if begun[2]:
            frames.gaps.append(now_ns - begun[2])
        begun[2] = now_ns

    pygame.event.get, pygame.display.flip = first, last  # type: ignore[assignment] # put back below
    try:
        yield
    finally:
        pygame.event.get, pygame.display.flip = get, flip


def figures_of(frames: Frames, where: str) -> Iterator[Figure]:
    """The rows of a table."""
    work, processor = ([ns / 1e6 for ns in kind] for kind in (frames.work, frames.processor))
    yield Figure(f"{where}, frame work, processor time, p50", percentile(processor, 50), "ms")
    yield Figure(f"{where}, frame work, processor time, p99", percentile(processor, 99), "ms", Goal(most=8))
    yield Figure(f"{where}, frame work by the clock, p99", percentile(work, 99), "ms", Goal(most=8))
    over = sum(ms > FRAME_MS for ms in work)
    yield Figure(f"{where}, frames of {len(work)} whose work took over {FRAME_MS:.1f} ms", over, "", Goal(most=0))
    late = sum(gap > MISSED_AFTER_NS for gap in frames.gaps)
    yield Figure(f"{where}, frames that came half a frame late or more", late, "")


def frame(way: Way) -> Iterator[Figure]:
    """Following and drawing a learner's take at 1920x1080, on an accelerated clock, without a screen."""
    seconds = 600 if way is Way.WHOLE else 20
    exercise = load_exercise("long-terrace")
    passes = -(-seconds // round(exercise.tempo.ns(exercise.length_quarters) / 1e9))
    surface = pygame.display.set_mode((1920, 1080))
    desk = Desk(SKILLS["learning"])
    screen: Screen = desk.practice(RunPlan(exercise, exercise.tempo, passes=passes))
    costs = []
    tidy_memory()  # as before every take
    for _ in range(1 + seconds * 60):
        began = time.thread_time()
        screen = desk.play(screen, FRAME_NS / 1e9)
        screen.draw(surface, desk.now_ns)
        pygame.display.flip()
        costs.append(1e3 * (time.thread_time() - began))
    gc.enable()
    laid_out, *costs = costs
    yield Figure("the frame before the count-in, in which the line is laid out", laid_out, "ms")
    where = f"a frame of {seconds} s at 1920x1080, processor time"
    yield Figure(f"{where}, p50", percentile(costs, 50), "ms")
    yield Figure(f"{where}, p99", percentile(costs, 99), "ms", Goal(most=8))
    yield Figure(f"{where}, most", max(costs), "ms", Goal(most=FRAME_MS))
