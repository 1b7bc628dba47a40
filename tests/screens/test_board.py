import re
from itertools import combinations
from math import radians, tan

import pygame
import pytest

from trainer.playing.messages import StampedMessage
from trainer.score.library import load_exercise
from trainer.screens.board import NO_SECOND, SHOWN, BoardScreen
from trainer.screens.board_neck import label_of
from trainer.screens.look import Look
from trainer.screens.room_size import Room
from trainer.screens.screen import Command, Pressed, Scrolled
from trainer.tablature.glyphs import Rect, Size
from trainer.theory.fretboard import Location

from .boards import Lesson, board
from .desk import Page

SIZE = (1280, 720)


def note(channel: int, pitch: int, at_ms: int) -> tuple[StampedMessage, StampedMessage]:
    status = 0x90 + channel - 1
    return (
        StampedMessage(at_ms * 1_000_000, bytes((status, pitch, 90))),
        StampedMessage((at_ms + 200) * 1_000_000, bytes((status, pitch, 0))),
    )


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
    for _ in range(4):
        said.append(words_of(screen))
        screen.handle(Command.NEXT_CHOICE)

    assert words_of(screen) == said[0]
    assert len({tuple(words) for words in said}) == 4


def test_a_room_that_is_larger_asks_for_larger_letters_and_says_what_fits() -> None:
    screen = board("two-gates", 4.0)
    near = next(words for words in words_of(screen) if words.startswith("last row"))
    for _ in range(6):
        screen.handle(Command.FASTER)
    far = next(words for words in words_of(screen) if words.startswith("last row"))

    assert "last row \N{MINUS SIGN} 8 m +" in near
    assert "notes of tablature" in near
    assert "last row \N{MINUS SIGN} 14 m +" in far
    assert "no room for tablature" in far


@pytest.mark.parametrize("size", [(1024, 640), (1280, 720), (1920, 1080), (3840, 2160)])
@pytest.mark.parametrize("room", [Room(4, 1.5), Room(8, 1.5), Room(11, 1.5), Room(30, 1.0)])
def test_what_fits_is_said_as_it_is(size: tuple[int, int], room: Room) -> None:
    """20 minutes of arc: tan(20') = 1/171.9; what is said is held against where the texts really lie."""
    screen = board("quarry-steps", 9.0, room, Command.NEXT_CHOICE, Command.NEXT_CHOICE)
    texts = screen.texts(size)
    said = next(words for words, _ in texts if words.startswith("last row"))

    needed_px, cap_px, metres, *_ = (int(number) for number in re.findall(r"(\d+)(?: px| m(?: ·|$))", said))
    neck = screen.neck(size)
    below = [(words, where.top_px - neck.board.bottom_px) for words, where in texts if words.isdigit()]
    exact_px = room.distance_m * tan(radians(20 / 60)) / room.height_m * size[1]
    assert needed_px == pytest.approx(exact_px, abs=0.6)
    assert cap_px == round(texts[0][1].bottom_px - texts[0][1].top_px)
    assert metres == pytest.approx(cap_px / size[1] * room.height_m / tan(radians(20 / 60)), abs=1.0)
    assert ("whole neck" in said) == ("24" in [words for words, px in below if 0 < px < 3 * cap_px])
    assert ("notes of tablature" in said) == any(px > 3 * cap_px for _, px in below)


def press(screen: BoardScreen, words: str, shift_px: float = 0.0) -> None:
    where = dict(screen.texts(SIZE))[words]
    screen.handle(Pressed((where.left_px + where.right_px) / 2 + shift_px, (where.top_px + where.bottom_px) / 2))


