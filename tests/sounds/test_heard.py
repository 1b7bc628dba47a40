from fractions import Fraction

import numpy as np
import pytest

from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.sounds.heard import HeardNote, heard_notes, render_heard
from trainer.sounds.plucked import plucked_tone
from trainer.sounds.samples import RATE
from trainer.theory.tuning import TUNINGS

MS = 1_000_000
A = HeardNote(69, 1_000 * MS, 1_500 * MS)


def messages(*told: tuple[int, str]) -> list[StampedMessage]:
    return [StampedMessage(at_ms * MS, bytes.fromhex(data)) for at_ms, data in told]


def test_the_notes_of_a_take_have_their_ends_and_their_loudness() -> None:
    take = messages((1000, "90 40 50"), (1400, "80 40 00"), (2000, "91 3b 20"), (2300, "91 3b 00"))

    found = heard_notes(take, PickupProfile(), TUNINGS["standard"])

    assert found == (
        HeardNote(64, 1_000 * MS, 1_400 * MS, 80),
        HeardNote(59, 2_000 * MS, 2_300 * MS, 32),
    )


@pytest.mark.parametrize(
    ("from_ms", "speed", "begins_s", "lasts_s"),
    [(0, Fraction(1), 1.0, 0.525), (800, Fraction(1), 0.2, 0.525), (800, Fraction(1, 2), 0.4, 1.025)],
)
def test_a_note_begins_where_the_speed_puts_it_and_lasts_as_long(
    from_ms: int, speed: Fraction, begins_s: float, lasts_s: float
) -> None:
    samples = render_heard([A], from_ms * MS, speed)

    begins = round(begins_s * RATE)
    assert np.abs(samples[:begins]).max(initial=0.0) == 0
    assert len(samples) == begins + round(lasts_s * RATE)


def test_half_speed_does_not_change_the_pitch() -> None:
    usual, slow = render_heard([A], 1_000 * MS), render_heard([A], 1_000 * MS, Fraction(1, 2))

    both = min(len(usual), len(slow)) - RATE // 20
    np.testing.assert_allclose(usual[:both] / np.abs(usual).max(), slow[:both] / np.abs(slow).max(), atol=1e-4)
    np.testing.assert_allclose(usual[:both] / np.abs(usual).max(), plucked_tone(69, both), atol=2e-3)


def test_louder_is_louder_and_what_had_begun_before_is_left_out() -> None:
    soft = HeardNote(69, 1_000 * MS, 1_500 * MS, velocity=30)

    assert np.abs(render_heard([soft])).max() < 0.5 * np.abs(render_heard([A])).max()
    assert len(render_heard([A], 1_001 * MS)) == 0
