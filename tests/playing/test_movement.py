"""The shape of one move of the pitch."""

from trainer.playing.movement import Movement, PitchSample, movement


def test_a_movement_in_several_bends_began_one_interval_before_the_first() -> None:
    samples = [PitchSample(0, 6000.0), PitchSample(100, 6050.0), PitchSample(110, 6100.0), PitchSample(120, 6200.0)]

    assert movement(samples, 120) == Movement(6000.0, 6200.0, 30, 90, 0.5, 3)


def test_a_pitch_that_never_moved_has_moved_by_nothing() -> None:
    assert movement([PitchSample(5, 6000.0)], 5) == Movement(6000.0, 6000.0, 0, 5, 0.0, 0)