def test_the_signs_beside_the_last_row_move_it_and_those_beside_the_picture_that() -> None:
    screen = board("two-gates", 4.0)
    fonts = screen.fonts(SIZE)

    def pressed(ahead: str, sign: str) -> str:
        said, where = next((words, where) for words, where in screen.texts(SIZE) if words.startswith("last row"))
        before = said[: said.index(ahead) + len(ahead)]
        x_px = where.left_px + fonts.width_px(before, Size.SMALL) + fonts.width_px(sign, Size.SMALL) / 2
        screen.handle(Pressed(x_px, (where.top_px + where.bottom_px) / 2))
        return next(words for words in words_of(screen) if words.startswith("last row"))

    assert "\N{MINUS SIGN} 9 m +" in pressed(" m ", "+")
    assert "\N{MINUS SIGN} 8 m +" in pressed("last row ", "\N{MINUS SIGN}")
    assert "\N{MINUS SIGN} 1.4 m + high" in pressed("picture ", "\N{MINUS SIGN}")
    assert "\N{MINUS SIGN} 1.5 m + high" in pressed("1.4 m ", "+")


def test_what_was_played_is_written_down_or_the_reason_why_not_is_said() -> None:
    lesson = Lesson()
    empty = board("two-gates", 0.0)
    screen = board("two-gates", 4.0, lesson=lesson)

    assert empty.handle(Command.CHOOSE) is empty
    assert "Nothing to write down: no note was heard." in words_of(empty)
    built = screen.handle(Command.CHOOSE)
    assert isinstance(built, Page)
    played, written = lesson.built[0].notes, load_exercise("two-gates").notes
    assert [one.location for one in played] == [one.location for one in written[: len(played)]]


def test_a_press_on_a_hint_does_what_it_says() -> None:
    screen = board("two-gates", 4.0)

    press(screen, "clear")

    assert "Play something" in words_of(screen)


@pytest.mark.parametrize("room", [Room(8, 1.5), Room(14, 1.5)])
def test_what_is_played_high_up_stands_on_the_neck_however_large_the_letters_are(room: Room) -> None:
    screen = board("two-gates", 14.0, room)
    screen.handle(Command.NEXT_CHOICE)
    screen.handle(Command.NEXT_CHOICE)
    texts = screen.texts(SIZE)

    on_neck = [words for words, where in texts if 0.2 * SIZE[1] < where.top_px < 0.5 * SIZE[1]]
    assert "20" in on_neck


def test_what_stands_stays_while_more_is_played_and_is_there_when_it_goes_on() -> None:
    screen = board("quarry-steps", 5.0)
    screen.handle(Command.PAUSE)
    before = screen.view().board

    screen.update(tuple(note(1, 76, 5_200)), 6_000_000_000)

    assert screen.view().board == before
    screen.handle(Command.PAUSE)
    assert screen.view().board.notes[-1].pitch == 76


def test_a_phrase_is_stepped_through_note_by_note_each_with_its_sound() -> None:
    lesson = Lesson()
    screen = board("quarry-steps", 5.5, None, Command.PAUSE, lesson=lesson)
    whole = screen.view().board.notes

    screen.handle(Command.FIRST)
    screen.handle(Scrolled(1, 0, 0))
    screen.handle(Command.RIGHT)
    screen.handle(Command.LEFT)

    assert [len(one.notes) for one, _ in lesson.heard] == [1] * 4
    assert [one.notes[0].pitch for one, _ in lesson.heard] == [whole[place].pitch for place in (0, 1, 2, 1)]
    assert [one.pitch for one in screen.view().board.notes] == [one.pitch for one in whole[:2]]
    assert [one.is_sounding for one in screen.view().board.notes] == [False, True]


def test_a_phrase_is_heard_slowly_and_again_and_again_and_what_is_shown_follows() -> None:
    lesson = Lesson()
    screen = board("quarry-steps", 5.5, None, Command.PAUSE, *[Command.SLOWER] * 5, Command.LOOP, lesson=lesson)
    screen.handle(Command.LISTEN)
    line, rounds = lesson.heard[-1]
    round_ns = line.tempo.ns(line.length_quarters)

    screen.update((), 3 * round_ns + line.tempo.ns(line.notes[2].onset_quarters))

    assert line.tempo.quarters_per_minute == 40
    assert rounds * round_ns <= 300_000_000_000 < (rounds + 1) * round_ns
    assert len(screen.view().board.notes) == 3
    screen.handle(Command.LISTEN)
    assert lesson.hushed == 1


