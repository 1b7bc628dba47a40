from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.score.recipes import TABLES
from tests.sheets.test_text_tablature import line
from trainer.score.compose import compose
from trainer.score.errors import Unplayable
from trainer.score.exercise import Exercise
from trainer.score.meter import Meter
from trainer.score.notation import Bar, Sign, bars_of, rhythm_bars_of
from trainer.score.note_values import NoteValue, Tuplet, tuplet_of, value_of
from trainer.score.one_line import exercise_from_line
from trainer.score.recipe import Recipe

VALUES = {Fraction(4): "w", Fraction(2): "h", Fraction(1): "q", Fraction(1, 2): "8", Fraction(1, 4): "16"}


def spelled(bar: Bar, voice: int = 0) -> str:
    """The signs of a voice: value, dots, r for rests, ~ for ties, tuplets in brackets with their ratio."""
    return " ".join(_sign(sign) for sign in bar.voices[voice])


def _sign(sign: Sign) -> str:
    value = "?" if sign.value is None else VALUES[sign.value.plain_quarters] + "." * sign.value.dots
    text = ("r" if sign.is_rest else "") + value + ("~" if sign.tied_to else "")
    if sign.tuplet is not None and sign.tuplet_begins:
        text = f"[{sign.tuplet.actual}:{sign.tuplet.normal} {text}"
    return text + ("]" if sign.tuplet_ends else "")


def rhythm(text: str, meter: str = "4/4") -> list[str]:
    exercise = exercise_from_line(f"B minor pentatonic, strings 1-2, positions 1 2 3 4, fours down, {text}, {meter}")
    return [spelled(bar) for bar in bars_of(exercise)]


@pytest.mark.parametrize(
    ("text", "meter", "first_bar"),
    [
        ("sixteenths", "2/4", "16 16 16 16 16 16 16 16"),
        ("5 a beat", "2/4", "[5:4 16 16 16 16 16] [5:4 16 16 16 16 16]"),
        ("sextuplets", "2/4", "[6:4 16 16 16 16 16 16] [6:4 16 16 16 16 16 16]"),
        ("septuplets", "2/4", "[7:4 16 16 16 16 16 16 16] [7:4 16 16 16 16 16 16 16]"),
        ("4 then 3 a beat", "2/4", "16 16 16 16 [3:2 8 8 8]"),
        ("eighth + two sixteenths", "2/4", "8 16 16 8 16 16"),
        ("dotted eighth + sixteenth", "2/4", "8. 16 8. 16"),
        ("dotted quarter", "4/4", "q. q. q~"),
        ("dotted quarter", "6/8", "q. q."),
        ("5 sixteenths + dotted eighth rest", "2/4", "16 16 16 16 16 r8."),
        ("triplet rest + two triplets", "2/4", "[3:2 r8 8 8] [3:2 r8 8 8]"),
        ("eighths", "7/8", "8 8 8 8 8 8 8"),
        ("triplets", "7/8", "[3:2 8 8 8] [3:2 8 8 8] [3:2 8 8 8] [3:2 8 16~]"),
    ],
)
def test_a_rhythm_is_spelled_as_musicians_write_it(text: str, meter: str, first_bar: str) -> None:
    assert rhythm(text, meter)[0] == first_bar


def test_a_note_over_the_bar_line_goes_on_as_a_tie() -> None:
    assert rhythm("dotted quarter", "4/4")[1] == "8 q. q. 8~"


