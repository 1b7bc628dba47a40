"""Whatever recipe compiles can be played; drawn so that most lines lie near an end of the neck."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.score.compose import compose
from trainer.score.errors import Unplayable
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.recipe import Recipe
from trainer.theory.scale import SCALES
from trainer.theory.technique import Stroke, Technique
from trainer.theory.tuning import TUNINGS

ROOTS = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
MOVES = ["climb by one", "up two down one", "up three down two", "up one down two", "climb by four"]
ENDS = ["turning", "wrapping", "stopping"]
MARKED_STEPS = st.lists(
    st.builds("{}{}".format, st.sampled_from(["", "", "h", "p", "s"]), st.integers(1, 4)), min_size=1, max_size=5
)

listed = st.lists(st.integers(1, 3), min_size=1, max_size=4).map(lambda numbers: " ".join(map(str, numbers)))
ruled = st.builds(
    "{} from {} for {} {}".format,
    st.sampled_from(MOVES),
    st.integers(1, 5),
    st.integers(1, 12),
    st.sampled_from(ENDS),
)
cells = st.one_of(
    st.sampled_from(
        [
            "down",
            "up",
            "up and down",
            "fours down",
            "fives down",
            "fives up",
            "threes up",
            "up then down",
            "steps 1+3 2+4",
        ]
    ),
    st.lists(st.integers(0, 5), min_size=1, max_size=6).map(lambda steps: "steps " + " ".join(map(str, steps))),
    MARKED_STEPS.map(lambda steps: "steps " + " ".join(steps)),
)
recipes = st.fixed_dictionaries(
    {
        "key": st.builds("{} {}".format, st.sampled_from(ROOTS), st.sampled_from(sorted(SCALES))),
        "tuning": st.sampled_from(sorted(TUNINGS)),
        "strings": st.sampled_from(["1-2", "1", "2-3", "1-3", "1 3", "3-4", "all"]),
        "notes_a_string": st.sampled_from([None, 1, 2, 3]),
        "route": st.one_of(listed, ruled),
        "cell": cells,
        "rhythm": st.sampled_from(["sixteenths", "5 a beat", "4 then 3 a beat", "eighth + eighth rest"]),
        "articulation": st.sampled_from(["legato", "one pick a string", "picked"]),
        "shifts": st.sampled_from(["slid", "slid from below", "slid from the last note", "picked"]),
        "last_fret": st.sampled_from([24, 22, 15, 12]),
    }
)


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


@given(recipes)
@settings(max_examples=600, suppress_health_check=[HealthCheck.filter_too_much])
def test_every_recipe_that_compiles_can_be_played(table: dict[str, object]) -> None:
    recipe = Recipe.model_validate(table)
    try:
        exercise = compose(recipe, "line")
    except Unplayable:
        return

    for note in exercise.notes:
        assert 0 <= note.fret <= recipe.last_fret
        assert note.pitch == recipe.tuning.pitch_at(note.location)
        assert note.pitch % 12 in recipe.key.pitch_classes
        assert (note.finger is None) == (note.fret == 0)
        assert note.finger is None or 1 <= note.finger <= 4
    sounding = [(note.onset_quarters, note.course) for note in exercise.notes]
    assert len(set(sounding)) == len(sounding)
    assert sounding == sorted(sounding)
    _assert_techniques_are_legal(exercise)
    _assert_strokes_alternate(exercise)


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


def _assert_strokes_alternate(exercise: Exercise) -> None:
    strokes: dict[object, set[Stroke]] = {}
    for note in exercise.notes:
        assert (note.stroke is None) == (note.technique is not Technique.PICK and note.slide_from is None)
        if note.stroke is not None:
            strokes.setdefault(note.onset_quarters, set()).add(note.stroke)
    expected = [{Stroke.DOWN}, {Stroke.UP}]
    assert list(strokes.values()) == [expected[place % 2] for place in range(len(strokes))]
