"""A phrase written down: notes that were heard become a line on the grid that explains them best.

Notes of different strings that begin together, as in a strum, share one onset. The line begins on the bar of its first
note. A note lasts until the next onset unless it clearly stopped before. Where offbeats lie late and even, they are
swing: written as the last third of the beat, and said to be so. Technique, string and fret are those that were heard;
where the device does not tell strings, they are chosen by least hand movement.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from statistics import fmean, pstdev

from trainer.capture.beat_hints import beat_hint
from trainer.capture.key_guess import KeyGuess, guessed_key, guessed_positions, sureness
from trainer.capture.listening import PhraseNote
from trainer.score.beat import KnownBeat, UnknownBeat
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.grid import GridFit, fit_grid
from trainer.score.limits import LAST_FRET
from trainer.score.meter import Meter
from trainer.score.placing import place_line
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.naming import counted, folded
from trainer.theory.technique import Technique
from trainer.theory.tuning import Tuning

NS_PER_MS = 1_000_000
MOST_PHRASE_NOTES = 5000
"""Ten minutes at eight notes a second: more is a concert."""
SDS_MS = (6.0, 12.0, 24.0)
"""Timing of practised to unpractised players, one of which is chosen; 10-20 ms is published (Repp 2005)."""
STRUM_GAP_NS, STRUM_NS = 25_000_000, 70_000_000
"""Notes this near are one stroke: no line is played at 40 notes a second."""
_BIAS_MS = 20.0
"""How far a player's beat may lie from the click."""
_USUAL_BEAT_MS = 600.0
_SHORTEST_BEAT_MS, _LONGEST_BEAT_MS = 270.0, 1500.0
_NEAR_TEMPO = 0.06
"""A tempo that the player names is right to within this share (standard deviation)."""
WORTH_SAYING_NATS = 10.0
"""So much dearer a reading of the beat may be and still be offered."""
_SLURRED_LOUDNESS = 0.7
"""Hammered and pulled notes are softer than picked ones (common practice; the share is ours, no source)."""
_HELD = 0.6
"""A note that sounds for this share of the way to the next is written as long as the way."""
_SURE_ENOUGH = 0.6
"""From this probability of a key's notes on, the line is said to be in it; its root may be less sure."""
_LATE_OFFBEAT, _LATEST_OFFBEAT = 0.56, 0.73
_SWING_SHARE, _SWING_SD_MS, _LEAST_OFFBEATS = 0.7, 30.0, 4


class CaptureError(ValueError):
    """Why nothing can be written down, in one sentence for the user."""


Writing = Callable[[], Exercise | str | None]
"""A phrase that is being written down: its line, or why there is none; None while that is not known yet."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is known of a phrase before it is written down."""

    tuning: Tuning
    meter: Meter = field(default_factory=Meter)
    tempo: Tempo | None = None
    """The click's, or about the player's own; None: it is found."""
    starts_at_ns: int | None = None
    """When the click's first beat after the count-in was due; None: played freely."""
    name: str = "captured"
    title: str = ""
    reading: int = 1
    """Which of the beats that the playing can be read by, counted from 1, the likeliest."""


@dataclass(frozen=True, slots=True)
class Captured:
    """A phrase as a line, with what it rests on."""

    exercise: Exercise
    grid: GridFit
    """Times in ms."""
    key: KeyGuess
    swing: float | None
    """Where the offbeats lie in the beat, when they are swung."""
    remarks: tuple[str, ...]
    """What was chosen, how sure it is, and what could not be written."""


