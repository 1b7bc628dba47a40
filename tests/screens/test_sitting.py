"""Take after take on the program's own screens, on an accelerated clock: all is kept, and nothing piles up."""

import gc
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from tests.screens.sitting import Sitting
from trainer.run import Run, RunPlan
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.screens.practice import PracticeScreen
from trainer.screens.result import ResultScreen

TAKES = 4
FRAME_NS = 100_000_000


@pytest.fixture
def sitting(tmp_path: Path) -> Iterator[Sitting]:
    line = load_exercise("first-stones")
    with Sitting(tmp_path, RunPlan(line, Tempo(Fraction(300))), frame_ns=FRAME_NS) as begun:
        yield begun


def alive(*kinds: type) -> list[int]:
    """How many objects of these kinds have not been let go of."""
    gc.unfreeze()
    gc.collect()
    objects = gc.get_objects()
    return [sum(type(one) is kind for one in objects) for kind in kinds]


def open_files() -> int:
    """How many files this process holds; 0 where the system does not say."""
    folder = Path("/proc/self/fd")
    return sum(1 for _ in folder.iterdir()) if folder.is_dir() else 0


def test_every_take_is_in_the_history_and_no_run_screen_or_file_outlives_the_next(sitting: Sitting) -> None:
    for _ in range(2):
        sitting.take()
    before, held = alive(Run, PracticeScreen, ResultScreen), open_files()

    for _ in range(TAKES - 2):
        sitting.take()

    assert alive(Run, PracticeScreen, ResultScreen) == before
    assert max(before) <= 2
    assert open_files() <= held
    assert sitting.kept_takes() == TAKES
