"""What a drill did to the line: one transition before and after it, both measured in the whole line.

The change of the lateness has an interval from those of both sides (as for independent means); that of the spread is
only told, since few passes say little about a spread. Nothing is put down to the drill: the days between, the warm-up
and the other things that were played change a line, too.
"""

from dataclasses import dataclass
from math import hypot

from trainer.coaching.transitions import Transition, Weighing


@dataclass(frozen=True, slots=True)
class Effect:
    """How a transition changed; ms, negative = less late, steadier."""

    before: Transition
    after: Transition
    change_ms: float
    change_interval_ms: tuple[float, float]
    """Where the change lies, about 95 times of 100."""

    @property
    def is_certain(self) -> bool:
        """Whether the lateness changed at all, by its interval."""
        low, high = self.change_interval_ms
        return high < 0 or low > 0

    @property
    def words(self) -> str:
        """The change in a sentence."""
        low, high = self.change_interval_ms
        now = f"{self.before.late_ms:.0f} ms late before, {self.after.late_ms:.0f} ms now"
        figures = f"{now} ({self.change_ms:+.0f} ms, 95 %: {low:+.0f} to {high:+.0f})"
        told = "" if self.is_certain else ": that may be chance"
        spreads = (
            f"; spread {self.before.spread_ms:.0f} ms before, {self.after.spread_ms:.0f} ms now"
            if self.before.spread_ms is not None and self.after.spread_ms is not None
            else ""
        )
        over = f", over {self.before.timed} and {self.after.timed} passes"
        return f"From note {self.before.from_index} to {self.before.to_index}: {figures}{told}{spreads}{over}."


def effect_on(before: Weighing, after: Weighing, to_index: int) -> Effect | None:
    """How the transition into note `to_index` changed; None when one side has too few passes to tell."""
    then, now = before.transitions[to_index - 1], after.transitions[to_index - 1]
    if then.late_ms is None or now.late_ms is None or then.late_interval_ms is None or now.late_interval_ms is None:
        return None
    change = now.late_ms - then.late_ms
    half = hypot(_half(then.late_interval_ms), _half(now.late_interval_ms))
    return Effect(then, now, change, (change - half, change + half))


def in_drill_words(drill: Weighing, to_index: int, in_line: Transition) -> str:
    """How the drilled transition went in the drill, beside how it went in the line; `to_index` counts in the drill."""
    if not drill.transitions:
        return "The drill was not played through yet."
    here = drill.transitions[to_index - 1]
    if here.late_ms is None:
        return "The two notes were not played in order yet."
    return (
        f"In the drill {_timing_words(here)}, failed {here.misses} of {here.attempts}; in the line, at its own tempo, "
        f"{_timing_words(in_line)}, failed {in_line.misses} of {in_line.attempts}."
    )


def _timing_words(each: Transition) -> str:
    late = "not in order" if each.late_ms is None else f"{each.late_ms:+.0f} ms"
    interval = "" if each.late_interval_ms is None else " ({:+.0f} to {:+.0f})".format(*each.late_interval_ms)
    return late + interval + ("" if each.spread_ms is None else f", spread {each.spread_ms:.0f} ms")


def _half(interval_ms: tuple[float, float]) -> float:
    return (interval_ms[1] - interval_ms[0]) / 2
