"""How well a simulated player plays.

Conventions: lateness is positive; rates are probabilities a written note. The figures of the named skills are chosen
to lie in the ranges published for people: asynchrony in tapping about 2 % of the interval for musicians (some 10 ms at
two notes a second) and 4 % and more for novices (from memory; Repp 2005 reviews them), 10-20 ms off the beat for a
professional hand drummer (Hennig et al. 2012). Error rates are our own, no source.
"""

from dataclasses import dataclass
from difflib import get_close_matches

_MS = 1_000_000


@dataclass(frozen=True, slots=True)
class Skill:
    """What a player does to a line, on average."""

    name: str = "exact"
    timing_sd_ns: int = 0
    """Standard deviation of the onsets, independent from note to note."""
    bias_ns: int = 0
    """How late every note comes."""
    drift: float = 0.0
    """Share by which the player's tempo is slower than the written one (negative = faster)."""
    keeps_to_click: bool = True
    """After a hesitation: find back to the click within a few notes, or stay behind for good."""
    late_on_course_ns: tuple[tuple[int, int], ...] = ()
    """(course, lateness) of strings that come late."""
    late_at_crossing_ns: int = 0
    """Lateness of the first note after a change of string."""
    late_at_shift_ns: int = 0
    """Lateness of the first note in another position."""
    miss_rate: float = 0.0
    wrong_fret_rate: float = 0.0
    wrong_string_rate: float = 0.0
    extra_rate: float = 0.0
    picked_again_rate: float = 0.0
    """Share of the written slides, hammer-ons and pull-offs that are picked instead."""
    hesitation_rate: float = 0.0
    hesitation_ns: int = 350 * _MS
    restart_rate: float = 0.0
    repeat_rate: float = 0.0
    skip_rate: float = 0.0
    strum_ns: int = 0
    """Spread of the onsets of notes written at one time."""
    velocity: int = 84
    velocity_sd: float = 0.0


EXACT = Skill()
"""Plays what is written, when it is written."""

SKILLS: dict[str, Skill] = {
    skill.name: skill
    for skill in (
        EXACT,
        Skill(
            name="practised",
            timing_sd_ns=7 * _MS,
            bias_ns=-4 * _MS,
            late_at_shift_ns=5 * _MS,
            miss_rate=0.003,
            wrong_fret_rate=0.003,
            wrong_string_rate=0.001,
            extra_rate=0.003,
            picked_again_rate=0.01,
            strum_ns=8 * _MS,
            velocity_sd=6,
        ),
        Skill(
            name="learning",
            timing_sd_ns=14 * _MS,
            bias_ns=-8 * _MS,
            late_at_crossing_ns=6 * _MS,
            late_at_shift_ns=18 * _MS,
            miss_rate=0.025,
            wrong_fret_rate=0.025,
            wrong_string_rate=0.01,
            extra_rate=0.02,
            picked_again_rate=0.08,
            hesitation_rate=0.004,
            strum_ns=15 * _MS,
            velocity_sd=10,
        ),
        Skill(
            name="stumbling",
            timing_sd_ns=20 * _MS,
            bias_ns=8 * _MS,
            late_at_crossing_ns=10 * _MS,
            late_at_shift_ns=35 * _MS,
            miss_rate=0.05,
            wrong_fret_rate=0.05,
            wrong_string_rate=0.02,
            extra_rate=0.05,
            picked_again_rate=0.25,
            hesitation_rate=0.015,
            restart_rate=0.01,
            repeat_rate=0.004,
            skip_rate=0.004,
            strum_ns=25 * _MS,
            velocity_sd=14,
        ),
    )
}
"""The named skills, most certain first."""


def skill_named(name: str) -> Skill:
    """The skill called `name`; `ValueError` with the nearest name when there is none."""
    if name in SKILLS:
        return SKILLS[name]
    near = get_close_matches(name.lower(), SKILLS, n=1)
    hint = f"did you mean {near[0]!r}?" if near else f"there are {', '.join(SKILLS)}"
    raise ValueError(f"no skill is called {name!r}; {hint}")
