from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest

from trainer.score.beside import moments_of
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.screens.beside import BesideDoors, BesideScreen
from trainer.screens.paint import Painter
from trainer.screens.screen import Command, Pressed, Scrolled
from trainer.screens.two_lines import WORDS, TwoLines
from trainer.tablature.glyphs import Rect

from .desk import Page

SIZE = (1280, 720)
GATES, SLID = load_exercise("two-gates"), load_exercise("two-gates-slid")
TRIPLETS = replace(
    GATES,
    notes=tuple(
        replace(note, onset_quarters=Fraction(place, 3), duration_quarters=Fraction(1, 3))
        for place, note in enumerate(GATES.notes)
    ),
)
MIST, LEDGES = load_exercise("mist"), load_exercise("five-ledges")


def beside(heard: list[Exercise] | None = None, *others: Exercise) -> BesideScreen:
    def hear(line: Exercise) -> int:
        if heard is not None:
            heard.append(line)
        return 0

    doors = BesideDoors(hear=hear, hush=lambda: None, leave=lambda: Page("list"))
    return BesideScreen(GATES, others or (SLID, MIST), doors)


def words_of(screen: BesideScreen) -> list[str]:
    return [text for text, _ in screen.texts(SIZE)]


@pytest.mark.parametrize("size", [(1024, 640), (1280, 720), (1920, 1080), (3840, 2160)])
@pytest.mark.parametrize("other", [SLID, MIST, LEDGES, load_exercise("deep-shaft")])
def test_nothing_overlaps_or_is_cut_off_on_any_page(size: tuple[int, int], other: Exercise) -> None:
    screen = beside(None, other)

    for _ in range(4):
        texts = screen.texts(size)
        # Fret numbers of one string touch neither each other nor words; the signs of slurs stand over their strings.
        assert [(a, b) for (a, one), (b, two) in combinations(texts, 2) if a and b and one.overlaps(two)] == []
        assert [words for words, where in texts if not Rect(0, 0, *size).contains(where)] == []
        screen.handle(Command.RIGHT)


@pytest.mark.parametrize("other", [SLID, TRIPLETS])
def test_the_same_beat_lies_under_the_same_beat(other: Exercise) -> None:
    lines = TwoLines(GATES, other, Rect(0, 0, 1800, 8000), Painter(0.8))

    # No fret of these lines is under 5, so that these are beats; a 3 may be that of a triplet.
    counts = [(words, where) for words, where in lines.texts() if words in {"1", "2", "4"}]

    tops = sorted({round(where.top_px) for _, where in counts})
    rows = [{words: round(where.left_px) for words, where in counts if round(where.top_px) == top} for top in tops]
    assert set(rows[0]) == {"1", "2", "4"}
    assert rows[0] == rows[1]


def test_every_way_of_differing_has_a_word_between_the_lines() -> None:
    texts = [text for text, _ in TwoLines(GATES, LEDGES, Rect(0, 0, 1800, 8000), Painter(0.8)).texts()]

    differences = {moment.difference for moment in moments_of(GATES, LEDGES)} - {None}
    assert {WORDS[one] for one in differences if one is not None} <= set(texts)


def test_a_line_over_itself_differs_nowhere() -> None:
    screen = beside(None, GATES)

    assert "32 of 32 moments the same." in words_of(screen)
    assert not set(WORDS.values()) & set(words_of(screen))


def test_the_other_line_is_chosen_by_key_by_wheel_and_by_press_and_the_two_are_swapped() -> None:
    screen = beside()

    screen.handle(Command.DOWN)
    by_key = screen.lines
    screen.handle(Scrolled(-1, 0, 0))
    by_wheel = screen.lines
    where = dict(screen.texts(SIZE))["swap them"]
    screen.handle(Pressed(where.left_px + 1, where.top_px + 1))

    assert (by_key, by_wheel) == ((GATES, MIST), (GATES, SLID))
    assert screen.lines == (SLID, GATES)
    assert "Two gates, slid over Two gates" in words_of(screen)


def test_each_of_the_two_is_heard_and_hushed() -> None:
    heard: list[Exercise] = []
    screen = beside(heard)

    for command in (Command.LISTEN, Command.LISTEN, Command.HEAR):
        screen.handle(command)

    assert [line.name for line in heard] == [GATES.name, SLID.name]
    left = screen.handle(Command.BACK)
    assert isinstance(left, Page)
    assert left.name == "list"


def test_pages_are_turned_as_far_as_there_are_any() -> None:
    screen = beside()
    first = words_of(screen)

    seen = []
    for _ in range(9):
        screen.handle(Command.RIGHT)
        seen.append(next((words for words in words_of(screen) if words.startswith("page ")), ""))

    last = seen[-1]
    assert first != words_of(screen)
    assert last.split()[1] == last.split()[3]
    screen.handle(Command.DOWN)
    assert next(words for words in words_of(screen) if words.startswith("page ")).startswith("page 1 of")