def spans(*lengths: Fraction | int, meter: Meter | None = None) -> Exercise:
    """Notes one after the other; a negative length is a rest."""
    notes, now = [], Fraction(0)
    for length in map(Fraction, lengths):
        if length > 0:
            (note,) = line("1/5").notes
            notes.append(replace(note, onset_quarters=now, duration_quarters=length))
        now += abs(length)
    bar = (meter or Meter()).bar_quarters
    return replace(line("1/5"), notes=tuple(notes), meter=meter or Meter(), length_quarters=-(-now // bar) * bar)


@pytest.mark.parametrize(
    ("lengths", "bar"),
    [
        ([1, 3], "q h."),
        ([Fraction(1, 2), 1, Fraction(5, 2)], "8 q 8~ h"),
        ([Fraction(1, 4), 1, Fraction(11, 4)], "16 8.~ 16 8.~ h"),
        ([Fraction(5, 4), Fraction(11, 4)], "q~ 16 8.~ h"),
        ([Fraction(5, 2), Fraction(-3, 2)], "h~ 8 r8 rq"),
        ([Fraction(2, 3)] * 3 + [2], "[3:2 q q q] h"),
        ([Fraction(1, 3), Fraction(2, 3), Fraction(2, 3), Fraction(1, 3), 2], "[3:2 8 q] [3:2 q 8] h"),
        ([Fraction(1, 3), Fraction(1, 3), Fraction(2, 3), Fraction(2, 3), 2], "[3:2 8 8 8~] [3:2 8 q] h"),
        ([Fraction(1, 3), 1, 1, 1, Fraction(2, 3)], "[3:2 8 q~] [3:2 8 q~] [3:2 8 q~] [3:2 8 q]"),
        ([Fraction(1, 3), Fraction(-11, 3)], "[3:2 8 rq] rq rh"),
        ([Fraction(2, 5), Fraction(3, 5), 3], "[5:4 8 8.] h."),
        ([Fraction(137, 480), Fraction(343, 480), 3], "? ? h."),
    ],
)
def test_a_sign_shows_the_beats(lengths: list[Fraction | int], bar: str) -> None:
    assert spelled(bars_of(spans(*lengths))[0]) == bar


lengths = st.builds(Fraction, st.integers(1, 9), st.sampled_from([1, 2, 3, 4, 5, 6, 7, 8, 16]))


@given(
    st.lists(st.tuples(lengths, st.sampled_from([1, 1, -1])), min_size=1, max_size=12),
    st.sampled_from([Meter(), Meter(3, 4), Meter(6, 8), Meter(7, 8), Meter(5, 4)]),
)
@settings(max_examples=300, deadline=None)
def test_signs_fill_their_bars_and_say_their_lengths(pieces: list[tuple[Fraction, int]], meter: Meter) -> None:
    exercise = spans(*(length * sign for length, sign in pieces), 1, meter=meter)

    for bar in bars_of(exercise):
        now = bar.onset_quarters
        for sign in bar.voices[0]:
            assert sign.onset_quarters == now
            now = sign.end_quarters
            if sign.value is not None:
                ratio = 1 if sign.tuplet is None else sign.tuplet.ratio
                assert sign.value.quarters == sign.duration_quarters * ratio
        assert now == bar.onset_quarters + bar.length_quarters
        begins = [sign.tuplet_begins for sign in bar.voices[0] if sign.tuplet]
        ends = [sign.tuplet_ends for sign in bar.voices[0] if sign.tuplet]
        assert sum(begins) == sum(ends)


@given(TABLES)
@settings(max_examples=100, deadline=None)
def test_every_note_of_any_recipe_is_spelled_once_and_has_a_sign(table: dict[str, object]) -> None:
    try:
        exercise = compose(Recipe.model_validate(table), "line")
    except Unplayable:
        return

    for bars in (bars_of(exercise), rhythm_bars_of(exercise)):
        signs = [sign for bar in bars for voice in bar.voices for sign in voice]
        begun = sorted(index for sign in signs if not sign.tied_from for index in sign.notes)
        assert begun == list(range(len(exercise.notes)))
        assert all(sign.value is not None for sign in signs)


def test_strings_that_sound_on_get_voices_of_their_own() -> None:
    low, high = line("6/0", "1/5").notes
    exercise = replace(
        line("1/5"), notes=(replace(low, duration_quarters=Fraction(4)), high), length_quarters=Fraction(4)
    )

    (bar,) = bars_of(exercise)

    assert [spelled(bar, voice) for voice in (0, 1)] == ["w", "r16 16 r8 rq rh"]
    assert [spelled(bar) for bar in rhythm_bars_of(exercise)] == ["16 16 r8 rq rh"]


def test_a_line_that_ends_inside_its_last_bar_has_a_short_bar() -> None:
    exercise = replace(spans(4, 1), length_quarters=Fraction(5))

    assert [bar.length_quarters for bar in bars_of(exercise)] == [4, 1]


def test_a_note_of_no_length_is_written_as_a_short_one() -> None:
    exercise = replace(spans(1), notes=(replace(spans(1).notes[0], duration_quarters=Fraction(0)),))

    assert bars_of(exercise)[0].voices[0][0].duration_quarters == Fraction(1, 8)


@pytest.mark.parametrize(
    ("quarters", "value"),
    [
        (Fraction(4), NoteValue(Fraction(4))),
        (Fraction(6), NoteValue(Fraction(4), dots=1)),
        (Fraction(3, 128), NoteValue(Fraction(1, 64), dots=1)),
        (Fraction(1, 64), NoteValue(Fraction(1, 64))),
        (Fraction(1, 128), None),
        (Fraction(8), None),
        (Fraction(5, 4), None),
        (Fraction(1, 3), None),
    ],
)
def test_a_value_lasts_as_long_as_its_sign(quarters: Fraction, value: NoteValue | None) -> None:
    assert value_of(quarters) == value


@pytest.mark.parametrize(
    ("length", "count", "tuplet"),
    [
        (Fraction(1), 3, Tuplet(3, 2, Fraction(1, 2))),
        (Fraction(1), 5, Tuplet(5, 4, Fraction(1, 4))),
        (Fraction(1), 7, Tuplet(7, 4, Fraction(1, 4))),
        (Fraction(1), 9, Tuplet(9, 8, Fraction(1, 8))),
        (Fraction(2), 3, Tuplet(3, 2, Fraction(1))),
        (Fraction(3, 2), 5, Tuplet(5, 3, Fraction(1, 2))),
        (Fraction(1), 17, None),
    ],
)
def test_a_tuplet_takes_the_value_of_the_next_smaller_power_of_two(
    length: Fraction, count: int, tuplet: Tuplet | None
) -> None:
    assert tuplet_of(length, [length * at / count for at in range(count)]) == tuplet
