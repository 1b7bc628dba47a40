from fractions import Fraction

import pytest

from tests.score.test_notation import spans, spelled
from trainer.score.groups import beam_spans, rest_ends
from trainer.score.meter import Meter
from trainer.score.notation import rhythm_bars_of


@pytest.mark.parametrize("beats", range(1, 17))
@pytest.mark.parametrize("unit", [1, 2, 4, 8, 16])
def test_the_groups_fill_the_bar(beats: int, unit: int) -> None:
    meter = Meter(beats, unit)

    assert sum(beam_spans(meter)) == meter.bar_quarters
    assert rest_ends(meter)[-1] == meter.bar_quarters


@pytest.mark.parametrize(
    ("meter", "lengths", "bar"),
    [
        (Meter(), [1, -2, 1], "q rq rq q"),
        (Meter(), [1, -3], "q rq rh"),
        (Meter(), [-2, 2], "rh h"),
        (Meter(3, 4), [1, -2], "q rq rq"),
        (Meter(5, 8), [Fraction(1, 2), -2], "8 r8 rq."),
        (Meter(7, 8), [2, -Fraction(3, 2)], "h rq."),
        (Meter(6, 8), [Fraction(1, 2), -Fraction(5, 2)], "8 rq rq."),
        (Meter(6, 4), [3, -3], "h. rh."),
        (Meter(2, 2), [2, -2], "h rh"),
    ],
)
def test_rests_show_the_groups_of_the_bar(meter: Meter, lengths: list[Fraction | int], bar: str) -> None:
    assert spelled(rhythm_bars_of(spans(*lengths, meter=meter))[0]) == bar


def test_a_silent_bar_is_one_rest() -> None:
    line = spans(4, -4, 4)

    assert spelled(rhythm_bars_of(line)[1]) == "rw"
