"""An exercise as one line of text: the words of a recipe, without a file.

    B minor pentatonic, strings 1-2, positions 4 5 1 2 3 4, fours down, sixteenths, slide shifts, legato, 96

The line is a list of clauses between commas, in any order; each is known by its words, or by the name of its field in
front (`rhythm eighths`):

| field             | clauses                                                                             |
|-------------------|-------------------------------------------------------------------------------------|
| key               | `F# minor pentatonic`, `Ab dorian`                                                  |
| tuning            | `drop D`, `seven strings`, `open-g tuning`                                          |
| strings           | `strings 1-2`, `strings 1 2 4`, `string 1`, `top three strings`, `all strings`      |
| notes_a_string    | `three notes a string`                                                              |
| route             | `positions 4 5 1 2`, `climb by one from 4 turning`, `up two, down one from 4 for 6`,|
|                   | `whole neck`                                                                        |
| strings_at_a_time | `two strings at a time`                                                             |
| cell              | `fours down`, `up then down`, `two fours down, then a five down`, `steps 1 3 2 4`,  |
|                   | `thirds up and down`, `pedal up`, `arpeggio 2 5 1 up`, `mixed 4 4 5 up` ...         |
| order             | `backward`                                                                          |
| rhythm            | `sixteenths`, `5 a beat`, `dotted eighth + sixteenth`                               |
| start             | `after an eighth`                                                                   |
| accents           | `accent groups`, `accents on beats`, `accent every 3`, `accent 1 4`                 |
| articulation      | `picked`, `legato`, `one pick a string`                                             |
| shifts            | `picked shifts`, `slide shifts`, `shifts slid from below`                           |
| first_stroke      | `up-stroke first`                                                                   |
| tempo             | `96`, `at 96`                                                                       |
| meter             | `7/8`, `in 7/8`                                                                     |
| last_fret         | `22 frets`                                                                          |
| hand              | `for a child`, `for a small hand`                                                   |
| title, about      | `title Quarry steps`, `about "Slowly, then faster."`: commas need quotation marks   |
| tags, family      | `tags "fours, slid"`, `family quarry-steps`                                         |

What each clause may say is told where its field is read: `route`, `cell_words`, `rhythm`, `articulation`, `recipe`.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from trainer.score.cell_words import CELL_WORDS
from trainer.score.compose import compose
from trainer.score.errors import ExerciseError, Unplayable
from trainer.score.exercise import Exercise
from trainer.score.recipe import Recipe, problem_of
from trainer.score.recipe_text import Said, field_texts
from trainer.score.rhythm import VALUE_NAMES
from trainer.score.words import number_of, number_word
from trainer.theory.naming import UnknownWord
from trainer.theory.scale import SCALES
from trainer.theory.tuning import TUNINGS, tuning_named

_NOTE = re.compile(r"[A-Ga-g](?:#{1,2}|b{1,2}|♯|♭)?")
LONGEST_LINE = 4000
"""Characters; the longest of the shipped lines has under 300."""
_NUMBER = r"(?:an?|one|two|three|four|five|six|seven|eight|\d+)"
_SINGULAR = r"(?:two|three|four|five|six|seven|eight)(?= (?:up|down)\b)"
_CELL = rf"(?:{'|'.join(CELL_WORDS)}|arpeggios|seventh|orders|{_SINGULAR})\b"

# Tried in this order; a group, where there is one, is what the recipe's field says, else the whole clause is.
_CLAUSES = tuple(
    (field, re.compile(pattern, re.IGNORECASE))
    for field, pattern in (
        *((field, rf"{field} (.*)") for field in Recipe.model_fields),
        ("strings_at_a_time", r"(\S+) strings? at a time"),
        ("strings", r"strings? (?!skips\b)(.*)"),
        ("strings", rf"(top {_NUMBER}) strings?"),
        ("strings", r"(all) strings"),
        ("notes_a_string", r"(\S+) notes? (?:a|per) string"),
        ("route", r"(?:positions?|through|climb|high|low|(?:the )?whole neck)\b.*"),
        ("route", rf"(?:up|down) {_NUMBER}\b.*"),
        ("accents", r"(?:accents?|accented)(?: on)? (.*)"),
        ("shifts", r"(.*) shifts?"),
        ("shifts", r"(?:shifts? )?(slid\b.*|slide)"),
        ("first_stroke", r"(\w+)[- ]?strokes? first"),
        ("last_fret", r"(\S+) frets"),
        ("meter", r"(?:in )?(\d+ ?/ ?\d+)"),
        ("tempo", r"(?:at )?([\d.]+)(?: bpm)?"),
        ("articulation", r"picked|legato|one pick .*"),
        ("cell", rf"(?:{_NUMBER} )?{_CELL}.*"),
        ("order", r"(forward|backward)s?"),
        ("start", r"on the beat|after .*"),
        ("rhythm", rf".*\b(?:{'|'.join(VALUE_NAMES)})s?\b.*|.* (?:a|per) beat"),
        ("hand", r"for (?:an? )?(.*)"),
        ("tuning", r"(.*) tuning"),
    )
)
_FIRST_WORDS = (
    *(
        "positions",
        "climb",
        "whole neck",
        "high",
        "strings",
        "top",
        "all",
        "accent",
        "picked",
        "legato",
        "shifts",
        "slide",
    ),
    *("dotted", "at", "in", "title", "about", "tags", "backward", "after", "for a"),
    *CELL_WORDS,
    *(f"{value}s" for value in VALUE_NAMES),
    *TUNINGS,
    *SCALES,
)


@dataclass(frozen=True, slots=True)
class Clause:
    """A piece of the line, and the column that it begins at, from 0."""

    text: str
    column: int


@dataclass(frozen=True, slots=True, order=True)
class LineProblem:
    """What is wrong, and where in the line: the column, from 0, and how many letters."""

    column: int
    width: int
    text: str


class LineError(ExerciseError):
    """A line that cannot be read or played: `str()` underlines every mistake in it."""

    def __init__(self, line: str, problems: Iterable[LineProblem], recipe: Recipe | None = None) -> None:
        self.problems = tuple(sorted(problems))
        self.recipe = recipe
        """What the line says, where it can be read and only not be played."""
        super().__init__(_told(line, self.problems))


def exercise_from_line(text: str) -> Exercise:
    """The exercise that a line of text describes; `ExerciseError` with every mistake underlined in the line."""
    recipe, exercise = read_line(text)
    return exercise if recipe.title else replace(exercise, title=" ".join(text.split()))


def recipe_from_line(text: str) -> Recipe:
    """The recipe that a line of text describes; `ExerciseError` with every mistake, also when it cannot be played."""
    return read_line(text)[0]


def name_of_line(text: str) -> str:
    """A name for files and lists: the words of the line, joined by hyphens, at most about 60 characters."""
    words = re.sub(r"[^a-z0-9]+", "-", text.lower().replace("#", " sharp ")).strip("-")
    return words if len(words) <= 60 else words[:60].rpartition("-")[0]


def line_of(recipe: Recipe) -> str:
    """The line of text that says what `recipe` says; `recipe_from_line` reads it back.

    >>> line_of(recipe_from_line("four up, E dorian, tempo 96, through 1, 2"))
    'E dorian, positions 1 2, fours up, 96'
    """
    values = field_texts(recipe)
    heading = [(field, values.pop(field, "")) for field in ("title", "about", "tags", "family")]
    clauses = [clause_text(field, value) for field, value in values.items()]
    return ", ".join(clauses + [f"{field} {_quoted(value)}" for field, value in heading if value])


def read_line(text: str) -> tuple[Recipe, Exercise]:
    """The recipe that a line of text describes and its exercise; `LineError` with every mistake."""
    line = " ".join(text.split())
    if len(line) > LONGEST_LINE:
        raise ExerciseError(f"{line[:60]}...: expected a line of at most {LONGEST_LINE} characters")
    clauses, problems = _sorted_out(line)
    recipe: Recipe | None = None
    try:
        recipe = Recipe.model_validate({field: _value(field, said) for field, said in clauses.items()})
        if not problems:
            return recipe, compose(recipe, name_of_line(line))
        recipe = None  # it lacks what could not be understood
    except ValidationError as error:
        # What is missing may be what could not be understood: that is said already.
        errors = [details for details in error.errors() if not (problems and details["type"] == "missing")]
        problems += [_of_field(details, clauses, line) for details in errors]
    except Unplayable as error:
        blamed = clauses.get(error.field, Clause(line, 0))
        problems.append(LineProblem(blamed.column, len(blamed.text), f"{error.field}: {error}"))
    raise LineError(line, problems, recipe)


def _sorted_out(line: str) -> tuple[dict[str, Clause], list[LineProblem]]:
    """What the line says about each field, and the clauses that say nothing or say it again."""
    clauses: dict[str, Clause] = {}
    problems: list[LineProblem] = []
    for clause in clauses_of(line):
        try:
            field, said = field_of(clause)
        except UnknownWord as error:
            problems.append(_at_word(clause, error.word, str(error)))
            continue
        if field in clauses:
            problems.append(LineProblem(clause.column, len(clause.text), f"the {field} is given twice"))
        clauses.setdefault(field, said)
    return clauses, problems


def clauses_of(line: str) -> list[Clause]:
    """The clauses between the commas; a comma inside a list of numbers, moves or cells does not divide."""
    clauses: list[Clause] = []
    for match in re.finditer(r'(?:"(?:\\.|[^"\\])*"|[^,])+', line):
        text = match[0].strip()
        if not text:
            continue
        column = match.start() + len(match[0]) - len(match[0].lstrip())
        if clauses and _goes_on(clauses[-1].text, text):
            begin = clauses.pop().column
            clauses.append(Clause(line[begin : column + len(text)], begin))
        else:
            clauses.append(Clause(text, column))
    return clauses


def _goes_on(before: str, text: str) -> bool:
    is_move = re.match(rf"(?:up|down) {_NUMBER}\b", text, re.IGNORECASE)
    follows_move = re.fullmatch(rf"(?:(?:,? ?)(?:up|down) {_NUMBER})+", before, re.IGNORECASE)
    # No tempo is below 10, so a lone small number belongs to the list before it.
    is_small = re.fullmatch(r"0*[0-9]", text) is not None
    if re.match(r"(?:arpeggio|figure|mixed|orders|seventh)\b", before, re.IGNORECASE) and before[-1].isdigit():
        # The rest of the list that the cell's words begin with, and what ends the cell.
        return re.fullmatch(r"\d(?: \d)*(?: (?:up|down|by chance)\b.*| in turn)?", text, re.IGNORECASE) is not None
    return text.lower().startswith("then ") or bool(is_move and follows_move) or is_small


def field_of(clause: Clause) -> tuple[str, Clause]:
    """The field that a clause is about and what it says; `UnknownWord` when it is about none."""
    if _is_tuning(clause.text):
        return "tuning", clause
    for field, pattern in _CLAUSES:
        if (match := pattern.fullmatch(clause.text)) is not None:
            group = 1 if pattern.groups else 0
            return field, Clause(match[group], clause.column + match.start(group))
    first = clause.text.split()[0]
    if _NOTE.fullmatch(first):
        return "key", clause
    raise UnknownWord(first, "the beginning of anything that a line can say", _FIRST_WORDS)


@lru_cache(maxsize=4096)  # while a line is written its clauses are read again with every letter
def _is_tuning(text: str) -> bool:
    try:
        tuning_named(text)
    except UnknownWord:
        return False
    return True


def _value(field: str, said: Clause) -> str | int | list[str]:
    """What the recipe's field is given."""
    if field in _NUMBERS and (number := number_of(said.text)) is not None:
        return number
    if field in _QUOTED:
        text = _unquoted(said.text)
        return [tag.strip() for tag in text.split(",")] if field == "tags" else text
    return said.text


