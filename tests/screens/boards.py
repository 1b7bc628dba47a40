"""Boards with something on them, for pictures and tests."""

from fractions import Fraction

from trainer.capture.free_play import FreePlay
from trainer.devices.simulated_player import simulated_player
from trainer.devices.skill import EXACT
from trainer.playing.profile import PickupProfile
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.screens.board import BoardScreen
from trainer.screens.room_size import Room

from .desk import Page


def board(name: str, seconds: float, room: Room | None = None) -> BoardScreen:
    """A board on which the beginning of a line was played."""
    line = load_exercise(name)
    plan = RunPlan(line, Tempo(Fraction(80)))
    player = simulated_player(line, plan.tempo, plan.count_in_ns, 0, skill=EXACT, seed=1)
    ear = FreePlay(player.profile if seconds else PickupProfile(), line.tuning)
    screen = BoardScreen(
        ear,
        room=room or Room(),
        status=lambda: "Listening to Pickup, channel a string",
        write_down=lambda phrase: f"{len(phrase)} notes",
        leave=lambda: Page("list"),
    )
    now_ns = round(seconds * 1e9)
    screen.update(player.poll(now_ns), now_ns)
    return screen
