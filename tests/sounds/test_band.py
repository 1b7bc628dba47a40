from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds.backing import Accompaniment, Backing, Levels, Part, backing_for
from trainer.sounds.band import LOWEST_BASS, bars_of, bass_pitch
from trainer.sounds.drums import LEVELS, stroke
from trainer.sounds.endless import Endless
from trainer.sounds.feels import FEELS, feel_named, pulse
from trainer.sounds.samples import RATE, Samples, sample_of
from trainer.theory.chords import chords_named
from trainer.theory.scale import key_named

A_MINOR = key_named("A minor")
SIXTY = Tempo(Fraction(60))
TEMPI = st.fractions(30, 300, max_denominator=7)


def backing(feel: str, chords: str = "i iv", bars: int = 4, key: str = "A minor") -> Backing:
    return Backing(feel_named(feel), chords_named(chords, key_named(key)), bars)


def onsets(samples: Samples, floor: float = 1e-4) -> list[int]:
    """The first sample of everything that begins after a hundredth of silence."""
    loud = np.concatenate([np.zeros(480, bool), np.abs(samples) > floor])
    return [int(i) - 480 for i in np.flatnonzero(loud) if not loud[i - 480 : i].any()]


def test_chords_share_the_bars_of_a_loop_evenly() -> None:
    two, three = backing("shuffle", "i iv", 4), backing("shuffle", "i iv v", 4)

    assert [two.chord_of(bar) for bar in range(6)] == [0, 0, 1, 1, 0, 0]
    assert [three.chord_of(bar) for bar in range(4)] == [0, 0, 1, 2]


@pytest.mark.parametrize("bars", [1, 65])
def test_bars_that_cannot_hold_the_chords_are_refused(bars: int) -> None:
    with pytest.raises(ValueError, match="expected a bar or more for each"):
        backing("shuffle", bars=bars)


def test_a_line_has_the_wanted_feel_if_it_is_in_its_meter_and_usual_chords_if_none_are_named() -> None:
    in_four = backing_for(A_MINOR, Meter(), Accompaniment("shuffle", "i VII VI VII"))
    in_seven = backing_for(A_MINOR, Meter(7, 8), Accompaniment("shuffle"))

    assert (in_four.feel.name, [chord.name for chord in in_four.chords]) == ("shuffle", ["Am", "G", "F", "G"])
    assert (in_seven.feel.name, [chord.name for chord in in_seven.chords], in_seven.bars) == (
        "seven-eight",
        ["Am", "Dm"],
        4,
    )


def test_the_strokes_of_a_shuffle_lie_on_the_thirds_of_its_beats() -> None:
    hats_alone = replace(FEELS["shuffle"], drums=(("hat", "X.xX.xX.xX.x"),), turn=())
    tempo = Tempo(Fraction(97))

    bar = bars_of(replace(backing("shuffle"), feel=hats_alone), tempo, Levels(), (Part.DRUMS,))[0]

    expected = np.zeros_like(bar)
    for beat in range(4):
        for third, strength in ((0, 1.0), (2, 0.72)):
            place = round((beat + Fraction(third, 3)) * 60 * RATE / 97)
            hat = stroke("hat")
            expected[place : place + len(hat)] += np.float32(LEVELS["hat"] * strength) * hat
    np.testing.assert_array_equal(bar, expected)


def test_the_bass_plays_the_roots_from_e1_up_and_leads_to_the_next() -> None:
    am, dm = chords_named("i iv", A_MINOR)

    assert [bass_pitch(letter, am, dm) for letter in "R358a"] == [33, 36, 40, 45, 37]
    assert [bass_pitch("7", chord, am) for chord in chords_named("i i7 i\u00b07", A_MINOR)] == [45, 43, 42]
    assert bass_pitch("a", am, chords_named("v", A_MINOR)[0]) == LOWEST_BASS + 1


def test_a_part_at_level_0_is_silent_and_the_others_stay_as_they_are() -> None:
    shuffle = backing("shuffle")
    drums, bass, chords = (bars_of(shuffle, SIXTY, Levels(), (part,))[1] for part in Part)

    without_bass = bars_of(shuffle, SIXTY, Levels(bass=0))[1]
    doubled = bars_of(shuffle, SIXTY, Levels(drums=0, bass=200, chords=0))[1]

    assert bass.any()
    np.testing.assert_array_equal(without_bass[: len(chords)], _sum(drums, chords))
    np.testing.assert_array_equal(doubled, 2 * bass)


def _sum(first: Samples, second: Samples) -> Samples:
    total = np.zeros(max(len(first), len(second)), np.float32)
    total[: len(first)] += first
    total[: len(second)] += second
    return total


@pytest.mark.parametrize("level", [-1, 201])
def test_levels_beyond_their_range_are_refused(level: int) -> None:
    with pytest.raises(ValueError, match=f"level bass {level}: expected 0 to 200 percent"):
        Levels(bass=level)


def test_all_silent_is_bars_of_nothing() -> None:
    silent = bars_of(backing("shuffle"), SIXTY, Levels(drums=0, bass=0, chords=0))

    assert [len(bar) for bar in silent] == [0, 0, 0, 0]


@settings(max_examples=12, deadline=None)
@given(st.sampled_from([*FEELS, "pulse"]), TEMPI, st.sampled_from(["Ab", "A", "C#", "E", "G"]))
def test_no_feel_clips_or_clicks_at_any_tempo_in_any_key(feel: str, qpm: Fraction, root: str) -> None:
    tempo, played = Tempo(qpm), backing(feel, "i VII VI VII", key=f"{root} minor")

    loop = Endless(bars_of(played, tempo, Levels()), played.meter.bar_quarters, tempo).seamless()
    tones = bars_of(played, tempo, Levels(drums=0))

    assert np.abs(loop).max() <= 0.68  # leaves the click its 0.32
    # A tone of 1 kHz at the height of the whole backing changes by 0.08 a sample; a cut would change by its height.
    assert max(np.abs(np.diff(np.concatenate([[0.0], bar, [0.0]]))).max() for bar in tones) <= 0.08
    assert all(abs(float(bar[0])) <= 1e-6 and abs(float(bar[-1])) <= 1e-4 for bar in tones)


def test_a_plain_pulse_goes_with_any_meter() -> None:
    meter = Meter(11, 8)
    eleven = Backing(pulse(meter), chords_named("i", A_MINOR), 1)

    bar = bars_of(eleven, SIXTY, Levels(), (Part.DRUMS,))[0]

    assert len(onsets(bar)) == 11
    assert len(bar) >= sample_of(meter.bar_quarters, SIXTY)