_NUMBERS = {"notes_a_string", "strings_at_a_time", "last_fret"}
_QUOTED = {"title", "about", "tags"}


def _unquoted(text: str) -> str:
    if len(text) > 1 and text[0] == text[-1] == '"':
        return re.sub(r"\\(.)", r"\1", text[1:-1])
    return text


def _quoted(value: Said) -> str:
    text = ", ".join(value) if isinstance(value, list) else str(value)
    if re.fullmatch(r'[^",\\]*', text):
        return text
    escaped = re.sub(r'(["\\])', r"\\\1", text)
    return f'"{escaped}"'


def clause_text(field: str, value: Said) -> str:
    """The clause that gives a field a value, as `field_texts` has it."""
    match field:
        case "route" if not str(value).startswith(("climb", "up", "down")):
            return f"positions {value}"
        case "tuning":
            return f"{value} tuning"
        case "strings":
            return f"strings {value}"
        case "notes_a_string":
            return f"{number_word(int(str(value)))} notes a string"
        case "strings_at_a_time":
            return "one string at a time" if value == 1 else f"{number_word(int(str(value)))} strings at a time"
        case "accents":
            return f"accent {value}"
        case "shifts":
            return str(value) if str(value).startswith("slid from") else f"{value} shifts"
        case "first_stroke":
            return f"{value}-stroke first"
        case "last_fret":
            return f"{value} frets"
        case "hand":
            return f"for {'an' if str(value)[0] in 'aeiou' else 'a'} {value}"
        case _:
            return str(value)


