"""A line as it is written down: bars, voices, and signs with values, ties and tuplets.

What an exercise says in exact fractions is spelled here once, for sheets and screen. Conventions: onsets are in
quarters from the start of the line; a *sign* is one written note, chord or rest; a *voice* is a row of signs that fills
its bar without a gap. Rules, which are those of common notation:
- A note that crosses a bar line is tied; so is one that would hide a beat which it neither begins nor ends on. A rest
  never reaches over a beat from inside one, nor out of a group of the bar (`trainer.score.groups`).
- A tuplet reaches from the moment where the line leaves the grid of halves to where it comes back, and is drawn
  together over a whole beat where its parts have one unit. Over several beats it stays whole if its figure is small
  and has no place for a beat inside: three quarters in the time of two, but not six eighths in the time of four.
- What no sign can say (a stray duration from a file) has no value and keeps its exact duration.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from trainer.score.exercise import Exercise
from trainer.score.groups import rest_ends
from trainer.score.meter import Meter
from trainer.score.note_values import LONGEST_VALUE, SHORTEST_VALUE, NoteValue, Tuplet, is_plain, tuplet_of, value_of

# A tuplet of up to so many units may reach over several beats: three quarters in the time of two.
_MOST_UNITS_OVER_BEATS = 9

# Files can hold notes of no length: they are written as short as a grace note is read.
_LENGTH_OF_NONE_QUARTERS = Fraction(1, 8)


@dataclass(frozen=True, slots=True)
class Sign:
    """One written note, chord or rest."""

    onset_quarters: Fraction
    duration_quarters: Fraction
    notes: tuple[int, ...] = ()
    """Which of the exercise's notes it stands for; empty for a rest."""
    tied_from: bool = False
    """Whether it goes on with the notes of the sign before."""
    tied_to: bool = False
    value: NoteValue | None = None
    """What it looks like; None when no sign lasts so long."""
    tuplet: Tuplet | None = None
    tuplet_begins: bool = False
    tuplet_ends: bool = False

    @property
    def end_quarters(self) -> Fraction:
        """Where it ends."""
        return self.onset_quarters + self.duration_quarters

    @property
    def is_rest(self) -> bool:
        """Whether nothing sounds."""
        return not self.notes


Voice = tuple[Sign, ...]


@dataclass(frozen=True, slots=True)
class Bar:
    """What stands between two bar lines."""

    onset_quarters: Fraction
    length_quarters: Fraction
    voices: tuple[Voice, ...]
    """At least one, the same number in each bar; one that is silent here is empty, except for the first."""


def bars_of(exercise: Exercise) -> tuple[Bar, ...]:
    """The line in bars, in as many voices as notes of different strings overlap."""
    events: dict[tuple[Fraction, Fraction], list[int]] = {}
    for index, note in enumerate(exercise.notes):
        duration = note.duration_quarters or _LENGTH_OF_NONE_QUARTERS
        events.setdefault((note.onset_quarters, -duration), []).append(index)
    voices: list[list[Sign]] = []
    for (onset, minus_duration), notes in sorted(events.items()):
        sign = Sign(onset, -minus_duration, tuple(notes))
        free = next((voice for voice in voices if voice[-1].end_quarters <= onset), None)
        if free is None:
            voices.append([sign])
        else:
            free.append(sign)
    return _in_bars(exercise, voices)


def rhythm_bars_of(exercise: Exercise) -> tuple[Bar, ...]:
    """The line in bars as one voice: each moment lasts as long as its longest note, at most to the next moment."""
    moments: dict[Fraction, list[int]] = {}
    for index, note in enumerate(exercise.notes):
        moments.setdefault(note.onset_quarters, []).append(index)
    onsets = sorted(moments)
    voice = []
    for onset, after in zip(onsets, [*onsets[1:], None], strict=True):
        longest = max(exercise.notes[index].duration_quarters for index in moments[onset]) or _LENGTH_OF_NONE_QUARTERS
        duration = longest if after is None else min(longest, after - onset)
        voice.append(Sign(onset, duration, tuple(moments[onset])))
    return _in_bars(exercise, [voice])


