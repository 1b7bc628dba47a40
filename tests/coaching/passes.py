"""A whole pass over a line, every note as written."""

from trainer.following.assessment import Assessment
from trainer.score.library import load_exercise

LINE = load_exercise("two-gates-slid")
NOTES = len(LINE.notes)
AS_WRITTEN = Assessment(
    matched=NOTES,
    wrong_pitch=0,
    wrong_string=0,
    missed=0,
    extra=0,
    uncharged=5,
    within_window=NOTES,
    bias_ms=0.0,
    spread_ms=10.0,
    evenness_ms=10.0,
    transitions=(),
    techniques=(),
    passes=(),
)