def _of_field(details: ErrorDetails, clauses: dict[str, Clause], line: str) -> LineProblem:
    clause = clauses.get(str(details["loc"][0]))
    if clause is None:
        return LineProblem(len(line), 1, problem_of(details))
    cause = details.get("ctx", {}).get("error")
    word = cause.word if isinstance(cause, UnknownWord) else clause.text
    return _at_word(clause, word, problem_of(details))


def _at_word(clause: Clause, word: str, text: str) -> LineProblem:
    """A problem with one word of a clause; an empty word is one that is missing at its end."""
    if not word:
        return LineProblem(clause.column + len(clause.text), 1, text)
    match = re.search(rf"(?<!\w){re.escape(word)}(?!\w)", clause.text, re.IGNORECASE)
    if match is None:
        return LineProblem(clause.column, len(clause.text), text)
    return LineProblem(clause.column + match.start(), len(word), text)


def _told(line: str, problems: tuple[LineProblem, ...]) -> str:
    marks = [" "] * (max(problem.column + problem.width for problem in problems) + 1)
    for problem in problems:
        marks[problem.column : problem.column + problem.width] = "^" * problem.width
    told = (f"column {problem.column + 1}: {problem.text}" for problem in problems)
    return "\n".join((line, "".join(marks).rstrip(), *told))