def _in_bars(exercise: Exercise, voices: Iterable[Sequence[Sign]]) -> tuple[Bar, ...]:
    bar = exercise.meter.bar_quarters
    filled = [list(_with_rests(voice)) for voice in voices]
    end = max([exercise.length_quarters, *(voice[-1].end_quarters for voice in filled)])
    count = -(-end // bar)
    # A file may end inside its last bar; an end off the grid of halves is carried on to the bar line.
    last_length = end - (count - 1) * bar if is_plain(end) else bar
    bars = []
    for number in range(int(count)):
        onset = number * bar
        length = last_length if number == count - 1 else bar
        cut = [list(_cut_out(voice, onset, onset + length)) for voice in filled]
        sounding = [voice if at == 0 or not all(sign.is_rest for sign in voice) else [] for at, voice in enumerate(cut)]
        spelled = tuple(tuple(_spelled(voice, onset, exercise.meter)) for voice in sounding)
        bars.append(Bar(onset, length, spelled))
    return tuple(bars)


def _with_rests(voice: Sequence[Sign]) -> Iterator[Sign]:
    end = Fraction(0)
    for sign in voice:
        if sign.onset_quarters > end:
            yield Sign(end, sign.onset_quarters - end)
        yield sign
        end = sign.end_quarters


def _cut_out(voice: Sequence[Sign], start: Fraction, end: Fraction) -> Iterator[Sign]:
    """What of a voice lies from `start` to `end`, filled up with a rest."""
    first = bisect_right(voice, start, key=_onset) - 1
    last = bisect_left(voice, end, key=_onset)
    reached = start
    for sign in voice[max(first, 0) : last]:
        if sign.end_quarters > start:
            pieces = _cut_at(sign, [start, end])
            yield next(piece for piece in pieces if start <= piece.onset_quarters < end)
            reached = min(sign.end_quarters, end)
    if reached < end:
        yield Sign(reached, end - reached)


def _onset(sign: Sign) -> Fraction:
    return sign.onset_quarters


def _cut_at(sign: Sign, moments: Iterable[Fraction]) -> list[Sign]:
    """The sign cut at those of the moments that lie inside it, its notes tied."""
    inside = sorted({moment for moment in moments if sign.onset_quarters < moment < sign.end_quarters})
    if not inside:
        return [sign]
    pieces = []
    for start, end in pairwise((sign.onset_quarters, *inside, sign.end_quarters)):
        pieces.append(
            replace(
                sign,
                onset_quarters=start,
                duration_quarters=end - start,
                tied_from=not sign.is_rest and (sign.tied_from or start > sign.onset_quarters),
                tied_to=not sign.is_rest and (sign.tied_to or end < sign.end_quarters),
            )
        )
    return pieces


def _spelled(voice: Sequence[Sign], bar_onset: Fraction, meter: Meter) -> Iterator[Sign]:
    """The signs of one bar with their values."""
    unnamed = [
        replace(sign, onset_quarters=sign.onset_quarters - bar_onset, notes=() if sign.is_rest else (at,))
        for at, sign in enumerate(voice)
    ]
    for sign in _spelled_rhythm(tuple(unnamed), meter):
        notes = () if sign.is_rest else voice[sign.notes[0]].notes
        yield replace(sign, onset_quarters=sign.onset_quarters + bar_onset, notes=notes)


@lru_cache(maxsize=256)
def _spelled_rhythm(voice: Voice, meter: Meter) -> Voice:
    """The same from the bar line on, each sign naming its place in `voice`: bars of one rhythm are spelled once."""
    beat = meter.beat_quarters
    cut = [piece for sign in voice for piece in (_rest_at_groups(sign, meter) if sign.is_rest else [sign])]
    return tuple(sign for run in _merged(_runs(cut), beat) for sign in _spelled_run(run, beat))


def _rest_at_groups(rest: Sign, meter: Meter) -> list[Sign]:
    """A rest cut at the groups of its bar and around its beats; that of a whole bar stays whole."""
    if rest.duration_quarters == meter.bar_quarters:
        return [rest]
    first = -(-rest.onset_quarters // meter.beat_quarters) * meter.beat_quarters
    last = rest.end_quarters // meter.beat_quarters * meter.beat_quarters
    return _cut_at(rest, [first, last, *rest_ends(meter)])


def _runs(voice: Iterable[Sign]) -> Iterator[list[Sign]]:
    """The signs in runs that begin and end on the grid of halves, each as short as can be."""
    run: list[Sign] = []
    for sign in voice:
        run.append(sign)
        if is_plain(sign.end_quarters):
            yield run
            run = []
    if run:
        yield run


def _merged(runs: Iterable[list[Sign]], beat: Fraction) -> list[list[Sign]]:
    """The runs with neighbours in one beat joined whose tuplets have the same unit: a sextuplet is one figure."""
    merged: list[list[Sign]] = []
    for run in runs:
        tuplet, before = _tuplet(run), _tuplet(merged[-1]) if merged else None
        same_beat = bool(merged) and merged[-1][0].onset_quarters // beat == _last_beat(run, beat)
        if tuplet and before and same_beat and _unit(tuplet) == _unit(before):
            merged[-1] = merged[-1] + run
        else:
            merged.append(run)
    return merged


def _last_beat(run: Sequence[Sign], beat: Fraction) -> int:
    return -(-run[-1].end_quarters // beat) - 1


def _unit(tuplet: Tuplet) -> Fraction:
    return tuplet.unit_quarters / tuplet.ratio


def _tuplet(run: Sequence[Sign]) -> Tuplet | None:
    """The tuplet that a run makes; None for a plain sign or for lengths that fit none."""
    if is_plain(run[0].duration_quarters):
        return None
    start = run[0].onset_quarters
    return tuplet_of(run[-1].end_quarters - start, [sign.onset_quarters - start for sign in run[1:]])


def _spelled_run(run: list[Sign], beat: Fraction) -> list[Sign]:
    if len(run) == 1 and is_plain(run[0].duration_quarters):
        return _spelled_plain(run[0], beat)
    tuplet = _tuplet(run)
    start, end = run[0].onset_quarters, run[-1].end_quarters
    is_within_beat = start // beat == _last_beat(run, beat)
    beats = [n * beat for n in range(int(start // beat) + 1, -int(-end // beat))]
    if not is_within_beat and not _is_whole(tuplet, start, end, beats):
        pieces = [piece for sign in run for piece in _cut_at(sign, beats)]
        return [sign for part in _merged(_runs(pieces), beat) for sign in _spelled_run(part, beat)]
    if tuplet is None:
        return run
    signs = [piece for sign in run for piece in _spelled_in_tuplet(sign, tuplet)]
    signs[0] = replace(signs[0], tuplet_begins=True)
    signs[-1] = replace(signs[-1], tuplet_ends=True)
    return signs


def _is_whole(tuplet: Tuplet | None, start: Fraction, end: Fraction, beats: Iterable[Fraction]) -> bool:
    """Whether a tuplet over several beats stays whole: it is small, and no beat inside falls on one of its units."""
    if tuplet is None or tuplet.actual > _MOST_UNITS_OVER_BEATS or value_of(end - start) is None:
        return False
    return all(((one - start) * tuplet.actual / (end - start)).denominator != 1 for one in beats)


def _spelled_in_tuplet(sign: Sign, tuplet: Tuplet) -> Iterator[Sign]:
    """One sign of a tuplet, as tied ones where no single value lasts as many units."""
    rest = sign.duration_quarters * tuplet.ratio
    cuts, at = [], sign.onset_quarters
    while value_of(rest) is None:
        largest = LONGEST_VALUE
        while largest >= rest:
            largest /= 2
        at += largest / tuplet.ratio
        cuts.append(at)
        rest -= largest
    for piece in _cut_at(sign, cuts):
        yield replace(piece, value=value_of(piece.duration_quarters * tuplet.ratio), tuplet=tuplet)


def _spelled_plain(sign: Sign, beat: Fraction) -> list[Sign]:
    """A sign outside any tuplet, cut at the strongest moment inside it until each piece shows the beats."""
    value = value_of(sign.duration_quarters)
    if value is not None and _shows_beats(sign, value, beat):
        return [replace(sign, value=value)]
    grid = 4 * beat
    while grid >= SHORTEST_VALUE:
        cut = (sign.onset_quarters // grid + 1) * grid
        if cut < sign.end_quarters:
            return [piece for part in _cut_at(sign, [cut]) for piece in _spelled_plain(part, beat)]
        grid /= 2
    return [replace(sign, value=value)]


def _shows_beats(sign: Sign, value: NoteValue, beat: Fraction) -> bool:
    """Whether a reader sees the beats: a sign off its own grid, or over a beat from inside one, hides them."""
    start, end = sign.onset_quarters, sign.end_quarters
    crosses = start // beat + 1 < end / beat and (start / beat).denominator != 1
    on_half_beats = (2 * start / beat).denominator == 1 and (2 * end / beat).denominator == 1
    return start % (value.plain_quarters / 2) == 0 and (not crosses or on_half_beats)
