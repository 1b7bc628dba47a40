"""The contest: a run over one line in which the tempo rises pass by pass until too many slips, and its points.

    points = 100 x clean notes a second x evenness x slurs as written, of the best pass

- clean notes a second: notes a second that the tempo asks for, times the share of the notes that were matched;
- evenness: 1 - spread / hit window, not below 0;
- slurs as written: the share of the slides, hammer-ons and pull-offs that were begun as written, of those that the
  pickup tells; 1 where there are none.

A relay is a run of several players who take passes by turns, each tempo in turn; the team's points are the sum of each
player's best pass. It ends for all when one of them makes too many slips.

The best pass counts and not the sum, so that nothing is gained by playing on with tired hands, and a run that begins
when a break is due gets no points at all. The formula is of our own choice, no source. Points are never stored: they
are figured from the takes.
"""

from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import floor
from typing import Self

from trainer.coaching.asking import FASTEST_QPM, checked_start, within_limits
from trainer.coaching.clean import notes_a_second, window_of
from trainer.following.assessment import Assessment
from trainer.following.tolerance import Tolerance
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.theory.naming import counted

FORMULA = "points = 100 × clean notes a second × evenness × slurs as written, of the best pass"
RELAY_FORMULA = (
    "team points = the best pass of one player + the best pass of the other; "
    "points of a pass = 100 × clean notes a second × evenness × slurs as written"
)
START_SHARE = 0.7
"""A run begins so far below the tempo that it is set to, for hands that are not warm yet."""


@dataclass(frozen=True, slots=True)
class Climb:
    """The settings of a run."""

    rise_percent: float = 5.0
    slips_percent: float = 10.0
    """More slips than this share of the line's notes end the run."""
    most_passes: int = 16

    def __post_init__(self) -> None:
        if not 1 <= self.rise_percent <= 25 or not 0 <= self.slips_percent <= 50:
            raise ValueError(
                f"rising by {self.rise_percent:g} % with {self.slips_percent:g} % slips: expected 1 to 25 and 0 to 50"
            )

    def slips_allowed(self, notes: int) -> int:
        """How many slips a pass of so many notes may hold; at least one."""
        return max(1, floor(notes * self.slips_percent / 100))


@dataclass(frozen=True, slots=True)
class Score:
    """The points of one pass, and what they are made of."""

    qpm: float
    clean_notes_a_second: float
    evenness: float
    slurs: float

    @property
    def points(self) -> int:
        """100 times the product, rounded."""
        return round(100 * self.clean_notes_a_second * self.evenness * self.slurs)

    def words(self) -> str:
        """The formula with its figures."""
        return (
            f"{self.points} points at ♩ = {self.qpm:g}: {self.clean_notes_a_second:.2f} clean notes a second"
            f" × evenness {self.evenness:.2f} × slurs {self.slurs:.2f}"
        )


def score(exercise: Exercise, figures: Assessment, tempo: Tempo, tolerance: Tolerance) -> Score:
    """The score of one whole pass with the click."""
    notes, qpm = len(exercise.notes), float(tempo.quarters_per_minute)
    as_written = sum(count.as_written for count in figures.techniques)
    told = as_written + sum(count.otherwise for count in figures.techniques)
    spread_ms = figures.spread_ms if figures.matched > 1 else None
    window_ms = window_of(exercise, tempo, tolerance)
    return Score(
        qpm,
        notes_a_second(exercise, qpm) * figures.matched / notes,
        0.0 if spread_ms is None else max(0.0, 1 - spread_ms / window_ms),
        as_written / told if told else 1.0,
    )


def slips_of(figures: Assessment) -> int:
    """Misses, wrong notes and notes that nobody wrote."""
    return figures.missed + figures.wrong_pitch + figures.wrong_string + figures.extra


@dataclass(frozen=True, slots=True)
class Contest:
    """A run after some passes."""

    exercise: Exercise
    start_qpm: float
    climb: Climb = field(default_factory=Climb)
    scores: tuple[Score, ...] = ()
    is_over: bool = False
    remark: str = ""
    """About the last pass."""
    tolerance: Tolerance = field(default_factory=Tolerance)
    players: int = 1
    """How many take passes by turns."""

    def __post_init__(self) -> None:
        checked_start(self.start_qpm)

    @property
    def tempo(self) -> Tempo:
        """The tempo of the next pass; `ValueError` when the run is over."""
        return Tempo(Fraction(str(self.tempo_qpm())))

    def tempo_qpm(self) -> float:
        """The same in quarters a minute."""
        if self.is_over:
            raise ValueError("nothing more is asked: the run is over")
        return within_limits(self.start_qpm * (1 + self.climb.rise_percent / 100) ** (len(self.scores) // self.players))

    def after(self, figures: Assessment) -> Self:
        """The run after a pass with these figures; one that was broken off ends it and gets no points."""
        notes = len(self.exercise.notes)
        tempo = self.tempo
        if figures.matched + figures.wrong_pitch + figures.wrong_string + figures.missed < notes:
            return self.ended("Broken off: that pass gets no points.")
        found, slips = score(self.exercise, figures, tempo, self.tolerance), slips_of(figures)
        allowed = self.climb.slips_allowed(notes)
        too_many = slips > allowed
        passes = len(self.scores) + 1
        is_fastest = self.tempo_qpm() >= FASTEST_QPM and passes % self.players == 0
        is_last = passes >= self.climb.most_passes * self.players or is_fastest
        remark = f"{found.words()}. {counted(slips, 'slip')}" + (
            f", over {allowed}: the run ends." if too_many else "."
        )
        return replace(self, scores=(*self.scores, found), is_over=too_many or is_last, remark=remark)

    def ended(self, remark: str) -> Self:
        """The run broken off, for a reason."""
        return replace(self, is_over=True, remark=remark)

    @property
    def turn(self) -> int:
        """Whose pass is next, counted from 1."""
        return len(self.scores) % self.players + 1

    @property
    def best(self) -> Score | None:
        """The pass that counts when one plays alone."""
        return max(self.scores, key=lambda one: one.points, default=None)

    @property
    def bests(self) -> tuple[Score, ...]:
        """The pass of each player that counts, as far as they have played one."""
        of_each = (self.scores[first :: self.players] for first in range(self.players))
        return tuple(max(scores, key=lambda one: one.points) for scores in of_each if scores)

    def words(self) -> str:
        """What was reached so far."""
        if self.players > 1 and self.bests:
            points = [one.points for one in self.bests]
            each = " + ".join(str(one) for one in points)
            return f"Best passes: {each}{f' = {sum(points)} points' if len(points) == self.players else ''}."
        return "No pass is played yet." if self.best is None else f"Best pass: {self.best.words()}."
