"""What is heard of a line: click, backing and the line itself, each on its own or mixed.

Conventions: every stem begins at the first sample of the count-in, so that stems laid on top of one another fit.
"""

from collections.abc import Iterable
from enum import Enum
from fractions import Fraction
from math import ceil

import numpy as np

from trainer.score.exercise import Exercise
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds.backing import Accompaniment, Backing, Part, backing_for
from trainer.sounds.band import bars_of
from trainer.sounds.click import render_click
from trainer.sounds.endless import Endless, Playable
from trainer.sounds.mix import Mix
from trainer.sounds.plucked import render_line
from trainer.sounds.samples import Samples, sample_of, samples_in
from trainer.theory.naming import UnknownWord
from trainer.theory.scale import key_named

_ENDING_NS = 400_000_000
"""What the backing rings on after the last bar of the line, fading."""


class Stem(Enum):
    """What can be heard on its own."""

    CLICK = "click"
    BACKING = "backing"
    LINE = "line"


def stems(
    line: Exercise, tempo: Tempo, mix: Mix, wanted: Iterable[Stem], *, count_in_bars: int = 0
) -> dict[Stem, Samples]:
    """The wanted stems of a line, which begins after the count-in."""
    rendered: dict[Stem, Samples] = {}
    for stem in wanted:
        match stem:
            case Stem.CLICK:
                click = render_click(
                    tempo,
                    line.meter,
                    count_in_bars=count_in_bars,
                    length_quarters=line.length_quarters,
                    way=mix.click,
                )
                rendered[stem] = _at_level(click, mix.levels.click)
            case Stem.LINE:
                starts_at_ns = tempo.ns(count_in_bars * line.meter.bar_quarters)
                rendered[stem] = _at_level(render_line(line, tempo, starts_at_ns), mix.levels.line)
            case Stem.BACKING:
                starts_quarters = count_in_bars * line.meter.bar_quarters
                music = backing_music(line, tempo, mix, starts_quarters)
                rendered[stem] = _ended(music, line.length_quarters, starts_quarters, tempo)
    return rendered


def backing_music(line: Exercise, tempo: Tempo, mix: Mix, starts_quarters: Fraction = Fraction(0)) -> Endless:
    """The backing of a line without end, from its first beat on."""
    backing, parts = backing_of_line(line, mix.accompaniment)
    bars = bars_of(backing, tempo, mix.levels, parts)
    return Endless(bars, backing.meter.bar_quarters, tempo, starts_quarters)


def backing_of_line(line: Exercise, wanted: Accompaniment) -> tuple[Backing, tuple[Part, ...]]:
    """The backing of a line and who plays in it: drums alone where the line names no key that is known."""
    try:
        return backing_for(key_named(line.key), line.meter, wanted), tuple(Part)
    except UnknownWord:
        return backing_for(key_named("C major"), line.meter, wanted), (Part.DRUMS,)


def demonstration(line: Exercise, tempo: Tempo, mix: Mix, wanted: Iterable[Stem], passes: int) -> Playable:
    """A line again and again, without a gap between its passes, and what goes with it.

    Each pass begins at its own exact time; click and backing go through all passes by bars, as in practice.
    """
    musics = []
    for stem in wanted:
        match stem:
            case Stem.LINE:
                musics.append(Endless((stems(line, tempo, mix, [stem])[stem],), line.length_quarters, tempo))
            case Stem.BACKING:
                musics.append(backing_music(line, tempo, mix))
            case Stem.CLICK:
                musics.append(click_music(line.meter, tempo, mix))
    return Playable(musics, sample_of(passes * line.length_quarters, tempo) + samples_in(_ENDING_NS))


def click_music(meter: Meter, tempo: Tempo, mix: Mix) -> Endless:
    """The click without end; two bars make its loop, for one that leaves out every other."""
    bars_quarters = 2 * meter.bar_quarters
    click = render_click(tempo, meter, count_in_bars=0, length_quarters=bars_quarters, way=mix.click)
    return Endless((_at_level(click, mix.levels.click),), bars_quarters, tempo)


def _at_level(samples: Samples, percent: int) -> Samples:
    return samples if percent == 100 else samples * np.float32(percent / 100)


def _ended(music: Endless, length_quarters: Fraction, starts_quarters: Fraction, tempo: Tempo) -> Samples:
    """Music as long as a line, and a little of what rings on; no bar begins at its end."""
    end, fading = sample_of(starts_quarters + length_quarters, tempo), samples_in(_ENDING_NS)
    samples = music.stretch(0, end + fading, ceil(length_quarters / music.bar_quarters))
    samples[end:] *= np.linspace(1.0, 0.0, fading, dtype=np.float32)
    return samples