def test_where_frets_are_hidden_strings_count_and_position_are_left() -> None:
    screen = board("quarry-steps", 8.0, Room(6.0), Command.PAUSE)
    shown = {words for words, where in screen.texts(SIZE) if where.top_px < 0.8 * SIZE[1]}

    screen.handle(Command.MARKS)
    hidden = {words for words, where in screen.texts(SIZE) if where.top_px < 0.8 * SIZE[1]}

    assert {"10", "b3"} <= shown
    assert hidden == {
        "position 5",
        "B minor pentatonic",
        *["3", "5", "7", "9", "12", "15", "17", "19", "21", "24"],
        *["1", "2", "3", "4", "e", "&", "a"],
    }


def test_the_fingers_in_the_marks_begin_as_the_line_is_fingered() -> None:
    screen = board("quarry-steps", 8.0, None, *[Command.NEXT_CHOICE] * 3)
    line = load_exercise("quarry-steps")

    view = screen.view().neck
    found = [label_of(one.places[0], one, view) for one in view.board.notes]

    assert found[:4] == [str(one.finger) for one in line.notes[:4]]
    assert set(found) <= {"1", "2", "3", "4"}


def test_a_place_that_is_pressed_has_a_ring_and_sounds_until_it_is_pressed_again() -> None:
    lesson = Lesson()
    screen = board("quarry-steps", 8.0, lesson=lesson)
    screen.texts(SIZE)
    neck = screen.neck(SIZE)
    spot = Pressed(neck.fret_x_px(7) + 3, neck.string_y_px(3) - 2)

    screen.handle(spot)

    assert screen.view().neck.rung == {Location(3, 7)}
    assert [one.notes[0].pitch for one, _ in lesson.heard] == [62]
    screen.handle(spot)
    assert screen.view().neck.rung == frozenset()
    assert len(lesson.heard) == 1


def test_the_mark_follows_the_mouse_once_it_moves_and_the_arrow_keys() -> None:
    lesson = Lesson()
    screen = board("quarry-steps", 8.0, None, Command.PACE, lesson=lesson)
    surface = pygame.Surface(SIZE)
    screen.draw(surface, 0)
    at_rest = screen.view().neck.pointed
    neck = screen.neck(SIZE)

    lesson.mouse = round(neck.fret_x_px(5)), round(neck.string_y_px(2))
    screen.draw(surface, 0)
    by_mouse = screen.view().neck.pointed
    screen.handle(Command.RIGHT)
    screen.handle(Command.DOWN)
    screen.draw(surface, 0)
    by_keys = screen.view().neck.pointed
    screen.handle(Command.CHOOSE)
    lesson.mouse = 100, 690
    screen.draw(surface, 0)

    assert (at_rest, by_mouse, by_keys) == (None, Location(2, 5), Location(3, 6))
    assert screen.view().neck.rung == {Location(3, 6)}
    assert screen.view().pointer == (100.0, 690.0)
    assert screen.handle(Command.BACK) is screen
    assert screen.view().pointer is None


def test_what_was_played_is_handed_out_and_where_it_is_stands_on_the_screen() -> None:
    lesson = Lesson()
    screen = board("two-gates", 4.0, lesson=lesson)

    press(screen, "hand it out")

    assert lesson.words in words_of(screen)
    assert len(lesson.handed_out[0].notes) == len(screen.view().board.notes)


@pytest.mark.parametrize("command", [Command.PAUSE, Command.BACK, Command.RESTART])
def test_what_stands_goes_on_by_several_keys(command: Command) -> None:
    screen = board("two-gates", 4.0, None, Command.PAUSE)

    assert screen.handle(command) is screen
    assert any(words.startswith("last row") for words in words_of(screen))
    left = screen.handle(Command.BACK)
    assert isinstance(left, Page)
    assert left.name == "list"


