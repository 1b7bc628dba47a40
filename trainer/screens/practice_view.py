"""What one frame of the practice screen shows, as values: the picture paints it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from trainer.following.ledger import Ledger
from trainer.playing.messages import NoteOnset
from trainer.screens.hints import Hint
from trainer.screens.parts import NOTHING_MARKED, Selection
from trainer.tablature.state import NoteState
from trainer.tablature.trace import Spread


@dataclass(frozen=True, slots=True)
class Said:
    """Sentences, and what they are about, in a word or two."""

    name: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PracticeView:
    """What one frame shows."""

    now_quarters: float
    ledger: Ledger
    onsets: list[NoteOnset]
    version: int
    """Grows with every event: while it stays, no verdict has changed."""
    starts_at_ns: int
    """When quarter 0 falls, on the clock of the onsets."""
    spreads: Mapping[int, Spread]
    """By the note of the take."""
    passes: str
    """Which pass this is."""
    notice: str = ""
    """A word in the place of the count-in, e.g. `paused`."""
    figures: tuple[str, ...] = ()
    """The figures of the last pass, after a word that names it."""
    keys: tuple[Hint, ...] = ()
    """Keys, and what they do now."""
    rest: str = ""
    """How long was played since the last break."""
    is_rest_due: bool = False
    status: str = ""
    is_troubled: bool = False
    """Whether the status asks for something to be done."""
    selection: Selection = NOTHING_MARKED
    with_marks: bool = True
    said: Said | None = None
    """Words in the place of the neck."""
    ghost: Mapping[int, NoteState] = field(default_factory=dict)
    """What an earlier pass was like, by the note of the take."""
    ghost_words: str = ""
    """Which pass that is."""
    other: Mapping[int, NoteState] | None = None
    """Another take, by the note of this one, in place of the neck; None: there is none."""
    other_words: str = ""
    """Which take that is."""

    @property
    def beneath(self) -> str:
        """What stands in the place of the neck."""
        return "words" if self.said is not None else "neck" if self.other is None else "other"
