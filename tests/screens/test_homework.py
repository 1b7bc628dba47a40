"""The pages of homework: what they do, and that nothing on them overlaps or is cut, in every look."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pygame
import pytest

from trainer.screens.homework import HomeworkScreen
from trainer.screens.homework_making import MakingScreen, Outcome
from trainer.screens.homework_making_picture import Draft
from trainer.screens.homework_table import Collected, TableScreen
from trainer.screens.homework_table_picture import LEGEND
from trainer.screens.look import THEMES, Look, Theme, wear
from trainer.screens.pick import PickScreen
from trainer.screens.screen import Command, Pressed, Screen, Scrolled, Typed
from trainer.tablature.glyphs import Ink, Rect

from .desk import Page
from .homework_pages import CLAIM, GRID, HOMEWORK, NOTE, SHEET, WORDY, WRITTEN, files, making, pupil, table

SIZE = (1280, 720)
SIZES = ((1920, 1080), SIZE, (1024, 640))


@pytest.fixture(autouse=True)
def usual_look() -> Iterator[None]:
    yield
    wear(Look())


def words_of(screen: HomeworkScreen | TableScreen | MakingScreen | PickScreen) -> str:
    return " ".join(text for text, _ in screen.texts(SIZE))


def name_of(screen: Screen | None) -> str:
    assert isinstance(screen, Page)
    return screen.name


def click(screen: HomeworkScreen | TableScreen | MakingScreen | PickScreen, words: str) -> Screen | None:
    """Press the first text that begins with some words."""
    screen.draw(pygame.Surface(SIZE), 0)
    area = next(area for text, area in screen.texts(SIZE) if text.startswith(words))
    return screen.handle(Pressed((area.left_px + area.right_px) / 2, (area.top_px + area.bottom_px) / 2))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("percent", [100, 130])
@pytest.mark.parametrize("name", HOMEWORK)
def test_no_text_overlaps_another_or_leaves_the_picture(name: str, percent: int, size: tuple[int, int]) -> None:
    wear(Look(text_percent=percent))

    texts = HOMEWORK[name]().texts(size)

    assert len(texts) > 8
    assert [(one, other) for (one, a), (other, b) in combinations(texts, 2) if a.overlaps(b)] == []
    assert [text for text, bounds in texts if not Rect(0, 0, *size).contains(bounds)] == []


@pytest.mark.parametrize("size", SIZES)
def test_neither_a_cell_of_the_table_nor_its_legend_is_cut(size: tuple[int, int]) -> None:
    wear(Look(text_percent=130))

    shown = [text for text, _ in table().texts(size)]

    assert " ".join(shown).count(LEGEND[-20:]) == 1
    assert {GRID.pupils[0].cells[0].below, GRID.pupils[0].cells[0].weakest, GRID.pupils[0].cells[1].below} <= set(shown)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("name", ["homework", "homework-making", "homework-table-edited"])
def test_every_theme_paints_the_pages_on_its_own_ground(name: str, theme: Theme) -> None:
    wear(Look(theme))
    surface = pygame.Surface(SIZE)
    screen = HOMEWORK[name]()

    screen.draw(surface, 0)

    assert surface.get_at((3, 3))[:3] == theme.colours[Ink.GROUND]


def test_what_is_asked_for_and_how_far_it_is_done_are_told() -> None:
    words = words_of(pupil())

    for told in (SHEET.about, "5 of 5 clean passes, done", "1 of 4 clean passes", "♩ = 96", "legato", "1 of 2"):
        assert told in words
    assert NOTE.replace(" ", "") in words.replace(" ", "")


def test_a_long_note_is_read_to_its_end_page_by_page() -> None:
    screen, seen = pupil(sheets=(WORDY,)), ""

    for _ in range(9):
        seen += words_of(screen)
        screen.handle(Command.NEXT_BAR)

    read = seen.replace(" …", "").replace(" ", "")
    assert [n for n in range(1, 60) if f"Stone{n}lies" not in read or f"Step{n}is" not in read] == []
    assert "Page ↓" in words_of(screen)
    assert "Page ↓" not in words_of(pupil())


def test_the_note_of_an_exercise_is_told_where_it_has_one_and_where_it_lies_where_not() -> None:
    assert "Watch the slide into the second gate" in words_of(pupil())
    assert SHEET.items[2].about in words_of(pupil(Command.DOWN, Command.DOWN))


@pytest.mark.parametrize(
    ("key", "page"),
    [
        (Command.CHOOSE, "play 0 0"),
        (Command.OPEN, "files"),
        (Command.BUILD, "make"),
        (Command.PROGRESS, "table"),
        (Command.BACK, "list"),
    ],
)
def test_every_key_of_the_pupils_page_leads_where_its_hint_says(key: Command, page: str) -> None:
    assert name_of(pupil().handle(key)) == page


@pytest.mark.parametrize(
    ("words", "page"), [("play", "play 0 0"), ("open a file", "files"), ("give out", "make"), ("what came", "table")]
)
def test_the_mouse_does_the_same(words: str, page: str) -> None:
    assert name_of(click(pupil(), words)) == page


def test_an_exercise_is_chosen_by_a_press_and_started_by_another() -> None:
    screen = pupil()

    assert click(screen, "Ridge path") is screen
    assert name_of(click(screen, "Ridge path")) == "play 0 2"


def test_the_wheel_goes_over_the_exercises_and_stops_at_the_last() -> None:
    screen = pupil(*[Scrolled(1, 0, 0)] * 9)

    assert name_of(screen.handle(Command.CHOOSE)) == "play 0 2"


def test_letters_are_a_name_only_while_one_is_asked_for() -> None:
    screen = pupil()
    assert not screen.takes_text
    screen.handle(Command.KEEP)
    assert screen.takes_text

    for action in (Command.ERASE, Typed("n"), Typed("e"), Command.CHOOSE):
        screen.handle(action)

    assert not screen.takes_text
    assert f"Anne: {WRITTEN}".replace(" ", "") in words_of(screen).replace(" ", "")


def test_nobody_gives_homework_back_without_a_name() -> None:
    screen = pupil(Command.KEEP, *[Command.ERASE] * 5, Typed(" "), Command.CHOOSE)

    assert screen.takes_text


def test_a_path_is_opened_as_it_was_typed_and_a_refusal_is_told_on_the_spot() -> None:
    screen = files(*map(Typed, "~/post"), answer="There is nothing.")

    assert screen.shown == ()
    assert screen.handle(Command.CHOOSE) is screen
    assert "There is nothing." in words_of(screen)
    assert "There is nothing." not in words_of(files())


def test_a_number_takes_figures_alone_and_steps_stay_in_range() -> None:
    screen = making(*[Command.DOWN] * 4, *map(Typed, "a1-"), Command.NEXT_CHOICE, *[Command.LEFT] * 9)

    assert screen.draft.items[0].target == "961"
    assert screen.draft.items[0].passes == "1"


def test_the_way_to_play_is_chosen_round_and_round_and_not_written() -> None:
    screen = making(*[Command.DOWN] * 4, *[Command.NEXT_CHOICE] * 2)

    ways = []
    for _ in range(4):
        screen.handle(Command.RIGHT)
        ways.append(screen.draft.items[0].articulation)
    screen.handle(Typed("x"))

    assert ways == ["picked", "legato", "one pick a string", ""]
    assert screen.draft.items[0].articulation == ""


def test_tab_goes_through_every_field_and_back() -> None:
    screen = making(*[Command.NEXT_CHOICE] * 17)
    assert screen._place.row == 0

    screen.handle(Command.PREVIOUS_CHOICE)
    screen.handle(Command.PREVIOUS_CHOICE)

    assert (screen._place.row, screen._place.field) == (6, 3)


def test_an_exercise_that_is_taken_out_leaves_the_next_one_chosen() -> None:
    screen = making(*[Command.DOWN] * 4, Command.ERASE_NEXT, *[Command.ERASE_NEXT] * 5)

    assert screen.draft.items == ()
    assert words_of(screen).count("+ an exercise") == 1


def test_what_could_not_be_written_is_asked_about_before_it_is_left() -> None:
    def refuse(_draft: Draft) -> Outcome:
        return Outcome("Nothing was written: the disk is full.", is_written=False)

    screen = making(Typed("!"), Command.KEEP, write=refuse)

    assert "the disk is full" in words_of(screen)
    assert screen.handle(Command.BACK) is screen
    assert screen.handle(Typed("?")) is screen
    assert screen.handle(Command.BACK) is screen
    assert name_of(screen.handle(Command.BACK)) == "left"


def test_the_chosen_cell_tells_all_and_an_edited_figure_is_flagged() -> None:
    words = words_of(table(Command.DOWN))

    assert CLAIM in words
    assert "≠ the file says something else than was measured." in words
    assert "Weakest transition: string 2 fret 8 to string 1 fret 5: 31 ms late." in words
    assert "Nothing yet from Pia, Rolf." in words


def test_what_is_told_of_a_cell_is_read_to_its_end_page_by_page() -> None:
    left_out = " ".join(f"Left out: file-{n}.walkdone is damaged." for n in range(1, 40))
    screen, seen = table(words=left_out), ""

    for _ in range(6):
        seen += words_of(screen)
        screen.handle(Command.NEXT)

    assert [n for n in range(1, 40) if f"file-{n}.walkdone" not in seen] == []
    assert "31 ms late." in seen
    assert "more of what is told below" in words_of(screen)
    assert "more of what is told below" not in words_of(table())


def test_a_cell_is_chosen_by_a_press_and_entered_by_another() -> None:
    screen = table()

    assert click(screen, "92 of 96") is screen
    takes = click(screen, "92 of 96")

    assert isinstance(takes, PickScreen)
    assert name_of(takes.handle(Command.CHOOSE)) == "replay 6"


def test_a_cell_without_takes_says_so_on_the_table() -> None:
    screen = table(Command.RIGHT)

    assert screen.handle(Command.CHOOSE) is screen
    assert "Ana gave back no take of it" in words_of(screen)


def test_a_table_that_shrinks_keeps_a_cell_chosen() -> None:
    screen = table(*[Command.DOWN] * 14)
    fewer = Collected((replace(GRID, pupils=GRID.pupils[:2]),))
    screen._doors = replace(screen._doors, collected=lambda: fewer)

    screen.update((), 0)

    assert isinstance(screen.handle(Command.CHOOSE), PickScreen)
    assert CLAIM in words_of(screen)


def test_an_empty_table_leads_to_files() -> None:
    assert name_of(table(grids=()).handle(Command.CHOOSE)) == "files"