def test_what_was_played_is_set_over_the_line_that_was_chosen() -> None:
    led = board("two-gates", 4.0).handle(Command.BESIDE)
    empty = board("two-gates", 0.0)

    assert isinstance(led, Page)
    assert led.name == "beside From the board"
    assert empty.handle(Command.BESIDE) is empty


@pytest.mark.parametrize("command", [Command.PAUSE, Command.KEEP, Command.CHOOSE])
def test_while_a_phrase_is_written_down_what_is_shown_stands_and_the_board_answers(command: Command) -> None:
    lesson = Lesson(is_written=False)
    screen = board("quarry-steps", 5.0, lesson=lesson)
    before = screen.view().board

    screen.handle(command)
    shown = screen.update(tuple(note(1, 76, 5_200)), 6_000_000_000)
    meanwhile = words_of(screen), screen.view().board
    lesson.is_written = True
    after = screen.update((), 6_100_000_000)

    assert shown is screen
    assert "Writing it down …" in meanwhile[0]
    assert meanwhile[1] == before
    assert (after is screen) == (command is not Command.CHOOSE)
    assert len(lesson.handed_out) == (command is Command.KEEP)
    assert screen.view().board.notes[-1].pitch == (before.notes[-1].pitch if command is Command.PAUSE else 76)


def test_what_is_being_written_down_can_be_left_alone() -> None:
    lesson = Lesson(is_written=False)
    screen = board("quarry-steps", 5.0, None, Command.PAUSE, Command.PAUSE, lesson=lesson)

    lesson.is_written = True
    screen.update((), 6_000_000_000)

    assert any(words.startswith("last row") for words in words_of(screen))


def test_what_has_ended_while_another_screen_was_shown_does_not_sound_on() -> None:
    screen = board("quarry-steps", 5.0)
    on, _off = note(1, 76, 5_100)
    screen.update((on,), 5_110_000_000)
    before = screen.view().board.notes[-1]

    screen.update((), 9_000_000_000)
    after = screen.view().board.notes[-1]

    assert (before.is_sounding, after.is_sounding) == (True, False)
    assert before.heard == after.heard


@pytest.mark.parametrize("name", ["deep-shaft", "cart-track", "mist"])
@pytest.mark.parametrize("room", [Room(8, 1.5), Room(14, 1.5), Room(40, 1.0)])
@pytest.mark.parametrize("actions", [(), (Command.PAUSE,)])
def test_no_word_is_cut_short_with_any_strings_in_any_room(
    name: str, room: Room, actions: tuple[Command, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trainer.screens.look._worn", Look(text_percent=130))

    texts = board(name, 4.5, room, *actions).texts((1024, 640))

    # How the input stands gives way to the hints.
    cut = [words for words, _ in texts if words.endswith("…")]
    assert [words for words in cut if not words.startswith("Listening")] == []


def test_what_the_second_input_plays_stands_in_frames_once_it_is_asked_for() -> None:
    lesson = Lesson()
    screen = board("quarry-steps", 5.0, None, Command.NEXT_CHOICE, Command.NEXT_CHOICE, lesson=lesson)
    lesson.aside += note(3, 61, 5_100)
    screen.update((), 5_500_000_000)
    hidden = screen.view().neck.second

    screen.handle(Command.NEXT)
    said = words_of(screen)
    lesson.aside += note(3, 61, 5_600)
    screen.update((), 5_900_000_000)
    shown = [one.places for one in screen.view().neck.second]

    assert hidden == ()
    assert SHOWN in said
    assert shown[-1] == (Location(3, 6),)
    assert "6" in words_of(screen)
    screen.handle(Command.MARKS)
    assert "6" not in words_of(screen)
    screen.handle(Command.NEXT)
    assert screen.view().neck.second == ()


def test_without_a_second_input_it_is_said_how_to_get_one() -> None:
    screen = board("quarry-steps", 5.0, lesson=Lesson(has_second=False))

    screen.handle(Command.NEXT)

    assert NO_SECOND in words_of(screen)
