"""What a clean pass is: the one definition, by which working tempo, ladders, history, plan and progress count.

A pass from a run is judged by its figures (`cleanness`), one from the history by its counts (`spoiled_by`); the history
counts by the same limits in a query (`trainer.history.figures`), which a test holds against this.

A pass is clean when all of this holds:

- every written note was played as written: none missed, none wrong, none on another string;
- at most `techniques_otherwise` of the slides, hammer-ons and pull-offs were begun otherwise, and at most `extra` notes
  sounded that nobody wrote: shares of the line's notes, rounded up, so that one doubtful verdict of the ear (which errs
  in up to one note of a hundred) spoils no pass;
- at least `within_window` of the notes came within the hit window: `Tolerance.hit_ns`, never over half an interval;
- the spread of the deviations is at most `spread_of_window` of that window, so that the demand grows with the tempo.

The shares are of our own choice, no source. Only a whole pass is judged: one that was broken off is not counted.
"""

from dataclasses import dataclass
from math import ceil
from statistics import median

from trainer.following.assessment import NS_PER_MS, Assessment, hit_window_ns
from trainer.following.tolerance import Tolerance
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.theory.naming import counted


@dataclass(frozen=True, slots=True)
class CleanRule:
    """The limits; each includes its edge."""

    techniques_otherwise: float = 0.03
    extra: float = 0.03
    within_window: float = 0.9
    spread_of_window: float = 0.5

    def words(self, exercise: Exercise, tempo: Tempo, tolerance: Tolerance) -> str:
        """The definition with this line's figures, as a sentence."""
        notes, window_ms = len(exercise.notes), window_of(exercise, tempo, tolerance)
        few = _few(self.extra, notes)
        at, within = f"{float(tempo.quarters_per_minute):g}", f"{self.within_window:.0%} of the notes"
        return (
            f"Clean at ♩ = {at}: no note missed or wrong, at most {counted(few, 'note')} that nobody wrote and {few} "
            f"not begun as written, {within} within {window_ms:.0f} ms of the click, "
            f"spread at most {self.spread_of_window * window_ms:.0f} ms."
        )


@dataclass(frozen=True, slots=True)
class Cleanness:
    """Whether a pass was clean, and what spoiled it if not."""

    is_clean: bool
    reasons: tuple[str, ...] = ()

    def words(self) -> str:
        """For the player."""
        return "clean" if self.is_clean else f"not clean: {', '.join(self.reasons)}"


@dataclass(frozen=True, slots=True)
class PassCounts:
    """What of one whole pass decides whether it was clean."""

    notes: int
    """Written ones, all of which were reached."""
    missed: int
    wrong_pitch: int
    wrong_string: int
    otherwise: int
    """Matched, but not begun as written."""
    extra: int
    """Heard and charged, though nobody wrote them."""
    within_window: int
    spread_ms: float | None
    window_ms: float
    """The hit window of most of the notes."""


def window_of(exercise: Exercise, tempo: Tempo, tolerance: Tolerance) -> float:
    """The hit window of most of a line's notes at a tempo, in ms: the median."""
    due_ns = [tempo.ns(note.onset_quarters) for note in exercise.notes]
    return median(hit_window_ns(due_ns, index, tolerance) for index in range(len(due_ns))) / NS_PER_MS


def cleanness(
    exercise: Exercise, figures: Assessment, tempo: Tempo, tolerance: Tolerance, rule: CleanRule | None = None
) -> Cleanness | None:
    """Whether one whole pass with the click was clean; None when it was broken off."""
    counts = PassCounts(
        notes=len(exercise.notes),
        missed=figures.missed,
        wrong_pitch=figures.wrong_pitch,
        wrong_string=figures.wrong_string,
        otherwise=sum(count.otherwise for count in figures.techniques),
        extra=figures.extra,
        within_window=figures.within_window,
        spread_ms=figures.spread_ms,
        window_ms=window_of(exercise, tempo, tolerance),
    )
    if figures.matched + figures.wrong_pitch + figures.wrong_string + figures.missed < counts.notes:
        return None
    return spoiled_by(counts, rule)


def spoiled_by(counts: PassCounts, rule: CleanRule | None = None) -> Cleanness:
    """Whether a whole pass with these counts was clean."""
    rule = rule or CleanRule()
    widest_ms = rule.spread_of_window * counts.window_ms
    least_within = ceil(rule.within_window * counts.notes)
    within = f"{counts.within_window} of {counts.notes}"
    spoiled = (
        (counts.missed > 0, f"{counts.missed} missed"),
        (counts.wrong_pitch > 0, f"{counts.wrong_pitch} wrong"),
        (counts.wrong_string > 0, f"{counts.wrong_string} on another string"),
        (counts.otherwise > _few(rule.techniques_otherwise, counts.notes), f"{counts.otherwise} not begun as written"),
        (counts.extra > _few(rule.extra, counts.notes), f"{counted(counts.extra, 'note')} that nobody wrote"),
        (
            counts.within_window < least_within,
            f"{within} notes within {counts.window_ms:.0f} ms, {least_within} are needed",
        ),
        (
            counts.spread_ms is not None and counts.spread_ms > widest_ms,
            f"spread {counts.spread_ms or 0:.0f} ms, over {widest_ms:.0f}",
        ),
    )
    reasons = tuple(words for is_so, words in spoiled if is_so)
    return Cleanness(not reasons, reasons)


def notes_a_second(exercise: Exercise, qpm: float) -> float:
    """How fast the line goes at a tempo: onsets a second from the first to the last, chords counted once.

    It makes lines of different note values comparable. 0 for a line of a single onset.
    """
    onsets = sorted({note.onset_quarters for note in exercise.notes})
    length_quarters = onsets[-1] - onsets[0]
    return float((len(onsets) - 1) / length_quarters) * qpm / 60 if length_quarters else 0.0


def _few(share: float, notes: int) -> int:
    return ceil(share * notes)
