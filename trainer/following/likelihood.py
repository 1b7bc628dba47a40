"""How likely a heard note is, given what the player and the pickup might have been doing.

Conventions: everything is a natural logarithm. Densities over time are per expected interval, so that a fast line and a
slow one are judged alike: spread evenly over one interval, a note scores 0; right on time, about +1.

Sources: pitch and order of monophonic performances with errors, E. Nakamura et al. 2014 (right pitch 0.950, semitone
0.0145, whole tone 0.022, octave 0.005; same note again 0.013, one left out 0.006). Where players restart, and how often
a pickup slips, is common practice without a source; the benchmark in `tests/benchmarks` varies all of it.
"""

from functools import cache
from math import log

# What is heard in the place of a written note.
EXACT = log(0.93)
OTHER_STRING = log(0.02)
SEMITONE = log(0.012)
WHOLE_TONE = log(0.010)
OCTAVE = log(0.004)
OTHER_PITCH = log(0.0025)
OTHER_BOTH = log(0.0012)  # another pitch on another string

# How the player goes on.
MISSED = log(0.02)
MISSED_AGAIN = log(0.12)  # each further note of one gap
MISSED_OVER_PAUSE = log(0.3)  # who stops knows where
SWAPPED = log(0.004)
EXTRA = log(0.03 / 20)  # times one pitch out of about twenty within reach
QUIET = 0.7  # a quiet note is likelier to be an extra; mild, because velocities are often uncalibrated

# Slips of the pickup: P(slip) over the part of an interval in which it is heard.
GHOST = log(0.02)
APPROACH = log(0.5)  # where a written grace slide begins, picked on the way to its target
OCTAVE_ATTACK = log(0.01)

# Off the line: noodling.
OFF_LINE = log(0.002)
OFF_AFTER_PAUSE = log(0.06)
OFF_LINE_NOTE = log(1 / 25)
BACK_ON_LINE = log(0.05)  # without a pause
BACK_AFTER_PAUSE = log(0.5)
OFF_STILL = log(0.3)  # to go on noodling after another pause
ON_AFTER_NOODLING = log(0.1)  # to the note that would have come next, rather than elsewhere
CAUGHT_UP = log(0.15)

# Jumps: a restart, repeat or skip.
JUMP_IN_TIME = log(0.0003)
JUMP_AFTER_PAUSE = log(0.5)
AHEAD_AFTER_PAUSE = log(0.1)  # who stops goes back; bars are left out in time
PAUSE = log(0.01)
HALTING = log(0.3)  # who has just waited for the next note may wait for the one after it
BACK_WITH_CLICK = log(0.02)  # a player who strayed from the click falls in with it again
NO_NEED_TO_JUMP = -3.0  # in time, to a note that is written next anyway
OUT_OF_BAR = -2.0  # in time, whole bars are repeated or left out; anything else is odd
WITH_THE_CLICK = 0.0  # unless they wait for the click to come by

# Time round the expected onset.
_CORE = 0.87
_SHOULDER = 0.10
_SHOULDER_WIDTH = 4.0
_EARLY = log(0.015)
_EARLIER = 4.0  # an interval
_SQRT_TWO_PI = 2.5066
_LOG_CORE = log(_CORE / _SQRT_TWO_PI)
_LOG_SHOULDER = log(_SHOULDER / _SHOULDER_WIDTH / _SQRT_TWO_PI)
_CORE_ENDS = 2 * (_LOG_CORE - _LOG_SHOULDER) / (1 - 1 / (_SHOULDER_WIDTH * _SHOULDER_WIDTH))
"""The square of the distance, in spreads, from which the shoulder is the higher of the two."""


def pitch_fit(steps: int, *, same_string: bool) -> float:
    """How well a pitch that is `steps` semitones off fits a written note."""
    if steps == 0:
        return EXACT if same_string else OTHER_STRING
    if not same_string:
        return OTHER_BOTH
    match abs(steps):
        case 1:
            return SEMITONE
        case 2:
            return WHOLE_TONE
        case 12:
            return OCTAVE
        case _:
            return OTHER_PITCH


def time_fit(late_ns: float, gap_ns: float, sigma_ns: float, scale: float) -> float:
    """How well an onset `late_ns` after the expected moment fits: a core, a shoulder, and a tail for a pause.

    `scale` is log(gap / sigma), which callers know already.
    """
    square = late_ns / sigma_ns
    square *= square
    if square < _CORE_ENDS:
        near = scale + _LOG_CORE - square / 2
    else:
        near = scale + _LOG_SHOULDER - square / (2 * _SHOULDER_WIDTH * _SHOULDER_WIDTH)
    if late_ns < 0:
        return max(near, _EARLY + _EARLIER * late_ns / gap_ns)
    return near if near >= PAUSE else max(near, PAUSE + log(gap_ns / (gap_ns + late_ns)))


def pause_fit(late_ns: float, gap_ns: float) -> float:
    """How well a pause fits: any length may be, in the same measure for each doubling."""
    return PAUSE + log(gap_ns / (gap_ns + late_ns))


@cache
def jump_fit(distance: int) -> float:
    """How well a jump of `distance` notes fits, 0 being the note that would have come next."""
    if distance >= 0:
        return max(_ON - distance * _ON_FADE, _ANYWHERE)
    if distance >= -16:
        return _BACK + distance * _BACK_FADE
    return max(_FAR_BACK + (distance + 16) * _FAR_FADE, _ANYWHERE)


_BACK, _BACK_FADE = log(0.6 / 16), 0.03
_FAR_BACK, _FAR_FADE = log(0.14 / 48), 1 / 36
_ON, _ON_FADE = log(0.2 / 16), 1 / 5
_ANYWHERE = log(0.0001)


def bars_fit(bars: int) -> float:
    """How well a jump in time fits that repeats `bars` whole bars (negative) or leaves them out."""
    if bars == 0:
        return _ANYWHERE
    return (_BAR_AGAIN if bars < 0 else _BAR_LEFT_OUT) - (abs(bars) - 1) * _BARS_FADE


_BAR_AGAIN, _BAR_LEFT_OUT, _BARS_FADE = log(0.4), log(0.2), 2.0
