"""A line of text while it is being written: what it says, what is wrong with it where, and one field said anew.

The text is kept as it was typed; only the clause of the field that changes is written again, so that the rest of the
line stays in its writer's own words and order, mistakes included.

Conventions: columns count letters of the text as typed, from 0.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from pydantic import ValidationError

from trainer.score.exercise import Exercise
from trainer.score.one_line import Clause, LineError, LineProblem, clause_text, clauses_of, field_of, read_line
from trainer.score.recipe import Recipe
from trainer.score.recipe_text import Said, field_texts
from trainer.theory.naming import UnknownWord


@dataclass(frozen=True, slots=True)
class Draft:
    """A line, and either what it says or what is wrong with it."""

    text: str
    recipe: Recipe | None = None
    """None where it cannot be read."""
    exercise: Exercise | None = None
    """None where it cannot be played, or not even be read."""
    problems: tuple[LineProblem, ...] = ()


@dataclass(frozen=True, slots=True)
class _Spacing:
    """A text without its needless spaces, and which column each of its letters had."""

    line: str
    columns: tuple[int, ...] = field(repr=False)
    """One more than there are letters: the last is where the text ends."""

    def column(self, place: int) -> int:
        """The column of a letter of the line; past its end they go on."""
        last = len(self.line)
        return self.columns[place] if place <= last else self.columns[last] + place - last


def draft_of(text: str) -> Draft:
    """Read a line; it never raises."""
    try:
        recipe, exercise = read_line(text)
    except LineError as error:
        spacing = _spacing(text)
        problems = tuple(_as_typed(problem, spacing) for problem in error.problems)
        return Draft(text, error.recipe, problems=problems)
    return Draft(text, recipe, exercise)


def with_field(text: str, recipe: Recipe, name: str, value: Said) -> str:
    """The line with field `name` saying `value`; a default is left unsaid, as is a number 0, one that is not given.

    `recipe` is what the line says, or said before there was a mistake in it. `UnknownWord` for a meaningless value.
    """
    values = {**field_texts(recipe), name: value}
    if value == 0:
        del values[name]
    try:
        other = Recipe.model_validate(values)
    except ValidationError as error:
        raise UnknownWord(str(value), f"something that {name} can be") from error
    said = field_texts(other).get(name)
    clause = "" if said is None else clause_text(name, said)
    spacing = _spacing(text)
    spans = [
        (spacing.column(found.column), spacing.column(found.column + len(found.text) - 1) + 1)
        for found in clauses_of(spacing.line)
        if _field(found) == name
    ]
    if not spans:
        return _appended(text, clause)
    for begin, end in reversed(spans[1:]):
        text = _without(text, begin, end)
    begin, end = spans[0]
    return text[:begin] + clause + text[end:] if clause else _without(text, begin, end)


def fields_said(text: str) -> Mapping[str, tuple[int, int]]:
    """Where each field is said in a line: the columns of its clause, the end not included."""
    spacing = _spacing(text)
    return {
        name: (spacing.column(found.column), spacing.column(found.column + len(found.text) - 1) + 1)
        for found in reversed(clauses_of(spacing.line))
        if (name := _field(found)) is not None
    }


def _field(clause: Clause) -> str | None:
    try:
        return field_of(clause)[0]
    except UnknownWord:
        return None


def _spacing(text: str) -> _Spacing:
    letters: list[str] = []
    columns: list[int] = []
    for column, letter in enumerate(text):
        if not letter.isspace():
            letters.append(letter)
            columns.append(column)
        elif letters and letters[-1] != " ":
            letters.append(" ")
            columns.append(column)
    if letters and letters[-1] == " ":
        letters.pop()
        columns.pop()
    return _Spacing("".join(letters), (*columns, columns[-1] + 1 if columns else 0))


def _as_typed(problem: LineProblem, spacing: _Spacing) -> LineProblem:
    begin = spacing.column(problem.column)
    return replace(problem, column=begin, width=max(1, spacing.column(problem.column + problem.width - 1) + 1 - begin))


def _appended(text: str, clause: str) -> str:
    kept = text.rstrip().removesuffix(",").rstrip()
    return ", ".join(part for part in (kept, clause) if part)


def _without(text: str, begin: int, end: int) -> str:
    """The text without a clause and the comma that set it apart."""
    before, after = text[:begin].rstrip(), text[end:].lstrip()
    if after.startswith(","):
        after = after[1:].lstrip()
        return f"{before} {after}" if before else after
    return before.removesuffix(",").rstrip() + after
