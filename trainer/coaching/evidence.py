"""How strongly a few passes speak for a weakness: Bayes factors against an even player.

Under the even player the standardised lateness of every transition is drawn from one normal distribution of spread 1;
against it stand three weaknesses, each with the sizes that a teacher would call one: *late* (its mean lies above, by
about `SIZE_LATE` spreads), *unsteady* (its spread is `TIMES_UNSTEADY` times as wide) and *failing* (its note is missed,
wrong, or not begun as written more often than the player's others). A factor of 1 says nothing either way.

How large a factor chance alone brings is not left to this model: `trainer.coaching.transitions` finds that by shifting
the passes against one another.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import comb, erfc, exp, log, sqrt

SIZE_LATE = 2.0
"""Lateness in spreads of one onset: 25 ms among 8 to 15 ms lies round this."""
TIMES_UNSTEADY = (2.0, 3.0)
MOST_SPREADS = 3.5
"""A single value counts as at most this many spreads, so that one lapse is no habit."""
LATE_SHARE, UNSTEADY_SHARE, BOTH_SHARE = 0.65, 0.25, 0.1
TIMING_SHARE, FAILING_SHARE, ALL_SHARE = 0.45, 0.3, 0.25
"""How likely each weakness is held to be before anything is heard, of our own choice."""
USUAL_FAILURES = (0.5, 25.0)
"""Failures and attempts that every player is credited with beforehand: one in fifty."""
KIND_WEIGHT = 4.0
"""So many attempts at the usual rate are laid beside those at the other transitions of a kind."""
_LARGEST_EXPONENT = 300.0
_SMALLEST = 1e-300


@dataclass(frozen=True, slots=True)
class Sums:
    """Standardised lateness at one transition, added over the passes."""

    count: float
    total: float
    squares: float


@dataclass(frozen=True, slots=True)
class Factors:
    """What the passes say of one transition, each against the even player."""

    late: float
    unsteady: float
    failing: float
    weak: float
    """All together: how much likelier a weakness of any kind makes what was heard."""


def factors(shapes: Sequence[Sums], shares: Sequence[float], of_failing: float, unevenness: float = 0.0) -> Factors:
    """The factors of one transition; `shapes` are the measures in which a lateness may show, `shares` how likely each.

    `of_failing` is what its failures say, `unevenness` the spread of the true means between the transitions, in spreads
    of one onset: what all of them have is no weakness of one.
    """
    late = unsteady = both = 0.0
    for sums, share in zip(shapes, shares, strict=True):
        wide = _unsteady(sums)
        late += share * _late(sums, unevenness, 1.0)
        unsteady += share * wide
        both += share * wide * _late(sums, unevenness, TIMES_UNSTEADY[0])
    timing = LATE_SHARE * late + UNSTEADY_SHARE * unsteady + BOTH_SHARE * both
    return Factors(late=late, unsteady=unsteady, failing=of_failing, weak=_weak(timing, of_failing))


def least_squares_for(weak: float) -> float:
    """What the squares of a transition's values must add up to, in one shape, for a factor of `weak` without failures.

    No lateness, steady or not, fits better than by its whole sum of squares; a half-normal has twice the density of a
    normal one; and that nothing failed speaks for no weakness.
    """
    timing = (weak - FAILING_SHARE) / (TIMING_SHARE + ALL_SHARE)
    return 2 * log(timing / 2) if timing > 2 else 0.0


def _weak(timing: float, of_failing: float) -> float:
    return TIMING_SHARE * timing + FAILING_SHARE * of_failing + ALL_SHARE * timing * of_failing


def _late(sums: Sums, unevenness: float, times: float) -> float:
    """For a mean of about `SIZE_LATE` above the others (half-normal), in a spread of `times`; 1 without values."""
    if not sums.count:
        return 1.0
    variance = times * times / sums.count + unevenness * unevenness
    mean = sums.total / sums.count
    share = SIZE_LATE**2 / (SIZE_LATE**2 + variance)
    z = mean / sqrt(variance)
    upper_half = erfc(-z * sqrt(share / 2))
    return upper_half * sqrt(1 - share) * exp(min(z * z * share / 2, _LARGEST_EXPONENT))


def _unsteady(sums: Sums) -> float:
    """For a wider spread about its own mean; 1 for fewer than two values."""
    if sums.count < 2:
        return 1.0
    freedom = sums.count - 1
    about_mean = max(0.0, sums.squares - sums.total * sums.total / sums.count)
    return sum(
        float(times**-freedom) * exp(min(about_mean / 2 * (1 - times**-2), _LARGEST_EXPONENT))
        for times in TIMES_UNSTEADY
    ) / len(TIMES_UNSTEADY)


@cache
def failing(failed: int, tried: int, usual_failures: float) -> float:
    """For a rate of failure that may be anything, against the usual one (beta-binomial against binomial).

    Failing more seldom than usual speaks for no weakness: then it is 1 at most.
    """
    if not tried:
        return 1.0
    usual: float = comb(tried, failed) * usual_failures**failed * (1 - usual_failures) ** (tried - failed)
    factor = 1 / (tried + 1) / usual
    return factor if failed > tried * usual_failures else min(1.0, factor)


def usual_rate(failed: float, tried: float) -> float:
    """The rate of failure of a player's other transitions, drawn towards one in fifty."""
    return (failed + USUAL_FAILURES[0]) / (tried + USUAL_FAILURES[1])


def usual_among(failed: float, tried: float, usual: float) -> float:
    """The rate of failure of the other transitions of one kind, drawn towards `usual`, that of all kinds."""
    return (failed + KIND_WEIGHT * usual) / (tried + KIND_WEIGHT)


def in_logs(factor: float) -> float:
    """The natural logarithm of a factor: the weight of evidence."""
    return log(max(factor, _SMALLEST))
