"""What is known of a player when a day is planned: a few figures, filled in from the history by whoever has it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from trainer.coaching.drills import Drill
from trainer.theory.naming import counted


@dataclass(frozen=True, slots=True)
class KnownLine:
    """One line, over all that was played of it."""

    name: str
    days_ago: int
    """Since it was last played; 0: today."""
    days_played: int
    """On how many days it was."""
    passes: int = 0
    """Whole ones."""
    clean_passes: int = 0
    clean_qpm: float | None = None
    """The fastest click at which a whole pass was clean."""
    working: str = ""
    """The last working tempo that a run found, as a sentence."""

    def words(self) -> str:
        """What was measured, as a sentence."""
        clean = f"clean in {self.clean_passes} of {counted(self.passes, 'whole pass', 'whole passes')}"
        fastest = "" if self.clean_qpm is None else f", at most at ♩ = {self.clean_qpm:g}"
        working = f" {self.working}" if self.working else ""
        return f"Last played {days_ago_in_words(self.days_ago)}; {clean}{fastest}.{working}"


@dataclass(frozen=True, slots=True)
class KnownWeakness:
    """The transition that stands out most."""

    exercise: str
    from_index: int
    to_index: int
    sentence: str
    """What was measured of it, and over how many passes."""
    drill: Drill | None = None
    """Its smallest drill, by what was measured."""


@dataclass(frozen=True, slots=True)
class Known:
    """All of it; empty for somebody who has never played."""

    lines: Mapping[str, KnownLine] = field(default_factory=dict)
    """By name."""
    weakness: KnownWeakness | None = None
    why_no_weakness: str = "no passes have been played"
    """When there is none: what it is that is not known."""

    @property
    def is_empty(self) -> bool:
        """Whether nothing was ever played."""
        return not self.lines


def days_ago_in_words(days: int) -> str:
    """How long ago something was, in days."""
    return {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")