def captured(notes: Sequence[PhraseNote], asked: Asked) -> Captured:
    """The line that `notes`, in the order of their onsets, make; `CaptureError` when they make none."""
    playable = [note for note in notes if _is_on_neck(note, asked.tuning)]
    if not playable:
        raise CaptureError("no note was heard")
    if len(playable) > MOST_PHRASE_NOTES:
        raise CaptureError(f"{len(playable)} notes: expected a phrase of at most {MOST_PHRASE_NOTES}")
    chords = _chords(playable)
    beat_quarters = _beat_quarters(asked.meter)
    grid = _grid(chords, asked, beat_quarters)
    swing = _swing(grid)
    places = _swung(grid) if swing is not None else grid.places
    score_notes = _written(chords, places, grid, asked)
    key = guessed_key([note.pitch for note in score_notes])
    score_notes = _with_positions(score_notes, key, asked.tuning)
    end = max(note.onset_quarters + note.duration_quarters for note in score_notes)
    bar = asked.meter.bar_quarters
    exercise = Exercise(
        name=folded(asked.name),
        title=asked.title or asked.name,
        tuning=asked.tuning,
        tempo=_tempo(asked, grid, beat_quarters),
        notes=score_notes,
        meter=asked.meter,
        length_quarters=-(-end // bar) * bar,
        key=key.key.name if key.notes_probability >= _SURE_ENOUGH else "",
        about="Written down from what was played.",
        last_fret=LAST_FRET,
        tags=("captured",),
    )
    remarks = (
        *_grid_in_words(grid, swing, asked, beat_quarters),
        f"Key: {key.in_words}.",
        _positions_in_words(exercise),
        *_left_out(notes, playable),
    )
    return Captured(exercise, grid, key, swing, remarks)


def _is_on_neck(note: PhraseNote, tuning: Tuning) -> bool:
    if note.course is None:
        return bool(tuning.locations_of(note.pitch, LAST_FRET))
    fret = tuning.fret_of(note.course, note.pitch)
    return fret is not None and fret <= LAST_FRET


def _chords(notes: Sequence[PhraseNote]) -> list[list[PhraseNote]]:
    """The notes in groups that begin together."""
    chords: list[list[PhraseNote]] = []
    for note in notes:
        chord = chords[-1] if chords else []
        is_together = (
            bool(chord)
            and note.onset_ns - chord[-1].onset_ns <= STRUM_GAP_NS
            and note.onset_ns - chord[0].onset_ns <= STRUM_NS
            and all(_are_apart(note, other) for other in chord)
        )
        if is_together:
            chord.append(note)
        elif not chord or note.onset_ns > chord[-1].onset_ns:
            chords.append([note])
    return chords


def _are_apart(note: PhraseNote, other: PhraseNote) -> bool:
    return note.pitch != other.pitch if note.course is None else note.course != other.course


def _beat_quarters(meter: Meter) -> Fraction:
    """The beat that is felt: three units in compound meters such as 6/8, else the written one."""
    is_compound = meter.beat_unit >= 8 and meter.beats % 3 == 0
    return meter.beat_quarters * 3 if is_compound else meter.beat_quarters


def _beat(asked: Asked, beat_quarters: Fraction) -> KnownBeat | UnknownBeat:
    if asked.tempo is None:
        return UnknownBeat(_USUAL_BEAT_MS, _SHORTEST_BEAT_MS, _LONGEST_BEAT_MS)
    length_ms = asked.tempo.ns(beat_quarters) / NS_PER_MS
    if asked.starts_at_ns is None:
        return UnknownBeat(length_ms, length_ms / 1.3, length_ms * 1.3, _NEAR_TEMPO)
    return KnownBeat(length_ms, asked.starts_at_ns / NS_PER_MS, _BIAS_MS)


def _grid(chords: Sequence[Sequence[PhraseNote]], asked: Asked, beat_quarters: Fraction) -> GridFit:
    times_ms = [fmean(note.onset_ns for note in chord) / NS_PER_MS for chord in chords]
    loudest = [max(_loudness(note) for note in chord) for chord in chords]
    highest = [max(note.pitch for note in chord) for chord in chords]
    try:
        return fit_grid(times_ms, _beat(asked, beat_quarters), SDS_MS, beat_hint(loudest, highest), asked.reading)
    except ValueError as error:
        raise CaptureError(str(error)) from error


def _loudness(note: PhraseNote) -> float:
    """A slurred note may have no velocity of its own, only its pick's: it is taken to be as much softer as usual."""
    return note.velocity if note.technique is Technique.PICK else _SLURRED_LOUDNESS * note.velocity


def _tempo(asked: Asked, grid: GridFit, beat_quarters: Fraction) -> Tempo:
    if asked.tempo is not None and asked.starts_at_ns is not None:
        return asked.tempo
    found = Fraction(round(60_000 / grid.beat * float(beat_quarters)))
    return Tempo(min(max(found, Fraction(10)), Fraction(400)))


def _phases(grid: GridFit) -> Iterator[float]:
    """Where in its beat, as the player takes it, each onset lies that is not on the beat nor beside another offbeat."""
    on_beat = [off for place, off in zip(grid.places, grid.deviations, strict=True) if not place % 1]
    bias = fmean(on_beat) if on_beat else 0.0
    beats = [place // 1 for place in grid.places]
    counts = Counter(beat for beat, place in zip(beats, grid.places, strict=True) if place % 1)
    for place, beat, off, length in zip(grid.places, beats, grid.deviations, grid.beats, strict=True):
        if place % 1 and counts[beat] == 1:
            yield float(place % 1) + (off - bias) / length


def _swing(grid: GridFit) -> float | None:
    """Where the offbeats lie, when nearly all lie late, together, and alone in their beats."""
    offbeats = sum(1 for place in grid.places if place % 1)
    phases = [phase for phase in _phases(grid) if _LATE_OFFBEAT - 0.08 <= phase <= _LATEST_OFFBEAT + 0.08]
    if len(phases) < max(_LEAST_OFFBEATS, _SWING_SHARE * offbeats):
        return None
    mean = fmean(phases)
    is_even = pstdev(phases) * grid.beat <= _SWING_SD_MS
    return mean if is_even and _LATE_OFFBEAT <= mean <= _LATEST_OFFBEAT else None


def _swung(grid: GridFit) -> tuple[Fraction, ...]:
    """The places with each lone late offbeat on the last third of its beat."""
    counts = Counter(place // 1 for place in grid.places if place % 1)
    return tuple(
        place // 1 + Fraction(2, 3)
        if place % 1 and counts[place // 1] == 1 and Fraction(2, 5) <= place % 1 <= Fraction(4, 5)
        else place
        for place in grid.places
    )


def _written(
    chords: Sequence[Sequence[PhraseNote]], places: Sequence[Fraction], grid: GridFit, asked: Asked
) -> tuple[ScoreNote, ...]:
    beat_quarters, bar = _beat_quarters(asked.meter), asked.meter.bar_quarters
    onsets = [place * beat_quarters for place in places]
    first_bar = onsets[0] // bar * bar
    shapes = _shapes(chords, asked.tuning)
    gaps = [after - before for before, after in pairwise(onsets)]
    notes = []
    for at, (chord, shape) in enumerate(zip(chords, shapes, strict=True)):
        for note, location in sorted(zip(chord, shape, strict=True), key=lambda each: -each[1].course):
            sounded = (note.offset_ns - note.onset_ns) / NS_PER_MS / grid.beats[at] * float(beat_quarters)
            notes.append(
                ScoreNote(
                    onset_quarters=onsets[at] - first_bar,
                    duration_quarters=_length(sounded, gaps[at] if at < len(gaps) else None, beat_quarters),
                    location=location,
                    pitch=note.pitch,
                    technique=note.technique,
                    slide_from=_slid_from(note, location, asked.tuning),
                )
            )
    return tuple(notes)


def _shapes(chords: Sequence[Sequence[PhraseNote]], tuning: Tuning) -> list[tuple[Location, ...]]:
    if any(note.course is None for chord in chords for note in chord):
        try:
            return list(place_line([[note.pitch for note in chord] for chord in chords], tuning, LAST_FRET))
        except ValueError as error:
            raise CaptureError(f"what was played has no place on one neck: {error}") from error
    return [
        tuple(
            Location(note.course, note.pitch - tuning.open_pitches[note.course - 1])
            for note in chord
            if note.course is not None
        )
        for chord in chords
    ]


def _slid_from(note: PhraseNote, location: Location, tuning: Tuning) -> Location | None:
    if note.slid_from is None or note.technique is not Technique.SLIDE:
        return None
    fret = tuning.fret_of(location.course, note.slid_from)
    return Location(location.course, fret) if fret is not None and fret <= LAST_FRET else None


def _length(sounded_quarters: float, gap: Fraction | None, beat_quarters: Fraction) -> Fraction:
    """How long a note is written that sounded so long, with the next onset after `gap` (None: it is the last)."""
    eighth = beat_quarters / 2
    if gap is not None and (sounded_quarters >= _HELD * gap or gap <= eighth):
        return gap
    heard = max(round(sounded_quarters / float(eighth)), 1) * eighth
    return min(heard, 4 * beat_quarters) if gap is None else min(heard, gap)


def _with_positions(notes: tuple[ScoreNote, ...], key: KeyGuess, tuning: Tuning) -> tuple[ScoreNote, ...]:
    if key.notes_probability < _SURE_ENOUGH:
        return notes
    numbers = guessed_positions([note.location for note in notes], key.key, tuning, LAST_FRET)
    return tuple(replace(note, position=number) for note, number in zip(notes, numbers, strict=True))


def _positions_in_words(exercise: Exercise) -> str:
    placed = sum(note.position is not None for note in exercise.notes)
    if not placed:
        frets = [note.fret for note in exercise.notes if note.fret]
        where = f"frets {min(frets)} to {max(frets)}" if frets else "open strings"
        return f"Position: not guessed, as the key is not sure enough; {where}."
    share = placed / len(exercise.notes)
    route = " ".join(str(number) for number in exercise.route)
    return f"Positions: {route} ({sureness(share)}: they hold {placed} of {len(exercise.notes)} notes)."


def _grid_in_words(grid: GridFit, swing: float | None, asked: Asked, beat_quarters: Fraction) -> Iterator[str]:
    tempo = 60_000 / grid.beat * float(beat_quarters)
    if asked.starts_at_ns is None:
        yield f"Tempo: {tempo:.1f} quarters a minute{_wandering(grid, beat_quarters)}."
        yield from _other_readings(grid, beat_quarters)
    yield f"Grid: {_figures_in_words(grid, swing)}."
    late = max(range(len(grid.deviations)), key=lambda at: abs(grid.deviations[at]))
    off, bias = grid.deviations[late], fmean(grid.deviations)
    furthest = f"the furthest, onset {late + 1}, {abs(off):.0f} ms {'late' if off > 0 else 'early'}"
    around = f", {abs(bias):.0f} ms {'late' if bias > 0 else 'early'} on average" if abs(bias) >= 1 else ""
    yield f"Error: onsets lie {grid.spread:.0f} ms from the grid (root mean square){around}; {furthest}."


def _other_readings(grid: GridFit, beat_quarters: Fraction) -> Iterator[str]:
    """The beats that the phrase could also be read by."""
    for number, reading in enumerate(grid.readings, start=1):
        if number != grid.reading and reading.worse_nats <= WORTH_SAYING_NATS:
            other = 60_000 / reading.beat * float(beat_quarters)
            how = f"{other:.0f} quarters a minute with {reading.a_beat} a beat"
            yield f"It could also be {how}: `--reading {number}` writes that."


def _wandering(grid: GridFit, beat_quarters: Fraction) -> str:
    slowest, fastest = (60_000 / length * float(beat_quarters) for length in (max(grid.beats), min(grid.beats)))
    return f" (going from {slowest:.0f} to {fastest:.0f})" if fastest > 1.05 * slowest else ""


def _figures_in_words(grid: GridFit, swing: float | None) -> str:
    """How the beats are divided, e.g. `4 a beat throughout`."""
    if swing is not None:
        return f"swung eighths, the offbeats at {swing:.2f} of the beat, written as the last third"
    figures = [figure for figure in grid.figures if figure]
    counts = Counter(figures)
    if len(counts) == 1:
        return f"{figures[0]} a beat throughout"
    by_turns = all(one == other for one, other in zip(figures, figures[2:], strict=False))
    if by_turns and len(figures) > 3:
        return f"{figures[0]} then {figures[1]} a beat, by turns"
    usual, times = counts.most_common(1)[0]
    others = ", ".join(f"{figure} in {times}" for figure, times in sorted(counts.items()) if figure != usual)
    return f"{usual} a beat in {times} of {counted(len(figures), 'beat')}, {others}"


def _left_out(notes: Sequence[PhraseNote], playable: Sequence[PhraseNote]) -> Iterator[str]:
    if len(playable) < len(notes):
        yield f"{counted(len(notes) - len(playable), 'note')} off the neck in this tuning left out."
    unsure = sum(not note.is_technique_sure for note in playable)
    if unsure:
        yield f"How {counted(unsure, 'note')} began could not be told from the stream; the likeliest was written."
    bent = sum(note.bend_cents != 0 for note in playable)
    if bent:
        yield f"{counted(bent, 'note')} bent while sounding: a line holds no bends, the fret stands alone."
    if any(note.course is None for note in playable):
        yield "The device does not tell strings; they were chosen by least hand movement."
