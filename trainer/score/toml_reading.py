"""Exercise files: TOML in, a recipe and its exercise out, or every mistake at once with its line.

tomllib keeps no line numbers, so the lines of keys are found again in the text; that is only done when there is
something to complain about.
"""

import re
import tomllib
from pathlib import Path

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from trainer.score.compose import compose
from trainer.score.errors import ExerciseError, Unplayable
from trainer.score.exercise import Exercise
from trainer.score.recipe import Recipe, problem_of

LARGEST_BYTES = 256 * 1024
"""A recipe has a few lines: a larger file is a slip or an attack."""

_KEY = re.compile(r"""^\s*(?P<quote>["']?)(?P<key>[\w-]+)(?P=quote)\s*=""")
_AT_LINE = re.compile(r"\s*\(at line (\d+), column \d+\)|\s*\(at end of document\)")
_MULTI_LINE = re.compile(r'"""|\'\'\'')


def read_toml(path: Path) -> Exercise:
    """The exercise in a TOML file; `ExerciseError` with a line `file:line: ...` for each mistake."""
    return exercise_from_toml(_text_of(path), path.stem, str(path))


def read_recipe(path: Path) -> Recipe:
    """The recipe in a TOML file, whether it can be played or not; `ExerciseError` as with `read_toml`."""
    return recipe_from_toml(_text_of(path), str(path))


def _text_of(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise ExerciseError(f"{path}: is too large: expected at most {LARGEST_BYTES // 1024} KB")
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise ExerciseError(f"{path}: cannot be read ({error.strerror or error})") from error
    except UnicodeDecodeError as error:
        line = path.read_bytes()[: error.start].count(b"\n") + 1
        raise ExerciseError(f"{path}:{line}: is not UTF-8 text, as TOML has to be") from error


def exercise_from_toml(text: str, name: str, source: str) -> Exercise:
    """The exercise that a TOML text describes; `source` stands before the line number in the errors."""
    recipe = recipe_from_toml(text, source)
    try:
        return compose(recipe, name)
    except Unplayable as error:
        raise ExerciseError(f"{source}:{line_of(text, error.field)}: {error.field}: {error}") from error


def recipe_from_toml(text: str, source: str) -> Recipe:
    """The recipe that a TOML text is; `source` stands before the line number in the errors."""
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        at = _AT_LINE.search(str(error))
        line = int(at[1]) if at and at[1] else text.count("\n") + 1
        raise ExerciseError(f"{source}:{line}: is not TOML: {_AT_LINE.sub('', str(error))}") from error
    except RecursionError as error:
        raise ExerciseError(f"{source}:1: is nested too deeply: expected one line for each field") from error
    except ValueError as error:
        raise ExerciseError(f"{source}:1: holds a number of thousands of digits") from error
    try:
        return Recipe.model_validate(table)
    except ValidationError as error:
        problems = sorted((_line_of(details, text), problem_of(details)) for details in error.errors())
        raise ExerciseError("\n".join(f"{source}:{line}: {problem}" for line, problem in problems)) from error


def line_of(text: str, key: str) -> int:
    """The line of a TOML text on which a top-level key stands, 1 if nowhere."""
    open_string = ""
    for number, line in enumerate(text.splitlines(), start=1):
        if not open_string and (match := _KEY.match(line)) and match["key"] == key:
            return number
        for mark in _MULTI_LINE.findall(line):
            if not open_string:
                open_string = mark
            elif open_string == mark:
                open_string = ""
    return 1


def _line_of(details: ErrorDetails, text: str) -> int:
    return line_of(text, str(details["loc"][0])) if details["loc"] else 1
