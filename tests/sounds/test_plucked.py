from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from tests.devices.lines import line
from trainer.sounds.click import render_click
from trainer.sounds.plucked import plucked_tone, render_line
from trainer.sounds.samples import RATE, Samples, mixed


def energy(samples: Samples) -> float:
    return float(np.square(samples, dtype=np.float64).sum())


def brightness_hz(samples: Samples) -> float:
    """The centre of gravity of the spectrum."""
    spectrum = np.abs(np.fft.rfft(samples))
    return float((spectrum * np.fft.rfftfreq(len(samples), 1 / RATE)).sum() / spectrum.sum())


def test_nothing_sounds_before_the_first_note_and_each_begins_at_its_sample() -> None:
    exercise = line("6/0 1/0", qpm=60, notes_a_quarter=1)

    buffer = render_line(exercise, exercise.tempo, 2_000_000_000)

    assert not buffer[: 2 * RATE].any()
    assert energy(buffer[2 * RATE : 2 * RATE + 100]) > 0
    before, after = buffer[3 * RATE - 100 : 3 * RATE], buffer[3 * RATE : 3 * RATE + 100]
    assert energy(after) > 4 * energy(before)


def test_a_note_stops_when_it_ends() -> None:
    exercise = line("6/0", qpm=60, notes_a_quarter=1)

    buffer = render_line(exercise, exercise.tempo, 0)

    assert len(buffer) == RATE + RATE * 25 // 1000
    assert abs(float(buffer[-1])) < 1e-6


def test_a_slurred_note_is_softer_and_duller_than_a_picked_one() -> None:
    picked, hammered = line("1/5"), line("1/5h")

    loud = render_line(picked, picked.tempo, 0)
    soft = render_line(hammered, hammered.tempo, 0)

    assert float(np.abs(soft).max()) == pytest.approx(0.6 * float(np.abs(loud).max()), rel=1e-3)
    assert brightness_hz(soft) < 0.9 * brightness_hz(loud)


def test_an_accent_is_louder() -> None:
    plain = line("1/5")
    accented = replace(plain, notes=(replace(plain.notes[0], accent=True),))

    loud, usual = (float(np.abs(render_line(e, e.tempo, 0)).max()) for e in (accented, plain))

    assert loud == pytest.approx(1.35 * usual, rel=1e-3)


def test_high_notes_die_sooner_than_low_ones() -> None:
    def left_after_half_a_second(pitch: int) -> float:
        tone = plucked_tone(pitch, RATE)
        return float(np.abs(tone[RATE // 2 : RATE // 2 + 2000]).max())

    left = [left_after_half_a_second(pitch) for pitch in (40, 52, 64, 76, 88)]

    assert left == sorted(left, reverse=True)
    assert left[0] > 10 * left[-1]


def test_a_longer_tone_begins_like_a_shorter_one() -> None:
    assert np.array_equal(plucked_tone(52, 3 * RATE)[:20_000], plucked_tone(52, 20_000))


def test_a_cached_tone_cannot_be_spoilt_by_its_user() -> None:
    with pytest.raises(ValueError, match="read-only"):
        plucked_tone(52, 100)[0] = 1.0


def test_line_and_click_together_stay_well_below_full_scale() -> None:
    exercise = line("6/0 5/2 4/2 3/1 2/0 1/0", notes_a_quarter=4, passes=8)

    buffer = mixed(
        render_line(exercise, exercise.tempo, 0),
        render_click(exercise.tempo, exercise.meter, count_in_bars=0, length_quarters=Fraction(12)),
    )

    assert 3_000 < int(np.abs(buffer.astype(np.int32)).max()) < 20_000  # -21 to -4 dB of full scale


def test_the_same_line_gives_the_same_samples() -> None:
    exercise = line("6/0 5/2h 4/2", passes=3)

    assert np.array_equal(render_line(exercise, exercise.tempo, 5), render_line(exercise, exercise.tempo, 5))
