"""The keys of the practice screen at its foot: what they do while a take runs and on the standing staff."""

from trainer.screens.ghosting import GHOST
from trainer.screens.hints import Hint
from trainer.screens.screen import Command
from trainer.tablature.ghost import GhostChoice

WALKING = frozenset(
    {Command.LEFT, Command.RIGHT, Command.PREVIOUS_BAR, Command.NEXT_BAR, Command.FIRST, Command.LAST, Command.NEXT}
)
"""What moves the cursor of a standing staff."""

PLAYING_KEYS = (
    ("Space", "pause", Command.PAUSE),
    ("R", "from the top", Command.RESTART),
    ("\N{MINUS SIGN}", "slower", Command.SLOWER),
    ("+", "faster", Command.FASTER),
    ("P", "pace", Command.PACE),
    ("C", "backing", Command.BACKING),
    ("Esc", "end", Command.BACK),
)
STANDING_KEYS = (
    ("Space", "go on", Command.PAUSE),
    ("←", "note", Command.LEFT),
    ("→", "note", Command.RIGHT),
    ("N", "next slip", Command.NEXT),
    ("A", "mark", Command.MARK_START),
    ("B", "mark", Command.MARK_END),
    ("L", "loop", Command.LOOP),
    ("R", "from the top", Command.RESTART),
    ("\N{MINUS SIGN}", "slower", Command.SLOWER),
    ("+", "faster", Command.FASTER),
    ("Esc", "result", Command.BACK),
)
ALWAYS_KEYS = (("M", "marks", Command.MARKS), ("F1", "keys", Command.KEYS))


def practice_keys(*, beneath: str | None, ghost: GhostChoice | None) -> tuple[Hint, ...]:
    """What the keys do now.

    `beneath` is what comes next in the place of the neck, None while a take runs; `ghost` is None where none can be
    chosen.
    """
    against: tuple[Hint, ...] = () if ghost is None else (("G", f"ghost: {ghost.value}", GHOST),)
    if beneath is None:
        return (*PLAYING_KEYS, *against, *ALWAYS_KEYS)
    return (*STANDING_KEYS[:4], beneath_hint(beneath), *STANDING_KEYS[4:], *against, *ALWAYS_KEYS)


def beneath_hint(beneath: str) -> Hint:
    """What Tab brings under the staff that stands."""
    return "Tab", beneath, Command.NEXT_CHOICE
