"""Where beams break, against music21 (default beaming of its `TimeSignature`), for meters on which it takes a side.

Eighths over two beats of 4/8 or a whole 8/8 and 11/8 are left undivided there, so those are not asked.
"""

from fractions import Fraction

import pytest
from music21.meter import TimeSignature

from trainer.score.groups import beam_spans
from trainer.score.meter import Meter

METERS = ["2/4", "3/4", "4/4", "2/2", "3/2", "2/8", "3/8", "5/8", "6/8", "7/8", "9/8", "12/8", "6/16", "7/16"]


@pytest.mark.parametrize("signature", METERS)
def test_beams_break_where_music21_breaks_them(signature: str) -> None:
    beats, unit = map(int, signature.split("/"))
    theirs = [Fraction(part.duration.quarterLength) for part in TimeSignature(signature).beamSequence]

    assert list(beam_spans(Meter(beats, unit))) == theirs
