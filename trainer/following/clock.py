"""A path's own clock: when it expects a written note, and how it learns from one that was played.

Conventions: played times are ns from the origin of the search, written times (`due`) ns from quarter 0 at the tempo of
the run. With the click the tempo is given and only the phase is followed; at the player's own pace the clock also
learns how much slower than written they play.
"""

from math import log
from typing import NamedTuple

from trainer.following.line import Line
from trainer.following.own_pace import LONGEST_TRAIL, Trail

JITTER_NS = 5_000_000.0
JITTER_SHARE = 0.07
"""Spread of onsets: 5 ms + 7 % of the interval, between experts (3-4 %) and beginners. Common practice."""
CLICK_DOUBT = 0.01
DOUBTS = (0.40, 0.15, 0.08, 0.05, 0.035, 0.02)
"""By what share the tempo may be off: with the click; and at one's own pace after 0, 1, 2... intervals."""
PHASE_GAIN = 0.6
"""How far one onset moves the clock."""
TEMPO_GAINS = (0.6, 0.45, 0.35, 0.3, 0.25, 0.2, 0.15, 0.12, 0.1)
"""How far the tempo goes along with the first, second... interval."""
TEMPO_RESIDUE = 0.3
"""One onset moves the tempo as if it were at most this share of an interval off."""
SLOWEST, FASTEST = 5.0, 0.2
"""Played time per written time stays between these."""
LEARNT_AFTER = 2
"""Intervals until waiting can be told from playing slower."""
PAUSE_SHARE = 0.7
SHORTEST_PAUSE_NS = 200_000_000
"""Waiting longer than 1.7 expected intervals, and 200 ms, is a pause."""
LONG_PAUSE_SHARE = 3.0
"""The same while the tempo is still being learnt."""
EARLY_SHARE = 0.5
"""Earlier than by this share of an interval is doubtful."""
ON_THE_BEAT_NS = 35_000_000.0
"""Spread of entries after a pause round the beats of the click."""


class Clock(NamedTuple):
    """When written time comes."""

    ref_ns: float | None
    """When the written time `ref_due_ns` came; None before the first note at one's own pace."""
    ref_due_ns: int = 0
    stretch: float = 1.0
    """Played time per written time."""
    intervals: int = 0
    """How many intervals the stretch has been learnt from."""
    shift_ns: int = 0
    """By how many whole beats the player has left the click."""
    is_loose: bool = False
    """Something else than the line was played after a pause, so the next note may come at any time."""
    is_halting: bool = False
    """The last note came in order after a pause, so another pause is no surprise."""
    trail: Trail = ()
    """At one's own pace: the notes that this pace was played at."""


def first_clock(line: Line) -> Clock:
    """The clock before anything is heard."""
    return Clock(ref_ns=0.0 if line.is_timed else None)


def expected_ns(clock: Clock, line: Line, index: int) -> float | None:
    """When a written note is expected; never before it is due by the click; None before the first note."""
    if clock.ref_ns is None:
        return None
    own = clock.ref_ns + (line.due_ns[index] - clock.ref_due_ns) * clock.stretch
    return max(own, line.due_ns[index] + clock.shift_ns) if line.is_timed else own


def spread_ns(clock: Clock, line: Line, gap_ns: float, span_ns: float) -> float:
    """How far onsets spread round the expected moment, `span_ns` after the reference."""
    doubt = CLICK_DOUBT if line.is_timed else DOUBTS[min(clock.intervals, len(DOUBTS) - 1)]
    return JITTER_NS + JITTER_SHARE * gap_ns + doubt * abs(span_ns)


def is_pause(late_ns: float, gap_ns: float) -> bool:
    """Whether something so much later than the expected gap was waited for."""
    return late_ns >= PAUSE_SHARE * gap_ns and late_ns + gap_ns >= SHORTEST_PAUSE_NS


def is_early(clock: Clock, line: Line, at_ns: int, slot: int) -> bool:
    """Whether a note is more than half an interval early; never while the tempo is still being learnt."""
    expected = expected_ns(clock, line, slot)
    if expected is None or clock.is_loose or (not line.is_timed and clock.intervals < LEARNT_AFTER):
        return False
    if line.is_timed and clock.ref_ns is not None:
        expected = min(expected, clock.ref_ns + (line.due_ns[slot] - clock.ref_due_ns) * clock.stretch)
    return at_ns < expected - EARLY_SHARE * line.gaps_ns[slot] * clock.stretch


