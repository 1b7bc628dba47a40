"""Which other take lies under the one that is gone through: one of the same line, judged when it is wanted."""

from collections.abc import Callable, Sequence

from trainer.screens.hints import Hint
from trainer.screens.screen import Command
from trainer.tablature.other_take import OtherTake
from trainer.tablature.record import Stretch
from trainer.tablature.state import NoteState

FindOther = Callable[[], OtherTake | None]
"""Another take of the line; None when it cannot be read."""


class OtherTakes:
    """`finders` are the takes that there are, the newest first; one that cannot be read gives way to the next."""

    def __init__(self, finders: Sequence[FindOther] = (), *, is_shown: bool = False) -> None:
        self._finders = finders
        self._place = 0
        self._found: dict[int, OtherTake | None] = {}
        self._states: tuple[Stretch, OtherTake, dict[int, NoteState]] | None = None
        self.is_shown = False
        if is_shown:
            self.turn()

    @property
    def shown(self) -> OtherTake | None:
        """The one that is shown."""
        return self._at(self._place) if self.is_shown else None

    def turn(self) -> None:
        """Show one, or none."""
        self.is_shown = not self.is_shown and self._choose(self._place, 1)

    def choose(self, step: int) -> None:
        """An older one or a newer one, while one is shown and there is one."""
        if self.is_shown:
            self._choose(self._place + step, step)

    def states(self, stretch: Stretch) -> dict[int, NoteState] | None:
        """What the one that is shown was like at each note of a take, found once for both."""
        other = self.shown
        if other is None:
            return None
        if self._states is None or self._states[0] is not stretch or self._states[1] is not other:
            self._states = stretch, other, other.beside(stretch)
        return self._states[2]

    def hints(self) -> tuple[Hint, ...]:
        """The keys that choose."""
        if not self._finders:
            return ()
        if not self.is_shown:
            return (("F6", "other take", Command.TWINS),)
        older = (("↓", "older", Command.DOWN), ("↑", "newer", Command.UP)) if len(self._finders) > 1 else ()
        return (("F6", "neck", Command.TWINS), *older)

    def _at(self, place: int) -> OtherTake | None:
        if place not in self._found:
            self._found[place] = self._finders[place]()
        return self._found[place]

    def _choose(self, place: int, step: int) -> bool:
        """Take the first from a place on that can be read; false, and nothing is changed, without one."""
        while 0 <= place < len(self._finders):
            if self._at(place) is not None:
                self._place = place
                return True
            place += step
        return False
