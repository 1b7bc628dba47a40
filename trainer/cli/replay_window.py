"""A kept take in a window of its own."""

from trainer.playing.take import Take, TakeHeader
from trainer.score.exercise import Exercise


def open_replay(take: Take, header: TakeHeader, exercise: Exercise, size: tuple[int, int]) -> None:
    """Show a kept take until the window is closed."""
    from trainer.devices.outputs import remembered_sound
    from trainer.devices.remembered import Memory
    from trainer.replaying import replay_screen
    from trainer.window import show

    memory = Memory()
    sound = remembered_sound(memory)
    try:
        show(replay_screen(take, header, exercise, sound=sound), lambda _now_ns: (), size, memory)
    finally:
        sound.close()