class Entries(NamedTuple):
    """What is known of entries: a share of them is near a beat of the click, the others are anywhere.

    The two make a normal density against the even one over a beat.
    """

    aligned: float
    """How well being right on a beat fits."""
    astray: float
    """How well being anywhere fits."""


def entries(line: Line, on_the_beat: float) -> Entries:
    """Entries of which a share `on_the_beat` is near a beat."""
    aligned = log(max(on_the_beat * line.beat_ns / (2.5 * ON_THE_BEAT_NS), 0.5))
    return Entries(aligned, log(1 - on_the_beat))


def entry_fit(line: Line, index: int, at_ns: int, usual: Entries) -> float:
    """How well entering at a written note fits the beats of the click; 0 where there is no click."""
    if not line.is_timed:
        return 0.0
    late_ns = at_ns - line.due_ns[index]
    off_beat = (late_ns - round(late_ns / line.beat_ns) * line.beat_ns) / ON_THE_BEAT_NS
    return max(usual.aligned - off_beat * off_beat / 2, usual.astray)


def is_with_click(clock: Clock, line: Line, index: int, at_ns: int) -> bool:
    """Whether who has been with the click until now would still be with it at a written note."""
    return line.is_timed and clock.shift_ns == 0 and abs(at_ns - line.due_ns[index]) < line.beat_ns / 2


def ticked(clock: Clock, line: Line, at_ns: int, taken: int, slot: int, *, is_entry: bool) -> tuple[Clock, int | None]:
    """The clock after written note `taken` was played at the time of note `slot`, and the note's deviation.

    `is_entry` says that the player went on from elsewhere. The deviation is from the click; at one's own pace it is
    None, and what it follows from is the trail of the clock (`own_pace`).
    """
    slot_due_ns = line.due_ns[slot]
    here = () if line.is_timed else ((at_ns, line.due_ns[taken]),)
    if clock.ref_ns is None:
        return Clock(float(at_ns), slot_due_ns, trail=here), None
    gap_ns = line.gaps_ns[slot] * clock.stretch
    written_ns = slot_due_ns - clock.ref_due_ns
    late_ns = at_ns - clock.ref_ns - written_ns * clock.stretch
    paused = clock.is_loose or _is_wait(clock, line, late_ns, gap_ns)
    shift_ns, deviation_ns = clock.shift_ns, None
    if line.is_timed:
        by_click_ns = at_ns - line.due_ns[taken]
        if is_entry or (paused and abs(by_click_ns - shift_ns) > line.beat_ns):
            shift_ns = round(by_click_ns / line.beat_ns) * line.beat_ns
        deviation_ns = by_click_ns - shift_ns
    if is_entry or paused:
        anew = Clock(float(at_ns), slot_due_ns, clock.stretch, min(clock.intervals, 2), shift_ns)
        return anew._replace(is_halting=not is_entry, trail=here), deviation_ns
    ref_ns = at_ns - (1 - PHASE_GAIN) * late_ns if abs(late_ns) <= 0.5 * gap_ns else float(at_ns)
    if not line.is_timed and written_ns > 0:
        clock = _learnt(clock, late_ns, gap_ns, written_ns)
    trail = (*clock.trail[-LONGEST_TRAIL:], *here)
    return Clock(ref_ns, slot_due_ns, clock.stretch, clock.intervals, shift_ns, trail=trail), deviation_ns


def _is_wait(clock: Clock, line: Line, late_ns: float, gap_ns: float) -> bool:
    """Whether a written note comes after a pause; while the tempo is being learnt, only after a long one."""
    if not line.is_timed and clock.intervals <= LEARNT_AFTER:
        return late_ns > LONG_PAUSE_SHARE * gap_ns
    return is_pause(late_ns, gap_ns)


def _learnt(clock: Clock, late_ns: float, gap_ns: float, written_ns: int) -> Clock:
    """The clock with the tempo moved by one interval."""
    gain = TEMPO_GAINS[min(clock.intervals, len(TEMPO_GAINS) - 1)]
    most = TEMPO_RESIDUE * gap_ns if clock.intervals > 1 else abs(late_ns)
    stretch = clock.stretch + gain * min(max(late_ns, -most), most) / written_ns
    return clock._replace(stretch=min(max(stretch, FASTEST), SLOWEST), intervals=clock.intervals + 1)
