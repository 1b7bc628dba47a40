"""A note about a take: words for the teacher, or of the teacher, written where the take is gone through."""

from collections.abc import Callable

from trainer.playing.take import LONGEST_NOTE
from trainer.screens.hints import Hint
from trainer.screens.screen import Action, Command, Typed

CURSOR = "▏"
WRITING_KEYS: tuple[Hint, ...] = (
    ("Enter", "keep the note", Command.CHOOSE),
    ("Esc", "leave it as it was", Command.BACK),
)


class TakeNote:
    """`keep(text)` keeps it with the take and says what came of it; without that it is there to be read only."""

    def __init__(self, text: str, keep: Callable[[str], str] | None = None) -> None:
        self.text = text
        self.can_be_written = keep is not None
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
                self.draft = (draft + text)[:LONGEST_NOTE]
            case Command.ERASE:
                self.draft = draft[:-1]
            case Command.CHOOSE:
                self.text, self.draft = draft.strip(), None
                return "" if self._keep is None else self._keep(self.text)
            case Command.BACK:
                self.draft = None
            case _:
                pass
        return ""
