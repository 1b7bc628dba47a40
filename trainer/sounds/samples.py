"""Buffers of sound: one channel, 48,000 samples a second, floats where 1.0 is full scale until they leave as int16.

Places in a buffer come from exact score time, each on its own, so that no error adds up over a long run.
"""

from fractions import Fraction
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from trainer.score.tempo import Tempo

RATE = 48_000
FULL_SCALE = 32_767

Samples: TypeAlias = npt.NDArray[np.float32]
Pcm: TypeAlias = npt.NDArray[np.int16]


def samples_in(span_ns: int) -> int:
    """The number of samples in a span, to the nearest one."""
    return (span_ns * RATE + 500_000_000) // 1_000_000_000


def sample_of(quarters: Fraction, tempo: Tempo) -> int:
    """The sample at which `quarters` falls, when quarter 0 is sample 0."""
    return samples_in(tempo.ns(quarters))


def mixed(*parts: Samples) -> Pcm:
    """The parts on top of one another as int16, as long as the longest; turned down as a whole if it would clip."""
    length = max((len(part) for part in parts), default=0)
    total = np.zeros(length, dtype=np.float32)
    for part in parts:
        total[: len(part)] += part
    peak = float(max(total.max(initial=0.0), -total.min(initial=0.0)))
    total *= FULL_SCALE / max(1.0, peak)
    np.rint(total, out=total)
    return total.astype(np.int16)
