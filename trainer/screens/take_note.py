"""A note about a take: words for the teacher, or of the teacher, written where the take is gone through."""

from collections.abc import Callable

from trainer.screens.hints import Hint
from trainer.screens.screen import Action, Command, Typed

LONGEST = 500
"""So many letters have room where the note is shown."""
CURSOR = "▏"
WRITING_KEYS: tuple[Hint, ...] = (
    ("Enter", "keep the note", Command.CHOOSE),
    ("Esc", "leave it as it was", Command.BACK),
)


class TakeNote:
    """`keep(text)` keeps it with the take and says what came of it."""

    def __init__(self, text: str, keep: Callable[[str], str]) -> None:
        self.text = text
        self.draft: str | None = None
        """What is being written; None while nothing is."""
        self._keep = keep

    def begin(self) -> None:
        """Write on."""
        self.draft = self.text

    def written(self, action: Action) -> str:
        """Take a letter in or back, keep what was written or let it go; what came of it when that is over."""
        draft = self.draft or ""
        match action:
            case Typed(text=text):
                self.draft = (draft + text)[:LONGEST]
            case Command.ERASE:
                self.draft = draft[:-1]
            case Command.CHOOSE:
                self.text, self.draft = draft.strip(), None
                return self._keep(self.text)
            case Command.BACK:
                self.draft = None
            case _:
                pass
        return ""
