"""Playing against a ghost: the choice, which holds from one sitting to the next, and the ghost of the line in hand.

A ghost is looked for and judged when a take begins and when the choice changes, never in a frame.
"""

from collections.abc import Callable

from trainer.following.verdict import Pace
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.screens.screen import Command
from trainer.tablature.ghost import Ghost, GhostChoice, nobody_words

FindGhost = Callable[[Exercise, Pace, GhostChoice], Ghost | None]
GHOST = Command.GOAL
"""G, the key that the day's plan uses for goals."""


class Ghosting:
    """`find` looks among the kept takes, `keep` remembers the choice."""

    def __init__(
        self,
        find: FindGhost = lambda _line, _pace, _choice: None,
        choice: GhostChoice = GhostChoice.OFF,
        keep: Callable[[GhostChoice], None] = lambda _choice: None,
    ) -> None:
        self.choice = choice
        self.ghost: Ghost | None = None
        self._find = find
        self._keep = keep

    def turn(self, plan: RunPlan) -> None:
        """The next choice: off, last, best."""
        self.choice = self.choice.following
        self._keep(self.choice)
        self.look_for(plan)

    def look_for(self, plan: RunPlan) -> None:
        """Find the ghost for a line that is about to be played."""
        self.ghost = self._find(plan.exercise, plan.pace, self.choice)

    def words(self) -> str:
        """Which pass it is; empty when none is wanted."""
        return nobody_words(self.choice) if self.ghost is None else self.ghost.words(self.choice)
