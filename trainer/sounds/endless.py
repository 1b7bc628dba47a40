"""Bars that follow one another without end, read in stretches of samples.

Bar n begins at `round(n * exact length)`; what a bar rings on lies under the next ones. After two hours a bar is still
within half a sample (0.01 ms) of its exact time.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import inf
from typing import TypeAlias

import numpy as np

from trainer.score.tempo import Tempo
from trainer.sounds.samples import FULL_SCALE, RATE, Pcm, Samples, sample_of

_PIECE = 10 * RATE


class Endless:
    """`bars` in turn, each with all that rings on after it; the first begins `starts_quarters` after sample 0."""

    def __init__(
        self,
        bars: tuple[Samples, ...],
        bar_quarters: Fraction,
        tempo: Tempo,
        starts_quarters: Fraction = Fraction(0),
    ) -> None:
        if not bars:
            raise ValueError("no bars")
        self._bars = bars
        self.bar_quarters = bar_quarters
        self._tempo = tempo
        self._starts_quarters = starts_quarters
        self._longest = max(len(bar) for bar in bars)

    def place_of(self, bar: int) -> int:
        """The sample at which a bar begins."""
        return sample_of(self._starts_quarters + bar * self.bar_quarters, self._tempo)

    def stretch(self, first: int, end: int, bars: int | None = None) -> Samples:
        """The samples `first` up to `end`, which is not included; with `bars`, no more than so many bars begin."""
        limit = inf if bars is None else bars
        total = np.zeros(max(0, end - first), dtype=np.float32)
        number = self._first_heard_at(first)
        while number < limit and (place := self.place_of(number)) < end:
            samples = self._bars[number % len(self._bars)]
            from_here, to_here = max(first, place), min(end, place + len(samples))
            if from_here < to_here:
                total[from_here - first : to_here - first] += samples[from_here - place : to_here - place]
            number += 1
        return total

    def _first_heard_at(self, place: int) -> int:
        """A bar that begins so early that none before it still rings at `place`."""
        quarters = self._tempo.quarters((place - self._longest) * 1_000_000_000 // RATE) - self._starts_quarters
        return max(0, quarters // self.bar_quarters - 1)

    def seamless(self) -> Samples:
        """One loop that can be played again and again: what rings on from its end lies under its beginning."""
        start = self.place_of(0)
        length = self.place_of(len(self._bars)) - start
        loop = np.zeros(length, dtype=np.float32)
        for number, samples in enumerate(self._bars):
            place = self.place_of(number) - start
            done = 0
            while done < len(samples):
                at = (place + done) % length
                count = min(length - at, len(samples) - done)
                loop[at : at + count] += samples[done : done + count]
                done += count
        return loop


class Playable:
    """Endless musics together as a card takes them: `length` samples, whose stretches are made when they are asked for.

    They are turned down as a whole so that no stretch clips.
    """

    def __init__(self, musics: Sequence[Endless], length: int) -> None:
        self._musics = tuple(musics)
        self._length = length
        highest = sum(float(np.abs(music.seamless()).max(initial=0.0)) for music in musics)
        self._gain = np.float32(FULL_SCALE / max(1.0, highest))

    def __len__(self) -> int:
        return self._length

    def __getitem__(self, where: slice) -> Pcm:
        first, end, step = where.indices(self._length)
        if step != 1:
            raise ValueError("a stretch without gaps is expected")
        samples = np.zeros(max(0, end - first), dtype=np.float32)
        for music in self._musics:
            samples += music.stretch(first, end)
        np.rint(self._gain * samples, out=samples)
        return samples.clip(-FULL_SCALE, FULL_SCALE).astype(np.int16)

    def whole(self) -> Pcm:
        """All of it, made piece by piece."""
        samples = np.empty(self._length, dtype=np.int16)
        for first in range(0, self._length, _PIECE):
            samples[first : first + _PIECE] = self[first : first + _PIECE]
        return samples


Buffer: TypeAlias = Pcm | Playable
"""What a card plays."""
