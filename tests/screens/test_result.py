from fractions import Fraction

import pygame
import pytest

from trainer.coaching.rests import DUE_NS, SinceBreak
from trainer.devices.skill import EXACT
from trainer.following.assessment import TechniqueCount
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.screens.keys import KeysScreen
from trainer.screens.result import ResultScreen
from trainer.screens.screen import Command, Pressed
from trainer.screens.twin_table import Comparison
from trainer.tablature.figures import TakeFigures
from trainer.theory.technique import Technique

from .desk import Desk, Page

SIZE = (1920, 1080)
LINE = load_exercise("two-gates-slid")


FIGURES = TakeFigures(
    date="2026-11-25T10:00:00",
    is_simulated=False,
    pace="click",
    quarters_per_minute=Fraction(66),
    notes=320,
    as_written=301,
    bias_ms=2.1,
    spread_ms=14.2,
    techniques=(TechniqueCount(Technique.SLIDE, 72, 61, 5, 6),),
)


def result_of(
    faults: str = "", *, passes: int = 2, played_ns: int = 0, comparison: Comparison | None = None
) -> tuple[ResultScreen, list[RunPlan]]:
    """The result of a whole sitting with planted faults, and the plans that it is asked to play again."""
    desk = Desk(EXACT, faults)
    page = desk.play(desk.practice(RunPlan(LINE, LINE.tempo, passes=passes)), 60)
    assert isinstance(page, Page)
    assert page.outcome is not None
    again: list[RunPlan] = []

    def play_again(plan: RunPlan) -> Page:
        again.append(plan)
        return Page("practice")

    screen = ResultScreen(
        page.outcome,
        rest=lambda _: SinceBreak(played_ns, 0),
        play_again=play_again,
        leave_to=lambda: Page("list"),
        comparison=comparison,
    )
    return screen, again


def words_of(screen: ResultScreen) -> list[str]:
    """All that it says."""
    return [text for text, _ in screen.texts(SIZE)]


def test_it_counts_what_was_missed_wrong_and_unwritten() -> None:
    screen, _ = result_of("miss 5, string 9, fret 14, extra 20")

    words = words_of(screen)

    assert "61 of 64 notes as written" in words
    assert "1 missed · 1 not written" in words
    assert "1 wrong pitch · 1 wrong string" in words


def test_it_says_how_many_slides_were_slid() -> None:
    slides = [index for index, note in enumerate(LINE.notes) if note.technique == "slide"]
    screen, _ = result_of(f"unslid {slides[0]}")

    assert f"slid {2 * len(slides) - 1} of {2 * len(slides)}" in words_of(screen)


def test_a_line_without_a_slip_stands_out_nowhere() -> None:
    screen, _ = result_of()

    words = words_of(screen)

    assert "64 of 64 notes as written" in words
    assert any(text.startswith("1   32/32 as written") for text in words)


@pytest.mark.parametrize(("played_ns", "reminds"), [(DUE_NS - 1, False), (DUE_NS, True)])
def test_it_reminds_of_a_break_when_it_is_due(played_ns: int, reminds: bool) -> None:  # noqa: FBT001
    screen, _ = result_of(played_ns=played_ns)

    assert any("rest your hands" in text for text in words_of(screen)) == reminds


def test_enter_plays_the_same_plan_again_and_escape_leads_to_the_list() -> None:
    screen, again = result_of()

    page, listed = screen.handle(Command.CHOOSE), screen.handle(Command.BACK)

    assert again == [RunPlan(LINE, LINE.tempo, passes=2)]
    assert [one.name for one in (page, listed) if isinstance(one, Page)] == ["practice", "list"]
    assert screen.handle(Command.QUIT) is None
    assert isinstance(screen.handle(Command.KEYS), KeysScreen)


def test_pages_of_a_long_line_are_turned_and_end() -> None:
    screen, _ = result_of()
    first = words_of(screen)

    for _ in range(5):
        assert screen.handle(Command.RIGHT) is screen
    last = words_of(screen)
    for _ in range(5):
        screen.handle(Command.LEFT)

    assert words_of(screen) == first
    assert len(last) > 20


def test_a_note_is_explained_under_the_cursor_and_the_figures_come_back_before_the_first() -> None:
    screen, _ = result_of("miss 37")
    figures = words_of(screen)

    for _ in range(6):
        screen.handle(Command.DOWN)
    explained = words_of(screen)
    for _ in range(6):
        screen.handle(Command.UP)

    missed = LINE.notes[5]
    assert any(text.startswith(f"Note 5 of pass 2, string {missed.course} fret {missed.fret}") for text in explained)
    assert "This sitting" not in explained
    assert words_of(screen) == figures


def test_the_page_follows_the_cursor_to_the_last_note_and_stays_there() -> None:
    screen, _ = result_of()
    words_of(screen)

    for _ in range(len(LINE.notes) + 3):
        screen.handle(Command.DOWN)

    last = len(LINE.notes) - 1
    assert any(text.startswith(f"Note {last} of pass 2") for text in words_of(screen))


def test_twins_are_compared_in_place_of_the_figures_and_judged_one_a_frame() -> None:
    judged: list[str] = []

    def figures(name: str) -> TakeFigures | None:
        judged.append(name)
        return None if name == "two-gates" else FIGURES

    screen, _ = result_of(comparison=Comparison((LINE, load_exercise("two-gates"), load_exercise("mist")), figures))
    screen.update((), 0)
    assert judged == []

    screen.handle(Command.TWINS)
    for now_ns in range(1, 6):
        screen.update((), now_ns)

    words = words_of(screen)
    assert judged == [LINE.name, "two-gates", "mist"]
    assert {"94 % of 320", "14 ms", "slid 61/72", "no take kept yet"} <= set(words)
    assert "This sitting" not in words
    screen.handle(Command.TWINS)
    assert "twins, last takes" not in words_of(screen)


def test_without_twins_there_is_no_such_key_and_hints_can_be_pressed() -> None:
    screen, again = result_of()
    assert "twins" not in words_of(screen)
    play = next(target for target in screen._hint_targets(SIZE) if target.action is Command.CHOOSE)

    assert screen.handle(Command.TWINS) is screen
    screen.handle(Pressed((play.area.left_px + play.area.right_px) / 2, play.area.top_px + 2))

    assert len(again) == 1


def test_a_note_that_is_pressed_is_explained() -> None:
    screen, _ = result_of(faults="miss 5", passes=1)
    surface = pygame.display.set_mode(SIZE)
    screen.draw(surface, 0)
    before = words_of(screen)
    drawn = screen._painted
    assert drawn is not None
    _, line = drawn
    x_px, y_px = next(
        (x_px, y_px) for y_px in range(440, 900, 10) for x_px in range(48, 1800, 5) if line.note_at(0, x_px, y_px) == 5
    )

    screen.handle(Pressed(x_px, y_px))

    assert not any("missed." in words for words in before)
    assert any(words.startswith("Note 5, ") and words.endswith("missed.") for words in words_of(screen))
