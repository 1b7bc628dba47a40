"""Short ways to a recipe and to what is looked at in a composed line."""

from trainer.score.compose import compose
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.recipe import Recipe
from trainer.theory.technique import Technique

_LETTERS = {Technique.PICK: "", Technique.HAMMER: "h", Technique.PULL: "p", Technique.SLIDE: "s"}


def line(**fields: object) -> Exercise:
    """A composed line: B minor pentatonic on the top two strings, position 1, fours down, unless said otherwise."""
    plain: dict[str, object] = {"key": "B minor pentatonic", "strings": "1-2", "route": "1", "cell": "fours down"}
    return compose(Recipe.model_validate(plain | fields), "line")


def tab(exercise: Exercise) -> str:
    """The notes as `string/fret`, with h, p, s for what is not picked and the fret that a grace begins on."""
    return " ".join(_tab(note) for note in exercise.notes)


def _tab(note: ScoreNote) -> str:
    grace = "" if note.slide_from is None else f"({note.slide_from.fret})"
    return f"{note.course}/{_LETTERS[note.technique]}{grace}{note.fret}"
