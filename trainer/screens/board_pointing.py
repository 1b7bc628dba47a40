"""Pointing on the board: a mark that follows the mouse or the arrow keys, and rings that stay."""

from fractions import Fraction

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.tempo import Tempo
from trainer.screens.screen import Command
from trainer.theory.fretboard import Location
from trainer.theory.tuning import Tuning

_TONE_TEMPO = Tempo(Fraction(60))


class Pointing:
    """Where is pointed at, and which places have a ring."""

    def __init__(self) -> None:
        self.is_on = False
        """Whether the mark is shown."""
        self.place: Location | None = None
        """The place on the neck that is pointed at."""
        self.pointer: tuple[float, float] | None = None
        """Where the mouse points beside the neck."""
        self.rung: list[Location] = []
        """In the order in which they were ringed."""
        self._mouse: tuple[int, int] | None = None

    def mouse_at(self, mouse: tuple[int, int], place: Location | None) -> bool:
        """The mouse lies here, over this place of the neck; it points there if it has moved. Whether it has."""
        has_moved = self._mouse is not None and mouse != self._mouse
        if has_moved:
            self.place = place
            self.pointer = (float(mouse[0]), float(mouse[1])) if place is None else None
        self._mouse = mouse
        return has_moved

    def move(self, command: Command, strings: int, frets: tuple[int, int], *, is_mirrored: bool = False) -> None:
        """Point to the next string or fret; to begin with, to the middle of the neck."""
        first, last = frets
        here = self.place or Location((strings + 1) // 2, (first + last) // 2)
        aside = {Command.RIGHT: 1, Command.LEFT: -1}.get(command, 0) * (-1 if is_mirrored else 1)
        down = {Command.DOWN: 1, Command.UP: -1}.get(command, 0)
        if self.place is None:
            aside = down = 0
        course, fret = max(1, min(strings, here.course + down)), max(first, min(last, here.fret + aside))
        self.place, self.pointer = Location(course, fret), None

    def turn(self, place: Location) -> bool:
        """Ring a place, or take its ring away; whether it has one now."""
        if place in self.rung:
            self.rung.remove(place)
            return False
        self.rung.append(place)
        return True

    def clear(self) -> None:
        """Take all rings away."""
        self.rung.clear()

    def tone(self, tuning: Tuning) -> Exercise:
        """The place that was ringed last, as a line of one note."""
        place = self.rung[-1]
        note = ScoreNote(Fraction(0), Fraction(2), place, tuning.pitch_at(place))
        return Exercise("tone", "Tone", tuning, _TONE_TEMPO, (note,), length_quarters=Fraction(4))
