import pygame

from trainer.app import is_repeat


def down(key: int) -> pygame.event.Event:
    return pygame.event.Event(pygame.KEYDOWN, key=key)


def up(key: int) -> pygame.event.Event:
    return pygame.event.Event(pygame.KEYUP, key=key)


def test_a_held_space_bar_counts_once_until_it_is_let_go() -> None:
    held: set[int] = set()
    presses = [down(pygame.K_SPACE), down(pygame.K_SPACE), up(pygame.K_SPACE), down(pygame.K_SPACE)]

    assert [is_repeat(press, held) for press in presses] == [False, True, False, False]


def test_a_held_arrow_goes_on_moving() -> None:
    held: set[int] = set()

    assert [is_repeat(down(pygame.K_DOWN), held) for _ in range(3)] == [False] * 3
