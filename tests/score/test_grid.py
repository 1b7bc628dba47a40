import random
from fractions import Fraction
from itertools import accumulate

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.score.beat import KnownBeat, UnknownBeat
from trainer.score.exercise import Exercise
from trainer.score.grid import GridFit, fit_grid
from trainer.score.library import exercise_names, load_exercise

SDS_MS = (6.0, 12.0, 24.0)
FREE = UnknownBeat(usual=600, shortest=270, longest=1500)


def clicked(beat_ms: float) -> KnownBeat:
    return KnownBeat(beat_ms, zero=0.0, zero_sd=20.0)


def played(places: list[Fraction], beat_ms: float, jitter_ms: float = 0.0, seed: int = 1) -> list[float]:
    rng = random.Random(seed)
    return [float(place) * beat_ms + rng.gauss(0, jitter_ms) for place in places]


def evenly(*figures: int) -> list[Fraction]:
    """The places of beats divided into these figures, all filled."""
    return [beat + Fraction(k, figure) for beat, figure in enumerate(figures) for k in range(figure)]


def beat_places(exercise: Exercise) -> list[Fraction]:
    return sorted({note.onset_quarters / exercise.meter.beat_quarters for note in exercise.notes})


def beat_ms_of(exercise: Exercise) -> float:
    return exercise.tempo.ns(exercise.meter.beat_quarters) / 1e6


@pytest.mark.parametrize("figure", range(1, 9))
def test_each_even_figure_is_found_at_a_click(figure: int) -> None:
    places = evenly(*[figure] * 8)

    fit = fit_grid(played(places, 900, jitter_ms=8), clicked(900), SDS_MS)

    assert fit.places == tuple(places)
    assert fit.figures == (figure,) * 8


@pytest.mark.parametrize("figures", [(4, 3) * 6, (3, 5) * 6, (2, 4, 2, 6) * 3, (4, 4, 7, 4) * 3])
def test_mixed_figures_are_found_at_a_click(figures: tuple[int, ...]) -> None:
    places = evenly(*figures)

    fit = fit_grid(played(places, 1000, jitter_ms=10), clicked(1000), SDS_MS)

    assert fit.places == tuple(places)


def test_a_dotted_figure_is_not_taken_for_swing() -> None:
    places = [beat + offset for beat in range(12) for offset in (Fraction(0), Fraction(3, 4))]

    fit = fit_grid(played(places, 714, jitter_ms=15), clicked(714), SDS_MS)

    assert fit.places == tuple(places)


@pytest.mark.parametrize("jitter_ms", [5, 10, 15, 20, 25])
def test_nearly_all_onsets_of_the_shipped_lines_find_their_place_at_a_click(jitter_ms: int) -> None:
    right = in_all = 0

    for name in exercise_names()[jitter_ms // 5 % 3 :: 3]:  # each line at one or two of them: the search takes its time
        exercise = load_exercise(name)
        places = beat_places(exercise)
        times = sorted(played(places, beat_ms_of(exercise), jitter_ms, seed=jitter_ms))
        fit = fit_grid(times, clicked(beat_ms_of(exercise)), SDS_MS)
        right += sum(place == found for place, found in zip(places, fit.places, strict=True))
        in_all += len(places)

    assert right / in_all >= 0.97


def test_a_beat_is_found_without_a_click() -> None:
    places = evenly(*[2] * 24)

    fit = fit_grid(played(places, 600, jitter_ms=12), FREE, SDS_MS)

    assert fit.places == tuple(places)
    assert fit.beat == pytest.approx(600, abs=3)


def test_a_beat_that_slows_down_is_followed() -> None:
    places = evenly(*[4] * 24)
    lengths = [600 * (1 + 0.004 * beat) for beat in range(24)]
    starts = [0.0, *accumulate(lengths)]
    times = [starts[place // 1] + float(place % 1) * lengths[place // 1] for place in places]

    fit = fit_grid(times, UnknownBeat(600, 400, 900, 0.1), SDS_MS)

    assert fit.places == tuple(places)
    assert max(fit.beats) / min(fit.beats) > 1.05


def test_what_the_beat_could_as_well_be_is_said() -> None:
    fit = fit_grid(played(evenly(*[4] * 12), 909, jitter_ms=10), FREE, SDS_MS)

    found = {round(60_000 / reading.beat) for reading in fit.readings}

    assert {66, 132} <= found


def test_a_tempo_that_the_player_names_decides() -> None:
    times = played(evenly(*[4] * 12), 909, jitter_ms=10)

    fits = {tempo: fit_grid(times, UnknownBeat(60_000 / tempo, 300, 1500, 0.06), SDS_MS) for tempo in (66, 132)}

    assert {tempo: set(fit.figures) for tempo, fit in fits.items()} == {66: {4}, 132: {2}}


def test_late_playing_at_a_click_is_lateness_and_no_other_grid() -> None:
    places = evenly(*[4] * 8)

    fit = fit_grid([time + 30 for time in played(places, 800)], clicked(800), SDS_MS)

    assert fit.places == tuple(places)
    assert all(off == pytest.approx(30) for off in fit.deviations)


def test_times_that_do_not_ascend_are_refused() -> None:
    with pytest.raises(ValueError, match="ascending"):
        fit_grid([0.0, 0.0], FREE, SDS_MS)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.floats(0.5, 4000), min_size=1, max_size=30),
    st.sampled_from([clicked(500), FREE, KnownBeat(40.0, -1e5, 1.0)]),
)
def test_whatever_is_played_gets_places_that_ascend(gaps: list[float], beat: KnownBeat | UnknownBeat) -> None:
    times = list(accumulate(gaps))

    fit: GridFit = fit_grid(times, beat, SDS_MS)

    assert len(fit.places) == len(fit.deviations) == len(times)
    assert all(before < after for before, after in zip(fit.places, fit.places[1:], strict=False))
