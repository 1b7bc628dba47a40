import pygame
import pytest

from trainer.screens.screen import KEYS, LIST, PLAYING, STANDING, Command, Typed, action_of


def pressed(key: int, text: str = "", mod: int = 0) -> pygame.event.Event:
    """A key press."""
    return pygame.event.Event(pygame.KEYDOWN, key=key, unicode=text, mod=mod)


def test_every_command_stands_in_the_table() -> None:
    assert {key.command for key in KEYS} == set(Command)


@pytest.mark.parametrize("places", [(PLAYING, STANDING), (LIST,)])
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


def test_closing_the_window_leaves_and_other_events_ask_for_nothing() -> None:
    assert action_of(pygame.event.Event(pygame.QUIT), takes_text=False) is Command.QUIT
    assert action_of(pygame.event.Event(pygame.KEYUP, key=pygame.K_a), takes_text=False) is None
    assert action_of(pressed(pygame.K_z, "z"), takes_text=False) is None
