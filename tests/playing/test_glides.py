"""The glide by itself, at the edges of its figures: what streams seldom hit to the nanosecond."""

import pytest

from trainer.playing.gestures import CHAIN_NS, SLOW_CHAIN_NS, Glide
from trainer.playing.movement import QUICK_STEP_NS, STEP_NS
from trainer.theory.technique import Technique

MS = 1_000_000


def glide(semitones: int = 1, reached_ms: float = 1000, *, lasted_ms: float = 300, move_ns: int = 0) -> Glide:
    return Glide(72, round(lasted_ms * MS), round(reached_ms * MS), semitones, move_ns=move_ns)


def stairs(*, steps: int, apart_ms: int = 30, semitones: int = 1) -> Glide:
    """Notes reached one after another, so far apart."""
    first = glide(semitones)
    for number in range(1, steps):
        following = glide(semitones, 1000 + apart_ms * number)
        assert following.goes_on_from(first, is_sure=True)
        first = following
    return first


def test_a_new_glide_is_one_step_that_was_neither_cut_nor_stood_anywhere() -> None:
    one = glide()

    assert (one.steps, one.duration_ns, one.is_cut, one.goes_past, one.in_jumps, one.is_smooth) == (
        1,
        0,
        False,
        False,
        False,
        False,
    )
    assert not one.is_stairs


def test_steps_that_go_on_make_one_glide_from_where_it_began() -> None:
    three = stairs(steps=3)

    assert (three.from_pitch, three.from_duration_ns, three.steps) == (72, 300 * MS, 3)
    assert three.began_ns == 1000 * MS
    assert three.duration_ns == 90 * MS  # the finger left one step before the first fret was reached
    assert three.is_stairs


def test_a_glide_that_was_cut_lasts_from_its_first_note_and_its_move_comes_on_top() -> None:
    before, after = glide(12, 1000, move_ns=60 * MS), glide(1, 1025, move_ns=20 * MS)
    before.is_cut = True

    assert after.goes_on_from(before, is_sure=True)
    assert after.goes_past
    assert (after.began_ns, after.duration_ns) == (1000 * MS, 60 * MS + 25 * MS)


@pytest.mark.parametrize(("dwell_ns", "passes"), [(CHAIN_NS, True), (CHAIN_NS + 1, False)])
def test_a_fret_passed_by_single_frets_sounds_no_longer_than_the_chain_allows(dwell_ns: int, *, passes: bool) -> None:
    assert glide(1).passes(1, dwell_ns, is_sure=False) is passes


@pytest.mark.parametrize(("dwell_ns", "passes"), [(SLOW_CHAIN_NS - 1, True), (SLOW_CHAIN_NS, False)])
def test_a_slow_glide_ends_at_the_slow_limit(dwell_ns: int, *, passes: bool) -> None:
    assert glide(1, lasted_ms=500).passes(1, dwell_ns, is_sure=True) is passes


@pytest.mark.parametrize(("lasted_ms", "passes"), [(78, True), (77.99, False)])
def test_a_slow_glide_begins_on_a_note_that_sounded_longer_by_a_third(lasted_ms: float, *, passes: bool) -> None:
    assert glide(1, lasted_ms=lasted_ms).passes(1, 60 * MS, is_sure=True) is passes


def test_a_slow_step_after_a_note_that_may_have_been_picked_is_none() -> None:
    assert not glide(1, lasted_ms=500).passes(1, 60 * MS, is_sure=False)


@pytest.mark.parametrize("dwell_ns", [0, 10 * MS, CHAIN_NS])
def test_nothing_is_passed_by_turning_back_or_by_staying(dwell_ns: int) -> None:
    assert not glide(1).passes(-1, dwell_ns, is_sure=True)
    assert not glide(1).passes(0, dwell_ns, is_sure=True)


@pytest.mark.parametrize(("dwell_ns", "passes"), [(45 * MS, True), (45 * MS + 1, False)])
def test_stairs_go_on_at_their_speed_or_half_as_slow_again(dwell_ns: int, *, passes: bool) -> None:
    two = stairs(steps=2, apart_ms=30)
    two.semitones = 2  # a fret was left out, so that being steady decides

    assert two.passes(1, dwell_ns, is_sure=True) is passes


@pytest.mark.parametrize(("dwell_ns", "passes"), [(STEP_NS, True), (STEP_NS + 1, False)])
def test_a_leap_that_did_not_move_passes_a_fret_for_one_step_only(dwell_ns: int, *, passes: bool) -> None:
    assert glide(2).passes(1, dwell_ns, is_sure=True) is passes


@pytest.mark.parametrize(("move_ns", "passes"), [(STEP_NS, False), (STEP_NS + 1, True)])
def test_a_leap_that_moved_passes_a_fret_for_as_long_as_a_chain_allows(move_ns: int, *, passes: bool) -> None:
    assert glide(2, move_ns=move_ns).passes(1, CHAIN_NS, is_sure=True) is passes


@pytest.mark.parametrize(("steps", "slowing"), [(1, 4), (2, 2)])
def test_a_cut_glide_may_slow_down_and_stairs_by_less(steps: int, slowing: int) -> None:
    cut = glide(2, move_ns=60 * MS) if steps == 1 else stairs(steps=2, apart_ms=30)
    cut.is_cut = True

    assert cut.passes(1, slowing * 30 * MS, is_sure=True)
    assert not cut.passes(1, slowing * 30 * MS + 1, is_sure=True)


@pytest.mark.parametrize(
    ("move_ns", "techniques"),
    [
        (QUICK_STEP_NS, (Technique.HAMMER,)),
        (QUICK_STEP_NS + 1, (Technique.HAMMER, Technique.SLIDE)),
        (STEP_NS, (Technique.HAMMER, Technique.SLIDE)),
        (STEP_NS + 1, (Technique.SLIDE,)),
    ],
)
def test_the_time_of_a_step_tells_finger_from_slide(move_ns: int, techniques: tuple[Technique, ...]) -> None:
    assert glide(1, move_ns=move_ns).techniques(may_hide_slide=False) == techniques


def test_one_fret_in_one_step_may_hide_a_slide_where_slides_stand_on_every_fret_and_two_may_not() -> None:
    assert glide(-1).techniques(may_hide_slide=True) == (Technique.PULL, Technique.SLIDE)
    assert glide(-2).techniques(may_hide_slide=True) == (Technique.PULL,)
    assert glide(-1).techniques(may_hide_slide=False) == (Technique.PULL,)


def test_a_step_past_the_end_of_the_range_was_not_seen_and_may_be_either() -> None:
    past = glide(2)
    past.goes_past = True

    assert past.techniques(may_hide_slide=False) == (Technique.HAMMER, Technique.SLIDE)
