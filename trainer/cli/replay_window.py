"""A kept take in a window of its own."""

from collections.abc import Sequence
from pathlib import Path

from trainer.playing.take import Take, TakeHeader
from trainer.score.exercise import Exercise


def open_replay(
    take: Take,
    header: TakeHeader,
    exercise: Exercise,
    size: tuple[int, int],
    others: Sequence[Path] = (),
    *,
    shows_other: bool = False,
    path: Path | None = None,
    note: str = "",
) -> None:
    """Show a kept take until the window is closed.

    `others` can be laid under it, the first one at once if wanted; `path` is its own file, `note` one about a take
    without a file.
    """
    from trainer.devices.outputs import remembered_sound
    from trainer.devices.remembered import Memory
    from trainer.replaying import replay_screen
    from trainer.window import show

    memory = Memory()
    sound = remembered_sound(memory)
    try:
        screen = replay_screen(
            take, header, exercise, sound=sound, others=others, shows_other=shows_other, path=path, note=note
        )
        show(screen, lambda _now_ns: (), size, memory)
    finally:
        sound.close()
