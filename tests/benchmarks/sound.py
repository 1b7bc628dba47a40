"""What the sound costs and where it lies: `python -m tests.benchmarks.sound`; prints, asserts nothing.

Costs are process time of this machine, each rendered with nothing kept from before.
"""

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import numpy as np

from trainer.devices.sound import SilentSound
from trainer.devices.sound_desk import SoundDesk
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds import band, plucked, tones
from trainer.sounds.backing import Accompaniment, Backing, Levels, Part, backing_for
from trainer.sounds.band import bars_of
from trainer.sounds.click import render_click
from trainer.sounds.endless import Endless, Playable
from trainer.sounds.feels import FEELS
from trainer.sounds.samples import RATE
from trainer.theory.scale import key_named

TEMPI = (30, 60, 90, 120, 180, 300)
KEYS = ("E minor", "A minor", "Eb major", "F# dorian")
BLOCK = 256
TWO_HOURS_NS = 7_200_000_000_000


def main() -> None:
    """Print all of it."""
    rendering()
    takes()
    blocks()
    drift()


def rendering() -> None:
    """Four bars of every feel, from nothing."""
    say(f"four bars, ms: {'feel':20} " + " ".join(f"{qpm:>6}" for qpm in TEMPI) + "   peak  steepest")
    for name in FEELS:
        costs, peaks, steepest = [], [], []
        for qpm in TEMPI:
            for key in KEYS:
                forget()
                tempo, backing = Tempo(Fraction(qpm)), backing_of(name, key)
                cost_ms, bars = timed(lambda backing=backing, tempo=tempo: bars_of(backing, tempo, Levels()))
                loop = Endless(bars, backing.meter.bar_quarters, tempo).seamless()
                costs.append(cost_ms)
                peaks.append(float(np.abs(loop).max()))
                tonal = bars_of(backing, tempo, Levels(), (Part.BASS, Part.CHORDS))
                whole = Endless(tonal, backing.meter.bar_quarters, tempo).seamless()
                steepest.append(float(np.abs(np.diff(np.append(whole, whole[0]))).max()))
        worst = [max(costs[place * len(KEYS) : (place + 1) * len(KEYS)]) for place in range(len(TEMPI))]
        row = " ".join(f"{cost:6.0f}" for cost in worst)
        say(f"{'':15}{name:20} {row}  {max(peaks):5.2f}  {max(steepest):.3f}")


def takes() -> None:
    """The whole buffer of a take, rendered before its count-in."""
    exercise = replace(load_exercise("quarry-steps"), key="B minor pentatonic")
    desk = SoundDesk(SilentSound("benchmark"))
    for passes in (4, 16, 32):
        plan = RunPlan(exercise, exercise.tempo, passes=passes)
        for words, plan_of in (("click", plan), ("with backing", replace(plan, with_backing=True))):
            forget()
            cost_ms, buffer = timed(lambda plan_of=plan_of: desk.rendered(plan_of))
            say(f"a take of {passes} passes, {len(buffer) / RATE:.0f} s, {words}: {cost_ms:.0f} ms")


def blocks() -> None:
    """Blocks of music that is made while it plays, late into it."""
    tempo, backing = Tempo(Fraction(97)), backing_of("shuffle", "A minor")
    music = Playable([Endless(bars_of(backing, tempo, Levels()), backing.meter.bar_quarters, tempo)], 7_200 * RATE)
    costs = []
    for first in range(7_000 * RATE, 7_020 * RATE, BLOCK):
        cost_ms, _ = timed(lambda first=first: music[first : first + BLOCK])
        costs.append(cost_ms)
    share = sum(costs) / len(costs) / (BLOCK / RATE * 1_000)
    p50_ms, p99_ms = np.percentile(costs, (50, 99))
    say(f"a block of {BLOCK} samples: p50 {p50_ms:.3f}, p99 {p99_ms:.3f} ms; ", end="")
    say(f"{100 * share:.1f} % of a core")


def drift() -> None:
    """How far bars and clicks lie from their exact places after two hours."""
    worst_ms = 0.0
    for qpm in (Fraction(30), Fraction(97), Fraction(131), Fraction(187, 2), Fraction(300)):
        tempo = Tempo(qpm)
        music = Endless((np.zeros(1, np.float32),), Fraction(4), tempo)
        last = int(tempo.quarters(TWO_HOURS_NS) // 4)
        for bar in range(last - 200, last + 1):
            exact = Fraction(bar * 4 * 60 * RATE) / qpm
            worst_ms = max(worst_ms, abs(float(music.place_of(bar) - exact)) * 1_000 / RATE)
    say(f"bars after two hours: at most {worst_ms:.4f} ms from their exact places")
    tempo = Tempo(Fraction(131))
    click = render_click(tempo, Meter(), count_in_bars=0, length_quarters=Fraction(4_000))
    music = Endless((np.ones(1, np.float32),), Fraction(4), tempo)
    off = sum(abs(float(click[music.place_of(bar)]) - 0.32) > 0.002 for bar in range(1_000))
    say(f"bars of a backing that do not begin at the sample of their click, of 1,000: {off}")


def backing_of(feel: str, key: str) -> Backing:
    """Four chords in four bars."""
    return backing_for(key_named(key), FEELS[feel].meter, Accompaniment(feel, "I VII VI V"))


def forget() -> None:
    """Nothing is kept from before."""
    band._part.cache_clear()
    tones._tone.cache_clear()
    plucked._tone.cache_clear()


def say(words: str, end: str = "\n") -> None:
    """Write it at once."""
    sys.stdout.write(words + end)
    sys.stdout.flush()


def timed(do: Callable[[], object]) -> tuple[float, object]:
    """(process time in ms, what came of it)."""
    before = time.process_time()
    result = do()
    return (time.process_time() - before) * 1_000, result


if __name__ == "__main__":
    main()
