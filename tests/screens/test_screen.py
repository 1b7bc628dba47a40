import pygame
import pytest

from trainer.screens.hints import hint_targets, key_hints
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import Fonts
from trainer.screens.screen import (
    BUILDER,
    KEYS,
    LIST,
    PLAYING,
    STANDING,
    Action,
    Command,
    Pressed,
    Screen,
    Scrolled,
    Target,
    Typed,
    action_of,
    target_at,
)
from trainer.tablature.glyphs import Rect

from .desk import Page


def pressed(key: int, text: str = "", mod: int = 0) -> pygame.event.Event:
    """A key press."""
    return pygame.event.Event(pygame.KEYDOWN, key=key, unicode=text, mod=mod)


def test_every_command_stands_in_the_table() -> None:
    assert {key.command for key in KEYS} == set(Command)


@pytest.mark.parametrize("places", [(PLAYING, STANDING), (LIST,), (BUILDER,)])
def test_no_key_means_two_things_at_one_place(places: tuple[str, ...]) -> None:
    codes = [code for key in KEYS if key.place in places for code in key.codes]

    assert len(codes) == len(set(codes))


def test_one_code_asks_for_one_command_wherever_it_works() -> None:
    commands: dict[int, set[Command]] = {}
    for key in KEYS:
        for code in key.codes:
            commands.setdefault(code, set()).add(key.command)

    assert all(len(meanings) == 1 for meanings in commands.values())


def test_letters_are_commands_or_text() -> None:
    event = pressed(pygame.K_a, "a")

    assert action_of(event, takes_text=False) is Command.MARK_START
    assert action_of(event, takes_text=True) == Typed("a")


def test_plus_and_minus_are_found_by_what_they_write_on_any_keyboard() -> None:
    shifted, own_key = pressed(pygame.K_1, "+"), pressed(pygame.K_RIGHTBRACKET, "+")

    assert action_of(shifted, takes_text=False) is Command.FASTER
    assert action_of(own_key, takes_text=False) is Command.FASTER
    assert action_of(pressed(pygame.K_SLASH, "-"), takes_text=False) is Command.SLOWER


def test_keys_that_write_nothing_are_commands_everywhere() -> None:
    for takes_text in (False, True):
        assert action_of(pressed(pygame.K_F1), takes_text=takes_text) is Command.KEYS
        assert action_of(pressed(pygame.K_RETURN, "\r"), takes_text=takes_text) is Command.CHOOSE
        assert action_of(pressed(pygame.K_BACKSPACE, "\b"), takes_text=takes_text) is Command.ERASE
        assert action_of(pressed(pygame.K_TAB, "\t"), takes_text=takes_text) is Command.NEXT_CHOICE


def test_shift_tab_goes_back_and_control_q_leaves() -> None:
    assert action_of(pressed(pygame.K_TAB, "\t", pygame.KMOD_LSHIFT), takes_text=True) is Command.PREVIOUS_CHOICE
    assert action_of(pressed(pygame.K_q, "q", pygame.KMOD_LCTRL), takes_text=True) is Command.QUIT
    assert action_of(pressed(pygame.K_a, "a", pygame.KMOD_LCTRL), takes_text=True) is None


def test_with_control_letters_keep_and_take_back() -> None:
    assert action_of(pressed(pygame.K_s, "s", pygame.KMOD_LCTRL), takes_text=True) is Command.KEEP
    assert action_of(pressed(pygame.K_z, "z", pygame.KMOD_LCTRL), takes_text=True) is Command.UNDO


def test_the_first_mouse_button_presses_and_the_wheel_scrolls() -> None:
    pygame.display.init()
    left, right = (pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=button, pos=(30, 40)) for button in (1, 3))
    up, still = (pygame.event.Event(pygame.MOUSEWHEEL, y=y) for y in (2, 0))

    assert action_of(left, takes_text=True) == Pressed(30.0, 40.0)
    assert action_of(right, takes_text=True) is None
    wheel = action_of(up, takes_text=False)
    assert isinstance(wheel, Scrolled)
    assert wheel.lines == -2
    assert action_of(still, takes_text=False) is None


def test_a_press_means_the_first_target_that_holds_it_edges_included() -> None:
    targets = [Target(Rect(0, 0, 10, 10), Command.UP), Target(Rect(10, 0, 20, 10), Command.DOWN)]

    assert [target_at(targets, Pressed(x_px, 10)) for x_px in (0, 10, 10.5, 20, 20.5)] == [
        *(Command.UP, Command.UP, Command.DOWN, Command.DOWN, None),
    ]


