"""Slurs that go past the end of a narrow bend range, where the converter must send a note-on after all."""

import pytest

from tests.playing.builders import bend, notes, off, on, played
from trainer.playing.messages import StampedMessage, TechniqueHeard
from trainer.playing.profile import PickupProfile
from trainer.theory.technique import Technique

NARROW = PickupProfile(bend_range_semitones=2.0)
REACHED = [
    item
    for i in range(4)
    for item in (
        on(500 * i, 70, 90),
        bend(500 * i + 200, 200, semitones=2),
        bend(500 * i + 400, -200, semitones=2),
        bend(500 * i + 490, 0, semitones=2),
    )
]
"""Slurs to both ends of a bend range of two semitones, the last one until 1990 ms."""


def _again(at_ms: float, pitch: int, last_pitch: int) -> list[StampedMessage]:
    """A note-on without a pick, where the bend could go no further."""
    return [off(at_ms, last_pitch), bend(at_ms, 0, semitones=2), on(at_ms, pitch, 55)]


@pytest.mark.parametrize(("shares", "step_ms"), [([1], 4), ([0.5, 1], 4), ([0.3, 0.7, 1], 4)])
def test_a_hammer_on_past_the_bend_range_is_one(shares: list[float], step_ms: float) -> None:
    rise = [bend(2300 + step_ms * i, min(200, 400 * share), semitones=2) for i, share in enumerate(shares)]
    arrives_ms = 2300 + step_ms * len(shares)

    said = notes(played([*REACHED, on(2000, 70, 90), *rise, *_again(arrives_ms, 74, 70), off(2800, 74)], NARROW))

    assert said[-1] == (arrives_ms, 74, "hammer")


@pytest.mark.parametrize(("frets", "fret_ms"), [(3, 18), (3, 28), (3, 45), (4, 18), (4, 40), (5, 18), (5, 30)])
@pytest.mark.parametrize("every_ms", [3, 8, None])
def test_a_slide_past_the_bend_range_is_one_note(fret_ms: float, frets: int, every_ms: float | None) -> None:
    length_ms = fret_ms * frets
    if every_ms:
        times = [every_ms * i for i in range(1, int(length_ms / every_ms))]
    else:
        times = [fret_ms * i for i in range(1, frets)]
    rise = [bend(2300 + each, min(200, 100 * each / fret_ms), semitones=2) for each in times]

    said = notes(
        played([*REACHED, on(2000, 70, 90), *rise, *_again(2300 + length_ms, 70 + frets, 70), off(2900, 70)], NARROW)
    )

    kept = [(pitch, fate) for at_ms, pitch, fate in said if at_ms >= 2000 and (fate != "slide" or pitch == 70 + frets)]
    assert kept == [(70, "pick"), (70 + frets, "slide")]


def test_a_slur_that_starts_at_the_end_of_the_bend_range_is_not_measurable() -> None:
    up = [on(2000, 70, 90), bend(2200, 200, semitones=2)]

    said = [
        event for event in played([*REACHED, *up, *_again(2500, 75, 70)], NARROW) if isinstance(event, TechniqueHeard)
    ]

    assert (said[-1].technique, said[-1].one_of) == (None, (Technique.HAMMER, Technique.SLIDE))


def test_a_converter_that_bends_its_slides_means_a_finger_by_a_soft_note_on_past_its_range() -> None:
    said = notes(played([*REACHED, on(2000, 70, 90), *_again(2500, 75, 70)], NARROW))

    assert said[-1] == (2500, 75, "hammer")


def test_a_slur_past_the_bend_range_is_still_a_slur() -> None:
    stream = [on(0, 60, 90), bend(290, 200, semitones=2), off(300, 60), bend(300, 0, semitones=2), on(300, 65, 60)]

    said = notes(played(stream, NARROW))

    assert [fate for _, _, fate in said][-1] != "pick"
