from itertools import combinations

import pytest

from trainer.screens.board import BoardScreen
from trainer.screens.room_size import Room
from trainer.screens.screen import Command, Pressed
from trainer.tablature.glyphs import Rect

from .boards import board

SIZE = (1280, 720)


def words_of(screen: BoardScreen) -> list[str]:
    return [text for text, _ in screen.texts(SIZE)]


@pytest.mark.parametrize("size", [(1024, 640), (1280, 720), (1920, 1080), (3840, 2160)])
@pytest.mark.parametrize("room", [Room(3, 1.5), Room(8, 1.5), Room(12, 1.5), Room(40, 1.0)])
def test_in_any_room_nothing_overlaps_or_is_cut_off(size: tuple[int, int], room: Room) -> None:
    texts = board("ridge-path", 9.0, room).texts(size)

    # Marks may cross the line between two frets, so that figures of one string are held apart by their boxes alone.
    foot = [(words, where) for words, where in texts if where.top_px > 0.86 * size[1]]
    assert [(a, b) for (a, one), (b, other) in combinations(foot, 2) if one.overlaps(other)] == []
    assert [words for words, where in texts if not Rect(0, 0, *size).contains(where)] == []


def test_tab_changes_what_stands_in_the_marks() -> None:
    screen = board("two-gates", 9.0)
    said = []
    for _ in range(3):
        said.append(words_of(screen))
        screen.handle(Command.NEXT_CHOICE)

    assert words_of(screen) == said[0]
    assert said[0] != said[1] != said[2] != said[0]


def test_a_room_that_is_larger_asks_for_larger_letters_and_says_what_fits() -> None:
    screen = board("two-gates", 4.0)
    near = next(words for words in words_of(screen) if words.startswith("last row"))
    for _ in range(6):
        screen.handle(Command.FASTER)
    far = next(words for words in words_of(screen) if words.startswith("last row"))

    assert "last row 8 m" in near
    assert "notes of tablature" in near
    assert "last row 14 m" in far
    assert "no room for tablature" in far


def test_what_was_played_is_written_down_or_the_reason_why_not_is_said() -> None:
    screen = board("two-gates", 4.0)

    assert screen.handle(Command.CHOOSE) is screen
    assert any(words.endswith(" notes") for words in words_of(screen))


def test_a_press_on_a_hint_does_what_it_says() -> None:
    screen = board("two-gates", 4.0)
    where = dict(screen.texts(SIZE))["clear"]

    screen.handle(Pressed((where.left_px + where.right_px) / 2, (where.top_px + where.bottom_px) / 2))

    assert "Play something" in words_of(screen)


@pytest.mark.parametrize("room", [Room(8, 1.5), Room(14, 1.5)])
def test_what_is_played_high_up_stands_on_the_neck_however_large_the_letters_are(room: Room) -> None:
    screen = board("two-gates", 14.0, room)
    screen.handle(Command.NEXT_CHOICE)
    screen.handle(Command.NEXT_CHOICE)
    texts = screen.texts(SIZE)

    on_neck = [words for words, where in texts if 0.2 * SIZE[1] < where.top_px < 0.5 * SIZE[1]]
    assert "20" in on_neck
