"""A task as a teacher types it: an exercise, then what is asked of it, between semicolons."""

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from trainer.homework.assignment import LONGEST_NOTE, MOST_PASSES, Task
from trainer.homework.errors import HomeworkError
from trainer.homework.line import line_in
from trainer.homework.wording import exercise_name, shown
from trainer.score.compose import compose
from trainer.score.errors import NoRecipe, Unplayable
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise, load_recipe
from trainer.score.note_variations import varied_notes
from trainer.score.recipe import Recipe
from trainer.score.serial import exercise_to_dict
from trainer.score.tempo import Tempo
from trainer.score.variations import varied
from trainer.theory.naming import UnknownWord

WORDS = ("target", "passes", "articulation", "note")


def task_from_words(words: str, own: Iterable[Path], target_qpm: float | None, passes: int) -> Task:
    """The task that `words` mean, e.g. `two-gates; target 96; articulation legato`.

    `ExerciseError` or `HomeworkError` says what is wrong with them.
    """
    name, *clauses = (part.strip() for part in words.split(";"))
    said = dict(_clause(clause) for clause in clauses if clause)
    target = said.get("target", "" if target_qpm is None else str(target_qpm))
    return task_of(
        name, own, target, said.get("passes", str(passes)), said.get("articulation", ""), said.get("note", "")
    )


def task_of(name: str, own: Iterable[Path], target: str, passes: str, articulation: str = "", note: str = "") -> Task:
    """The task that these words mean, field by field; without a target it is the line's own tempo. Errors as above."""
    own = tuple(own)
    exercise = _varied(name, own, articulation) if articulation else load_exercise(name, own)
    return task_with(exercise, target, passes, articulation, note)


def task_with(exercise: Exercise, target: str, passes: str, articulation: str = "", note: str = "") -> Task:
    """The same of an exercise that is here and is played like that already."""
    # What cannot be opened is not given out, and what it is called here it is to be called there.
    exercise = line_in(exercise_to_dict(replace(exercise, name=exercise_name(exercise.name))))
    return Task(
        exercise=exercise,
        target_qpm=_target(target) if target else exercise.tempo.quarters_per_minute,
        passes=_passes(passes),
        articulation=shown(articulation, 200),
        note=shown(note, LONGEST_NOTE),
    )


def _clause(clause: str) -> tuple[str, str]:
    word, _, value = clause.partition(" ")
    word = word.rstrip(":=").lower()
    if word not in WORDS:
        raise HomeworkError(f"{clause!r:.60}: {UnknownWord(word, 'what can be asked of an exercise', WORDS)}")
    return word, value.strip()


def _varied(name: str, own: tuple[Path, ...], articulation: str) -> Exercise:
    change = {"articulation": articulation}
    try:
        known, recipe = load_recipe(name, own)
    except NoRecipe:
        line = load_exercise(name, own)
        known, other = line.name, varied_notes(line, change)
    else:
        other = _composed(varied(recipe, change, known), known)
    return replace(other, name=exercise_name(f"{known} {articulation}"))


def _composed(recipe: Recipe, name: str) -> Exercise:
    try:
        return compose(recipe, name)
    except Unplayable as error:
        raise HomeworkError(f"{name}: {error.field}: {error}") from error


def _target(text: str) -> Fraction:
    try:
        return Tempo(Fraction(float(text)).limit_denominator(1000)).quarters_per_minute
    except (ValueError, OverflowError):
        raise HomeworkError(f"target {text!r:.20}: expected 10 to 400 quarters a minute") from None


def _passes(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) < 4 and 1 <= int(text) <= MOST_PASSES):
        raise HomeworkError(f"passes {text!r:.20}: expected 1 to {MOST_PASSES}")
    return int(text)
