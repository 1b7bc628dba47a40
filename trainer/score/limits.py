"""What is still an exercise: limits for files that come from elsewhere."""

from fractions import Fraction

LAST_FRET = 24
"""The last fret of the longest neck that is common."""

MOST_NOTES = 20_000
LONGEST_QUARTERS = 20_000
"""Over an hour at any tempo that is practised: a longer file is a slip or an attack."""

DEFAULT_QUARTERS_PER_MINUTE = Fraction(120)
"""The tempo of a file that gives none: what Standard MIDI Files 1.0 prescribes, and commonly taken for MusicXML."""