def test_hints_are_pressed_where_their_words_stand_and_not_between_them() -> None:
    fonts = Fonts(1.0)
    texts = key_hints([("F3", "hear"), ("↑ ↓", "row"), ("Esc", "list")], 48, 1000, fonts, 1.0, 1900)

    targets = hint_targets(texts, [Command.LISTEN, None, Command.BACK], fonts)

    spots = [(glyph.bounds(fonts).left_px + 1) for glyph in texts]
    assert [target_at(targets, Pressed(x_px, 1000)) for x_px in spots] == [
        *(Command.LISTEN, Command.LISTEN, None, None, Command.BACK, Command.BACK),
    ]
    assert target_at(targets, Pressed(spots[2] - 8, 1000)) is None


def test_hints_that_do_not_fit_are_left_out_but_for_the_first_and_the_last() -> None:
    fonts = Fonts(1.0)
    hints = [("Enter", "play"), ("Tab", "the next of them"), ("Esc", "back"), ("F1", "keys")]
    whole = key_hints(hints, 48, 1000, fonts, 1.0, 1900)
    edge_px = whole[-1].bounds(fonts).right_px

    fitting = key_hints(hints, 48, 1000, fonts, 1.0, edge_px)
    narrow = key_hints(hints, 48, 1000, fonts, 1.0, edge_px - 1)

    assert [text.text for text in fitting] == [text.text for text in whole]
    assert [text.text for text in narrow] == ["Enter", "play", "Tab", "the next of them", "", "", "F1", "keys"]
    assert len(hint_targets(narrow, [Command.CHOOSE, Command.NEXT_CHOICE, Command.BACK, Command.KEYS], fonts)) == 3


def test_the_pages_of_help_are_turned_and_anything_else_goes_back() -> None:
    page = Page("list")
    keys = KeysScreen(page)
    shown = [text for text, _ in keys.texts((1280, 720))]

    seen = set(shown)
    for _ in range(9):
        assert keys.handle(Command.RIGHT) is keys
        seen |= {text for text, _ in keys.texts((1280, 720))}
    last = [text for text, _ in keys.texts((1280, 720))]
    for _ in range(9):
        assert keys.handle(Scrolled(-1, 0, 0)) is keys
        first = [text for text, _ in keys.texts((1280, 720))]

    assert first == shown
    assert "Keys" in shown
    assert "Terms" in last
    assert {"Ctrl Z", "Marks", "missed", "working tempo"} | {key.name for key in KEYS} <= seen
    assert keys.handle(Pressed(0, 0)) is page


class Told(Page):
    """A page that notes what it was asked for."""

    def __init__(self) -> None:
        super().__init__("told")
        self.asked: list[Action] = []

    def handle(self, action: Action) -> Screen | None:
        self.asked.append(action)
        return self


@pytest.mark.parametrize("place", [LIST, PLAYING, BUILDER])
def test_a_line_of_the_page_of_keys_is_pressed_as_its_key(place: str) -> None:
    size, told = (1280, 720), Told()
    wanted = [key for key in KEYS if key.place == place and key.command is not Command.KEYS]
    seen: dict[str, Command] = {}
    for key in wanted:
        page = KeysScreen(told, place=place)
        for _ in range(14):
            areas = dict(page.texts(size))
            words = next((text for text in areas if key.words.startswith(text)), None)
            if words is not None:
                page.handle(Pressed(areas[words].left_px + 3, (areas[words].top_px + areas[words].bottom_px) / 2))
                seen[key.words] = key.command
                break
            page.handle(Command.RIGHT)

    assert told.asked == [key.command for key in wanted]
    assert len(seen) == len(wanted)


def test_help_begins_with_the_place_from_which_it_was_asked_for() -> None:
    texts = [text for text, _ in KeysScreen(Page("builder"), place=BUILDER).texts((1280, 720))]

    assert texts.index(BUILDER) < texts.index(PLAYING)


def test_closing_the_window_leaves_and_other_events_ask_for_nothing() -> None:
    assert action_of(pygame.event.Event(pygame.QUIT), takes_text=False) is Command.QUIT
    assert action_of(pygame.event.Event(pygame.KEYUP, key=pygame.K_a), takes_text=False) is None
    assert action_of(pressed(pygame.K_z, "z"), takes_text=False) is None
