"""What the coach has to say of one line after some passes: the sentences, the weak transitions, and their drills.

Made from a weighing, wherever its passes come from; the screens and the pictures show it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from trainer.coaching.drills import Drill, drills_for
from trainer.coaching.telling import Hearing, place_of, shared_sentence, verdict_sentence, withheld
from trainer.coaching.traits import shared_weaknesses
from trainer.coaching.transitions import Transition, Weighing
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.theory.naming import counted

SHOWN = 4


@dataclass(frozen=True)  # without slots, for what is worked out once
class Advice:
    """About one line."""

    exercise: Exercise
    weighing: Weighing
    hearing: Hearing
    tempo: Tempo
    """At which it was played last."""

    @property
    def weak(self) -> tuple[Transition, ...]:
        """The weak transitions, the worst first, as many as are shown."""
        return self.weighing.weak[:SHOWN]

    @property
    def worst(self) -> Transition | None:
        """What is drilled."""
        return next(iter(self.weighing.weak), None)

    def sentences(self) -> tuple[str, ...]:
        """What to work on and why, what the weak ones share, and what is not said; or that it is too early."""
        return self._said

    def drills(self) -> tuple[Drill, ...]:
        """For the worst transition, the smallest first, back to the whole line; none without one."""
        return () if self.worst is None else drills_for(self.exercise, self.worst, self.tempo)

    def figures(self, each: Transition) -> str:
        """One transition in a row: which notes, how late with its interval, spread, failures."""
        before, here = (place_of(self.exercise, index, self.hearing) for index in (each.from_index, each.to_index))
        parts = [f"{each.from_index} → {each.to_index}  {before} → {here}"]
        if each.late_ms is not None:
            low, high = each.late_interval_ms or (each.late_ms, each.late_ms)
            parts.append(f"{each.late_ms:+.0f} ms ({low:+.0f} to {high:+.0f})")
        if each.spread_ms is not None:
            parts.append(f"spread {each.spread_ms:.0f}")
        if each.misses:
            parts.append(f"failed {each.misses} of {each.attempts}")
        return " · ".join(parts)

    def heading(self) -> str:
        """Over how many passes it speaks."""
        return f"Coach, {counted(self.weighing.passes, 'pass')}"

    @cached_property
    def _said(self) -> tuple[str, ...]:
        """The result asks in every frame, and what transitions share is a trial by chance: 60 ms were measured."""
        return tuple(self._sentences())

    def _sentences(self) -> Iterator[str]:
        shared = shared_weaknesses(self.exercise, self.weighing, compares_strings=self.hearing.compares_strings)
        yield verdict_sentence(self.exercise, self.weighing, self.hearing, is_shared=bool(shared))
        yield from (shared_sentence(weakness) for weakness in shared)
        unsaid = withheld(self.hearing)
        if unsaid is not None and self.weighing.is_enough:
            yield unsaid
