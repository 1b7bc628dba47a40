from fractions import Fraction

import pytest

from tests.score.test_notation import spans
from trainer.score.beaming import Beam, beam_groups, beams_of
from trainer.score.meter import Meter
from trainer.score.notation import Sign, rhythm_bars_of
from trainer.score.one_line import exercise_from_line

EIGHTH, SIXTEENTH = Fraction(1, 2), Fraction(1, 4)


def groups_of(text: str, meter: str) -> list[list[int]]:
    """How many signs each beam of each bar joins."""
    exercise = exercise_from_line(f"B minor pentatonic, strings 1-2, positions 1 2 3 4, fours down, {text}, {meter}")
    bars = rhythm_bars_of(exercise)
    return [[len(group) for group in beam_groups(bar.voices[0], exercise.meter)] for bar in bars]


def group_of(*lengths: Fraction, meter: Meter | None = None) -> tuple[Sign, ...]:
    """The first beamed group of these notes, a negative length being a rest."""
    exercise = spans(*lengths, meter=meter)
    return beam_groups(rhythm_bars_of(exercise)[0].voices[0], exercise.meter)[0]


@pytest.mark.parametrize(
    ("text", "meter", "groups"),
    [
        ("sixteenths", "2/4", [4, 4]),
        ("eighths", "6/8", [3, 3]),
        ("sixteenths", "6/8", [6, 6]),
        ("eighths", "3/4", [2, 2, 2]),
        ("eighths", "4/4", [2, 2, 2, 2]),
        ("eighths", "2/2", [4, 4]),
        ("sixteenths", "2/2", [4, 4, 4, 4]),
        ("eighths", "5/8", [2, 3]),
        ("eighths", "7/8", [2, 2, 3]),
        ("sixteenths", "7/8", [4, 4, 6]),
        ("5 sixteenths + dotted eighth rest", "2/4", [4]),
        ("quarters", "4/4", []),
        ("quintuplets", "2/4", [5, 5]),
        ("4 then 3 a beat", "4/4", [4, 3, 4, 3]),
    ],
)
def test_beams_show_the_beats_of_the_meter(text: str, meter: str, groups: list[int]) -> None:
    assert groups_of(text, meter)[0] == groups


@pytest.mark.parametrize(("meter", "groups"), [("5/8", [2, 3]), ("7/8", [2, 2, 3])])
def test_an_odd_meter_is_beamed_alike_in_every_bar(meter: str, groups: list[int]) -> None:
    bars = groups_of("eighths", meter)

    assert bars[:2] == [groups] * 2


def test_a_tuplet_over_two_beats_has_one_beam() -> None:
    assert len(group_of(*[Fraction(2, 5)] * 5, Fraction(2))) == 5
    assert len(group_of(*[Fraction(2, 5)] * 5, Fraction(2), meter=Meter(2, 2))) == 5


def test_a_rest_ends_a_beam() -> None:
    assert len(group_of(SIXTEENTH, SIXTEENTH, -SIXTEENTH, SIXTEENTH, Fraction(3))) == 2


@pytest.mark.parametrize(
    ("lengths", "meter", "beams"),
    [
        ((SIXTEENTH,) * 4, Meter(), (Beam(0, 0, 3), Beam(1, 0, 3))),
        ((EIGHTH, SIXTEENTH, SIXTEENTH), Meter(), (Beam(0, 0, 2), Beam(1, 1, 2))),
        ((3 * SIXTEENTH, SIXTEENTH), Meter(), (Beam(0, 0, 1), Beam(1, 1, 1, side=-1))),
        ((SIXTEENTH, 3 * SIXTEENTH), Meter(), (Beam(0, 0, 1), Beam(1, 0, 0, side=1))),
        ((SIXTEENTH, EIGHTH, SIXTEENTH), Meter(), (Beam(0, 0, 2), Beam(1, 0, 0, side=1), Beam(1, 2, 2, side=-1))),
        ((3 * SIXTEENTH, SIXTEENTH, EIGHTH), Meter(6, 8), (Beam(0, 0, 2), Beam(1, 1, 1, side=-1))),
        ((EIGHTH, SIXTEENTH, 3 * SIXTEENTH), Meter(6, 8), (Beam(0, 0, 2), Beam(1, 1, 1, side=1))),
        (
            (Fraction(1, 3), Fraction(1, 6), Fraction(1, 2)),
            Meter(),
            (Beam(0, 0, 2), Beam(1, 1, 1, side=1)),
        ),
    ],
)
def test_a_stub_points_to_the_sign_that_completes_its_pair(
    lengths: tuple[Fraction, ...], meter: Meter, beams: tuple[Beam, ...]
) -> None:
    rest = meter.bar_quarters - sum(lengths)

    assert beams_of(group_of(*lengths, *[-rest] * bool(rest), meter=meter), meter) == beams
