"""Whatever recipe compiles can be played; drawn so that most lines lie near an end of the neck."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings

from tests.score.recipes import TABLES
from trainer.score.compose import compose
from trainer.score.errors import Unplayable
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.hand import HandLimits
from trainer.score.recipe import Recipe
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique


def before(exercise: Exercise, note: ScoreNote) -> ScoreNote | None:
    """The note that ends on the same string where `note` begins."""
    return next(
        (
            other
            for other in exercise.notes
            if other.course == note.course and other.onset_quarters + other.duration_quarters == note.onset_quarters
        ),
        None,
    )


@given(TABLES)
@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_every_recipe_that_compiles_can_be_played(table: dict[str, object]) -> None:
    recipe = Recipe.model_validate(table)
    try:
        exercise = compose(recipe, "line")
    except Unplayable:
        return

    assert_can_be_played(exercise, recipe)


def assert_can_be_played(exercise: Exercise, recipe: Recipe) -> None:
    for note in exercise.notes:
        assert 0 <= note.fret <= recipe.last_fret
        assert note.course in (recipe.strings or recipe.tuning.courses)
        assert note.pitch == recipe.tuning.pitch_at(note.location)
        assert note.pitch % 12 in recipe.key.pitch_classes
        assert (note.finger is None) == (note.fret == 0)
        assert note.finger is None or 1 <= note.finger <= 4
    sounding = [(note.onset_quarters, note.course) for note in exercise.notes]
    assert len(set(sounding)) == len(sounding)
    assert sounding == sorted(sounding)
    _assert_techniques_are_legal(exercise)
    _assert_strokes_alternate(exercise, recipe.first_stroke)
    if recipe.hand is not None:
        _assert_within_reach(exercise, recipe.hand)


def with_last(exercise: Exercise, **changed: object) -> Exercise:
    *others, last = exercise.notes
    return replace(exercise, notes=(*others, replace(last, **changed)))


LEGATO = Recipe.model_validate(
    {"key": "A minor pentatonic", "strings": "1-2", "route": "1", "cell": "down", "articulation": "legato"}
)


@pytest.mark.parametrize(
    "slip",
    [
        {"location": Location(1, 25), "pitch": 64 + 25},  # off the neck
        {"location": Location(3, 5), "pitch": 55 + 5},  # on a string that was not asked for
        {"pitch": 61},  # not what sounds there
        {"location": Location(2, 6), "pitch": 59 + 6},  # outside the scale
        {"finger": None},
        {"technique": Technique.HAMMER},  # from a higher note
        {"stroke": Stroke.DOWN},  # a note that is pulled off
        {"onset_quarters": Fraction(0)},  # two notes of one string at once
    ],
)
def test_a_line_that_breaks_one_rule_is_found_out(slip: dict[str, object]) -> None:
    exercise = compose(LEGATO, "line")
    assert_can_be_played(exercise, LEGATO)
    *_, last = exercise.notes
    assert (last.location, last.technique) == (Location(2, 5), Technique.PULL)

    with pytest.raises(AssertionError):
        assert_can_be_played(with_last(exercise, **slip), LEGATO)


def _assert_techniques_are_legal(exercise: Exercise) -> None:
    for note in exercise.notes:
        held = before(exercise, note)
        match note.technique:
            case Technique.HAMMER:
                assert held is not None
                assert held.fret < note.fret
            case Technique.PULL:
                assert held is not None
                assert held.fret > note.fret
            case Technique.SLIDE:
                source = note.slide_from or (held.location if held else None)
                assert source is not None
                assert source.course == note.course
                assert 0 < source.fret <= exercise.last_fret
                assert source.fret != note.fret > 0
            case Technique.PICK:
                assert note.slide_from is None


def _assert_strokes_alternate(exercise: Exercise, first: Stroke) -> None:
    strokes: dict[object, set[Stroke]] = {}
    for note in exercise.notes:
        assert (note.stroke is None) == (note.technique is not Technique.PICK and note.slide_from is None)
        if note.stroke is not None:
            strokes.setdefault(note.onset_quarters, set()).add(note.stroke)
    expected = [{Stroke.DOWN}, {Stroke.UP}] if first is Stroke.DOWN else [{Stroke.UP}, {Stroke.DOWN}]
    assert list(strokes.values()) == [expected[place % 2] for place in range(len(strokes))]


def _assert_within_reach(exercise: Exercise, hand: HandLimits) -> None:
    """Neither a hammer-on nor a pull-off asks for two fingers further apart than the hand reaches."""
    for note in exercise.notes:
        held = before(exercise, note)
        if note.technique in (Technique.HAMMER, Technique.PULL) and held is not None and note.fret and held.fret:
            # Where equal temperament puts the frets, as shares of the string from the bridge.
            near, far = sorted((0.5 ** (note.fret / 12), 0.5 ** (held.fret / 12)))
            assert (far - near) * hand.scale_length_mm <= hand.reach_mm
