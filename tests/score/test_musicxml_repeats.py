from collections.abc import Callable

import pytest

from tests.score.pages import attributes, measure, page, repeat, staff_tuning, tab
from trainer.score.exercise import Exercise

Read = Callable[..., Exercise]


def ending(number: str, kind: str, inside: str = "") -> str:
    return f'<barline><ending number="{number}" type="{kind}"/>{inside}</barline>'


def frets(exercise: Exercise) -> str:
    return " ".join(str(note.fret) for note in exercise.notes)


@pytest.mark.parametrize(
    ("measures", "played"),
    [
        ([tab("1/1"), tab("1/2") + repeat("backward"), tab("1/3")], "1 2 1 2 3"),
        ([tab("1/1"), repeat("forward") + tab("1/2") + repeat("backward", 'times="3"'), tab("1/3")], "1 2 2 2 3"),
        ([tab("1/1") + repeat("backward"), tab("1/2") + repeat("backward")], "1 1 2 2"),
        (
            [
                repeat("forward") + tab("1/1"),
                ending("1", "start") + tab("1/2") + ending("1", "stop", '<repeat direction="backward"/>'),
                ending("2", "start") + tab("1/3") + ending("2", "discontinue"),
                tab("1/4"),
            ],
            "1 2 1 3 4",
        ),
        (
            [
                tab("1/1"),
                ending("1, 2", "start") + tab("1/2") + ending("1, 2", "stop", '<repeat direction="backward"/>'),
                ending("3", "start") + tab("1/3") + ending("3", "stop"),
                tab("1/4") + repeat("backward"),
            ],
            "1 2 1 2 1 3 4 4",
        ),
    ],
)
def test_repeats_and_endings_are_written_out(read: Read, measures: list[str], played: str) -> None:
    exercise = read(
        page(measure(attributes(staff_tuning()), measures[0]), *(measure(inside) for inside in measures[1:]))
    )

    assert frets(exercise) == played
    assert [note.onset_quarters for note in exercise.notes] == list(range(len(played.split())))
    assert exercise.length_quarters == len(played.split())
