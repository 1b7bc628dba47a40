from fractions import Fraction

from trainer.tablature.axis import TimeAxis


def test_a_moment_and_its_place_on_the_strip_are_each_others_inverse() -> None:
    axis = TimeAxis(200)

    assert axis.x_px(Fraction(3, 4)) == 150
    assert axis.quarters(150) == 0.75
    assert axis.x_px(-1) == -200
