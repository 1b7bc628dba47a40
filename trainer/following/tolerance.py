"""The limits of judging, in one frozen value that is stored with every take."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Limits include their edge."""

    hit_ns: int = 50_000_000
    """50 ms: the note-onset tolerance of MIREX and of mir_eval.transcription."""
    hit_share_of_interval: float = 0.5
    """The hit window never exceeds this share of the interval to the neighbouring written note."""
    shown_ns: int = 6_000_000
    """6 ms: the smallest displacement heard in a sequence with intervals under 240 ms (Friberg & Sundberg 1995)."""
    shown_share_of_interval: float = 0.025
    """2.5 % of the interval above that (same source)."""
    revise_ns: int = 350_000_000
    """A verdict is settled at the latest this long after its note, or after `revise_notes` later notes."""
    revise_notes: int = 4
