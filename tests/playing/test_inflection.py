"""String bends and vibrato of a sounding note, from streams drawn here."""

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.playing.builders import MS, bend, notes, off, on, played
from trainer.playing.inflection import LONGEST_GRID, Contour
from trainer.playing.messages import Inflection, NoteEnd, StampedMessage
from trainer.playing.movement import PitchSample


def _inflections(stream: list[StampedMessage]) -> list[Inflection]:
    return [event.inflection for event in played(stream) if isinstance(event, NoteEnd)]


def _rise(start_ms: float, length_ms: float, cents: float, every_ms: float = 7) -> list[StampedMessage]:
    count = round(length_ms / every_ms)
    return [
        bend(start_ms + length_ms * i / count, cents * math.sin(math.pi / 2 * i / count)) for i in range(1, count + 1)
    ]


def _shaken(
    start_ms: float, length_ms: float, hertz: float, cents: float, middle: float = 0, every_ms: float = 6
) -> list[StampedMessage]:
    return [
        bend(start_ms + every_ms * i, middle + cents * math.sin(2 * math.pi * hertz * every_ms * i / 1000))
        for i in range(round(length_ms / every_ms))
    ]


def test_a_plain_note_ends_without_an_inflection() -> None:
    assert _inflections([on(0, 66), bend(50, 9), off(900, 66)]) == [Inflection()]


@pytest.mark.parametrize("cents", [60, 100, 200])
@pytest.mark.parametrize("length_ms", [220, 300, 450])
def test_a_string_bend_is_told_with_its_depth_when_the_note_ends(cents: float, length_ms: float) -> None:
    (heard,) = _inflections([on(0, 66), *_rise(200, length_ms, cents), off(1000, 66)])[:1]

    assert heard.bend_cents == pytest.approx(cents, abs=3)
    assert (heard.vibrato_hz, heard.vibrato_cents) == (0, 0)


def test_a_bend_that_was_released_again_counts_at_its_furthest() -> None:
    back = [bend(700 + 7 * i, 200 * (1 - i / 30)) for i in range(1, 31)]

    (heard,) = _inflections([on(0, 66), *_rise(200, 250, 200), *back, off(1300, 66)])

    assert heard.bend_cents == pytest.approx(200, abs=5)


def test_a_bend_is_counted_from_where_the_note_began_however_the_string_is_tuned() -> None:
    (heard,) = _inflections([bend(0, 30), on(1, 66), *_rise(200, 250, 30), off(900, 66)])

    assert heard == Inflection()


@pytest.mark.parametrize("hertz", [4, 5.5, 7])
@pytest.mark.parametrize("cents", [10, 25, 48])
@pytest.mark.parametrize("every_ms", [3, 11])
def test_vibrato_is_told_with_its_rate_and_depth_and_is_no_bend(hertz: float, cents: float, every_ms: float) -> None:
    (heard,) = _inflections([on(0, 66), *_shaken(200, 1000, hertz, cents, every_ms=every_ms), off(1300, 66)])

    assert heard.vibrato_hz == pytest.approx(hertz, rel=0.06)
    assert heard.vibrato_cents == pytest.approx(cents, rel=0.15)
    assert heard.bend_cents == 0


def test_a_bend_that_is_shaken_at_its_top_is_both() -> None:
    top = _shaken(450, 900, 5, 25, middle=200)

    (heard,) = _inflections([on(0, 66), *_rise(200, 250, 200), *top, off(1450, 66)])

    assert heard.bend_cents == pytest.approx(200, abs=10)
    assert heard.vibrato_hz == pytest.approx(5, rel=0.06)


def test_going_up_and_down_once_or_twice_is_no_vibrato() -> None:
    (heard,) = _inflections([on(0, 66), *_shaken(200, 400, 5, 30), off(900, 66)])

    assert heard.vibrato_hz == 0


def test_a_pitch_that_only_ever_sinks_is_not_bent() -> None:
    sinking = [bend(500 + 5 * i, -10 * i) for i in range(80)]

    assert _inflections([on(0, 72), *sinking, off(900, 72)])[0].bend_cents == 0


@pytest.mark.parametrize("cents", [-180, -90, 90, 180])
def test_what_happens_in_the_last_60_ms_is_not_counted(cents: float) -> None:
    (heard,) = _inflections([on(0, 66), *_rise(840, 50, cents, 5), off(900, 66)])

    assert heard == Inflection()


@pytest.mark.parametrize(("cents", "travel_ms"), [(400, 40), (400, 90), (400, 140), (700, 250), (1100, 350)])
def test_the_way_of_a_slide_is_no_bend_of_the_note_that_it_leaves(cents: int, travel_ms: float) -> None:
    way = [bend(400 + travel_ms * i / 20, cents * i / 20) for i in range(1, 21)]
    stream = [on(0, 66), *way, off(1000, 66)]

    assert [pitch for _, pitch, _ in notes(played(stream))] == [66, 66 + cents // 100]
    assert _inflections(stream) == [Inflection(), Inflection()]


def test_a_note_that_arrived_as_a_bend_has_inflections_of_its_own() -> None:
    stream = [on(0, 66), bend(300, 200), *_shaken(500, 900, 6, 30, middle=200), off(1500, 66)]

    first, second = _inflections(stream)

    assert first == Inflection()
    assert second.vibrato_hz == pytest.approx(6, rel=0.06)


def test_an_unsteady_pitch_is_neither_bent_nor_shaken() -> None:
    rng = random.Random(3)

    for _ in range(40):
        (heard,) = _inflections([on(0, 66), *(bend(7 * i, rng.gauss(0, 3)) for i in range(200)), off(1500, 66)])
        assert heard == Inflection()


def test_a_contour_keeps_no_more_than_6_s_however_long_and_dense_it_is() -> None:
    contour = Contour(PitchSample(0, 6000.0))

    for i in range(30_000):
        contour.feed(PitchSample(i * MS, 6000.0 + i % 7))

    assert len(contour._levels) == LONGEST_GRID


def test_an_attack_that_wavers_for_less_than_150_ms_belongs_to_the_note_that_follows() -> None:
    wavering = [bend(10 * i, -100 + (50 if i % 2 else -50)) for i in range(1, 11)]

    said = notes(played([bend(0, -100), on(1, 66), *wavering, bend(110, 0), off(600, 66)]))

    assert said == [(1, 65, "attack"), (1, 66, "pick")]


@given(st.lists(st.tuples(st.integers(1, 120), st.integers(-400, 400)), max_size=60), st.integers(0, 6000))
def test_an_inflection_depends_on_nothing_after_the_moment_asked_for(
    steps: list[tuple[int, int]], until_ms: int
) -> None:
    whole, cut, at_ms = Contour(PitchSample(0, 6000.0)), Contour(PitchSample(0, 6000.0)), 0
    for step_ms, cents in steps:
        at_ms += step_ms
        whole.feed(PitchSample(at_ms * MS, 6000.0 + cents))
        if at_ms < until_ms:
            cut.feed(PitchSample(at_ms * MS, 6000.0 + cents))

    assert whole.inflection(until_ms * MS) == cut.inflection(until_ms * MS)
