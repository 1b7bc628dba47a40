import pygame

from tests.screens.desk import Page
from trainer.playing.messages import StampedMessage
from trainer.screens.keys import KeysScreen
from trainer.screens.look import CONTRAST, DARK, LIGHT, Look, look_of, wear, worn
from trainer.screens.screen import Action, Command, Pressed, Screen
from trainer.window import _given, _loop, is_repeat


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


def test_a_look_goes_round_and_text_grows_as_far_as_it_goes() -> None:
    look = Look()

    themes = [look := look.with_next_theme() for _ in range(3)]
    largest = look.with_text(1).with_text(1).with_text(1)

    assert [one.theme for one in themes] == [LIGHT, CONTRAST, DARK]
    assert largest.text_percent == 130


def test_the_look_is_changed_by_the_mouse_on_the_page_of_keys() -> None:
    before, size, keys = worn(), (1280, 720), KeysScreen(Page("list"))
    try:
        wear(Look())
        for words in ("dark, light, or high contrast", "larger text"):
            while words not in dict(keys.texts(size)):
                keys.handle(Command.RIGHT)
            area = dict(keys.texts(size))[words]
            pressed = Pressed(area.left_px + 3, (area.top_px + area.bottom_px) / 2)
            assert _given(keys, pressed, None) is keys
        after = worn()
    finally:
        wear(before)

    assert after == Look(LIGHT, 115)


def test_a_look_that_is_not_known_is_the_usual_one() -> None:
    assert look_of("paisley", 900) == Look()
    assert look_of("light", 115) == Look(LIGHT, 115)


def test_necks_are_drawn_for_either_hand() -> None:
    assert Look().for_other_hand() == look_of("dark", 100, is_left_handed=True)
    assert Look().for_other_hand().for_other_hand() == Look()


class Scripted(Page):
    """Lets some events happen in each frame, and leaves when it is told to."""

    def __init__(self, *batches: list[pygame.event.Event]) -> None:
        super().__init__("list")
        self._batches = iter(batches)

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - it has its script
        for event in next(self._batches, []):
            pygame.event.post(event)
        return self

    def handle(self, action: Action) -> Screen | None:
        return None if action is Command.QUIT else self


class Dropping:
    """Keeps what had been dropped whenever it was asked for a screen."""

    def __init__(self) -> None:
        self.dropped: list[str] = []
        self.led: list[list[str]] = []

    def drop(self, path: str) -> None:
        self.dropped.append(path)

    def lead(self, screen: Screen) -> Screen:
        self.led.append([*self.dropped])
        return screen


def test_files_dropped_onto_the_window_are_told_of_before_the_next_frame_is_drawn() -> None:
    pygame.display.init()
    surface = pygame.display.set_mode((320, 200))
    pygame.event.clear()
    drops = Dropping()
    files = [pygame.event.Event(pygame.DROPFILE, file=name) for name in ("a.walkdone", "b.walkdone")]
    page = Scripted(files, [pygame.event.Event(pygame.QUIT)])

    _loop(page, lambda _now_ns: (), surface, None, None, drops)

    assert drops.led == [[], ["a.walkdone", "b.walkdone"]]


class Listening(Page):
    """Notes what it is told, and when it is drawn."""

    def __init__(self) -> None:
        super().__init__("list")
        self.told: list[str] = []

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - time is not asked
        self.told.append("note" if messages else "nothing")
        return self

    def handle(self, action: Action) -> Screen | None:
        return None if action is Command.QUIT else self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - it is blank
        self.told.append("drawn")
        if self.told.count("drawn") == 2:
            pygame.event.post(pygame.event.Event(pygame.QUIT))


def test_what_arrives_while_a_frame_waits_is_followed_before_the_next_one() -> None:
    pygame.display.init()
    surface = pygame.display.set_mode((320, 200))
    pygame.event.clear()
    page = Listening()
    arriving = iter([(), (StampedMessage(0, b"\x90\x40\x64"),), (), ()])

    _loop(page, lambda _now_ns: next(arriving), surface, None, None)

    assert page.told == ["nothing", "drawn", "note", "nothing", "drawn"]
