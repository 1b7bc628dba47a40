"""Going on by itself: between two passes the hands rest a little, and the next one begins without a key.

It stands still when a break is due: a break is never shortened by it.
"""

from trainer.coaching.tempo_sitting import REST_AFTER_PASSES, REST_SECONDS

BETWEEN_SECONDS = 4
NS_PER_SECOND = 1_000_000_000


class GoingOn:
    """Off at first; fed with every frame."""

    def __init__(self) -> None:
        self.is_on = False
        self._at_ns: int | None = None

    def turn(self) -> None:
        """Switch it on or off."""
        self.is_on, self._at_ns = not self.is_on, None

    def feed(self, now_ns: int, passes: int, *, is_break_due: bool) -> bool:
        """Whether the next pass begins now, after so many."""
        if not self.is_on or is_break_due:
            self._at_ns = None
            return False
        if self._at_ns is None:
            is_long = passes > 0 and passes % REST_AFTER_PASSES == 0
            self._at_ns = now_ns + (REST_SECONDS if is_long else BETWEEN_SECONDS) * NS_PER_SECOND
        if now_ns < self._at_ns:
            return False
        self._at_ns = None
        return True

    def words(self, now_ns: int) -> str:
        """How long it still waits; empty when it does not."""
        if self._at_ns is None:
            return ""
        seconds = -(-(self._at_ns - now_ns) // NS_PER_SECOND)
        return f"the next pass begins by itself in {max(0, seconds)} s"
