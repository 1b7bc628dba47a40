import random
from pathlib import Path

import pytest

from tests.homework.builders import take_of
from trainer.screens.home import HomeScreen
from trainer.screens.screen import Command, Pressed, Typed

from .test_pupil import homework_in
from .test_teacher import back_from
from .visit import SIZE, Visitor

KEYS = sorted(set(Command) - {Command.QUIT, Command.FULL_SCREEN}, key=lambda command: command.value)
STEPS, MOST_BACK = 60, 40


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_whatever_is_pressed_and_dropped_escape_leads_back_to_the_list(seed: int, visitor: Visitor, home: Path) -> None:
    chance = random.Random(seed)
    (home / "bad.walkwork").write_bytes(b"PK")
    things = [
        homework_in(home),
        homework_in(home, "ridge.walkwork", identity="00000000000b", title="The ridge"),
        back_from(home / "Downloads", "Ana", take_of(tempo=80)),
        *(home / name for name in ("bad.walkwork", "nowhere.walkdone", "Downloads")),
    ]
    visitor.screen = visitor.rooms.homeworkroom.homework()

    for _ in range(STEPS):
        lot = chance.random()
        if lot < 0.15:
            visitor.drop(chance.choice(things))
        elif lot < 0.25:
            visitor.act(Typed(chance.choice("a9~/ ü")))
        elif lot < 0.4:
            visitor.act(Pressed(chance.random() * SIZE[0], chance.random() * SIZE[1]))
        else:
            visitor.act(chance.choice(KEYS))
    for _ in range(MOST_BACK):
        if not isinstance(visitor.screen, HomeScreen):
            visitor.act(Command.BACK)

    assert isinstance(visitor.screen, HomeScreen)
