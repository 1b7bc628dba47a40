"""Slips of a pickup's tracking, which are never charged to the player.

The figures are common practice (what users of converters report and what they delete by hand), no source. They are kept
tight: what is left unnamed here, the follower can still explain by the written line, but a real note that is swallowed
here is lost.
"""

_MS = 1_000_000
OCTAVE_NS = 60 * _MS
"""An attack heard too high is corrected within this time."""
OVERTONES_SEMITONES = frozenset({12, 19, 24})
"""Octave, twelfth, double octave: what tracking hears in an attack instead of the fundamental."""
FALSE_ATTACK_NS = 45 * _MS
"""Over 22 notes a second on one string ..."""
LEAST_FALSE_SEMITONES = 5
"""... by a fourth or more downwards is what tracking makes of an attack, whatever the interval."""
AS_LOUD = 0.85
DUPLICATE_NS = 70 * _MS
"""The same pitch again on the same string within this time is one note heard twice ..."""
FAST_DUPLICATE_NS = 35 * _MS
"""... or within this, when notes come fast anyway."""
FAST_NS = 110 * _MS
GHOST_NS = 40 * _MS
"""A ghost is no longer than this."""
GHOST_LOUDNESS = 0.35
"""... and no louder than this share of what is picked."""
GHOST_VELOCITY = 10
"""... or no louder than this, whatever is picked."""
STRAY_NS = 75 * _MS
"""The stroke that touched another string was as near as this."""
TAIL_NS = 40 * _MS
"""A pitch that a bend came to as late as this before the note-off was astray: nobody slurs to a note to stop it."""
SYMPATHETIC_NS = 250 * _MS
"""An open string rings by itself within this time of the beginning of a note on another."""


def is_octave_slip(first_pitch: int, second_pitch: int, apart_ns: int, loudness: float) -> bool:
    """Whether the first of two notes on one string was an overtone of the second, heard by mistake.

    Any interval from a fourth is one when the second is as loud and comes too soon for a hand to pick again: what a
    finger pulled off would be softer. `loudness` of the second in relation to the first.
    """
    falls_by = first_pitch - second_pitch
    is_false = falls_by >= LEAST_FALSE_SEMITONES and loudness >= AS_LOUD and apart_ns <= FALSE_ATTACK_NS
    return is_false or (falls_by in OVERTONES_SEMITONES and apart_ns <= OCTAVE_NS)


def is_duplicate(apart_ns: int, recent_interval_ns: int) -> bool:
    """Whether the second of two equal notes on one string is the first one heard twice.

    `recent_interval_ns` is the usual time between the last few onsets on any string.
    """
    return apart_ns <= (FAST_DUPLICATE_NS if recent_interval_ns <= FAST_NS else DUPLICATE_NS)


def is_ghost(sounded_ns: int, velocity: int, loudness: float | None) -> bool:
    """Whether a note that has ended was noise of the fingers; `loudness` as from `Ear.loudness`."""
    is_faint = velocity <= GHOST_VELOCITY or (loudness is not None and loudness <= GHOST_LOUDNESS)
    return is_faint and loudness is not None and sounded_ns <= GHOST_NS


def is_stray(sounded_ns: int, since_other_ns: int | None, recent_interval_ns: int) -> bool:
    """Whether a note that has ended was noise beside a note of another string, where velocities do not tell.

    `recent_interval_ns` as for `is_duplicate`: among fast notes a short one is as good as any.
    """
    is_beside = since_other_ns is not None and since_other_ns <= STRAY_NS
    return sounded_ns <= GHOST_NS and is_beside and recent_interval_ns > FAST_NS


def is_tail(sounded_ns: int) -> bool:
    """Whether a note that arrived as a bend and was let go after `sounded_ns` was its carrier running astray."""
    return sounded_ns <= TAIL_NS


def is_sympathetic(fret: int | None, loudness: float | None, since_other_ns: int | None) -> bool:
    """Whether an open string began to ring by itself, `since_other_ns` after a note on another string."""
    return (
        fret == 0
        and loudness is not None
        and loudness <= GHOST_LOUDNESS
        and since_other_ns is not None
        and since_other_ns <= SYMPATHETIC_NS
    )
