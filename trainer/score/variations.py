"""Variations of an exercise: the same line in another key, tuning, rhythm, grouping, articulation.

A change is a word and what it becomes, `key=C#`, `grouping=fives`. Any field of a recipe can be given anew; besides:

- `key`: a root alone keeps the scale;
- `tempo`: `+8` and `-8` are added, `90%` is a share of what it was;
- `grouping`: `fives` or `5`: sequences in fives, or, where there are none, an accent on every fifth note;
- `mirrored`: `yes` plays the cells upside down, each position where it is;
- `direction`: `backward` plays the line from its last note to its first, `turned` whichever way it did not go;
- `slid`: `yes` or `no`: how the hand comes into the next position.

What is varied and what it was are twins: they name one family, so that their results can be compared.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from random import Random

from pydantic import ValidationError

from trainer.score.articulation import Articulation
from trainer.score.cell_words import SIZES, cells_text
from trainer.score.cells import Cell, Mixed, Sequence, mirrored
from trainer.score.compose import compose
from trainer.score.errors import ExerciseError, Unplayable
from trainer.score.neck import neck_of
from trainer.score.recipe import Order, Recipe, problem_of
from trainer.score.recipe_text import Said, field_texts
from trainer.score.words import number_of
from trainer.theory.naming import UnknownWord
from trainer.theory.scale import scale_named

_YES = {"yes": True, "no": False}
_MOST_TRIES = 60


def varied(recipe: Recipe, changes: Mapping[str, str], name: str) -> Recipe:
    """`recipe`, the exercise called `name`, with `changes`; `ExerciseError` for a word that means nothing.

    Whether the result can be played is for `compose` to say.
    """
    title, remark = told(recipe.title or name.replace("-", " ").capitalize(), changes)
    values: dict[str, Said] = {"title": title, "about": remark, "family": recipe.family or name}
    for word, value in changes.items():
        try:
            values |= _change(recipe, word.strip().replace("-", "_"), value.strip())
        except UnknownWord as error:
            raise ExerciseError(f"{word}: {error}") from error
    try:
        other = Recipe.model_validate(field_texts(recipe) | values)
    except ValidationError as error:
        raise ExerciseError("\n".join(problem_of(details) for details in error.errors())) from error
    return other if "tags" in changes else other.model_copy(update={"tags": _tags(recipe, other)})


def surprise(recipe: Recipe, name: str, chance: Random) -> tuple[Recipe, dict[str, str]]:
    """A variation by chance within the same material, and what was changed.

    Key, tuning, strings and positions stay; two of the ways to play the line change, at least one of them audibly.
    """
    before = compose(recipe, name).notes
    for _ in range(_MOST_TRIES):
        first = chance.choice(sorted(_SURPRISES))
        second = chance.choice(sorted((_SURPRISES | _TRIFLES).keys() - {first}))
        changes = {word: chance.choice((_SURPRISES | _TRIFLES)[word]) for word in (first, second)}
        other = varied(recipe, changes, name)
        try:
            if compose(other, name).notes != before:
                return other, changes
        except Unplayable:
            continue
    raise ExerciseError(f"{name}: nothing else can be made of it in {_MOST_TRIES} tries")


_SURPRISES = {
    "direction": ("turned",),
    "mirrored": ("yes",),
    "grouping": ("threes", "fours", "fives", "sixes"),
    "rhythm": ("triplets", "sixteenths", "dotted eighth + sixteenth", "5 a beat", "eighth + two sixteenths"),
    "articulation": ("picked", "legato", "one pick a string"),
}
_TRIFLES = {
    "accents": ("groups", "beats", "every 3", "every 5"),
    "start": ("after an eighth", "after a sixteenth"),
    "slid": ("yes", "no"),
}


def _change(recipe: Recipe, word: str, value: str) -> dict[str, Said]:
    """The fields that one change makes anew."""
    special: dict[str, Callable[[Recipe, str], dict[str, Said]]] = {
        "key": _key,
        "tempo": _tempo,
        "grouping": _grouping,
        "mirrored": _mirrored,
        "direction": _direction,
        "slid": _slid,
    }
    if word in special:
        return special[word](recipe, value)
    if word not in Recipe.model_fields:
        raise UnknownWord(word, "something to vary", (*special, *Recipe.model_fields))
    number = number_of(value) if word in {"notes_a_string", "strings_at_a_time", "last_fret"} else None
    return {word: [tag.strip() for tag in value.split(",")] if word == "tags" else value if number is None else number}


def _key(recipe: Recipe, value: str) -> dict[str, Said]:
    root, _, scale = value.partition(" ")
    if scale:
        scale_named(scale)
    return {"key": value if scale else f"{root} {recipe.key.scale.name}"}


def _tempo(recipe: Recipe, value: str) -> dict[str, Said]:
    after = tempo_after(recipe.pace.quarters_per_minute, value)
    return {"tempo": int(after) if after.denominator == 1 else round(float(after), 1)}


def tempo_after(before: Fraction, value: str) -> Fraction:
    """The tempo that `96`, `+8`, `-8` or `90%` makes of `before`; `UnknownWord` for anything else."""
    try:
        if value.endswith("%"):
            return before * Fraction(value[:-1]) / 100
        if value[:1] in {"+", "-"}:
            return before + Fraction(value)
        return Fraction(value)
    except (ValueError, ZeroDivisionError) as error:
        raise UnknownWord(value, "a tempo such as 96, +8, -8 or 90%") from error


def _grouping(recipe: Recipe, value: str) -> dict[str, Said]:
    size = SIZES.get(value.lower()) or number_of(value) or 0
    if not 2 <= size <= max(SIZES.values()):
        raise UnknownWord(value, "a size of groups", SIZES)
    cells = tuple(_regrouped(cell, size) for cell in recipe.cell)
    if cells == recipe.cell:
        return {"accents": f"every {size}"}
    return {"cell": cells_text(cells), "accents": "groups"}


def _regrouped(cell: Cell, size: int) -> Cell:
    """The cell in groups of `size`, where it is made of groups of consecutive steps."""
    match cell:
        case Sequence(offsets=offsets) if offsets == tuple(range(len(offsets))):
            return replace(cell, offsets=tuple(range(size)))
        case Mixed(directions=directions):
            return Sequence(tuple(range(size)), directions)
        case _:
            return cell


def _mirrored(recipe: Recipe, value: str) -> dict[str, Said]:
    if not yes_or_no(value):
        return {}
    neck = neck_of(recipe).part(0)
    steps = neck.positions.notes_a_string * len(neck.courses)
    return {"cell": cells_text(mirrored(cell, steps) for cell in recipe.cell)}


def _direction(recipe: Recipe, value: str) -> dict[str, Said]:
    if value.lower() != "turned":
        return {"order": value}
    return {"order": (Order.FORWARD if recipe.order is Order.BACKWARD else Order.BACKWARD).value}


def _slid(recipe: Recipe, value: str) -> dict[str, Said]:
    if not yes_or_no(value):
        return {"shifts": "picked"}
    return {"shifts": recipe.shifts.value if recipe.shifts.value.startswith("slid") else "slid"}


def yes_or_no(value: str) -> bool:
    """`yes` or `no`; `UnknownWord` for anything else."""
    if value.lower() not in _YES:
        raise UnknownWord(value, "an answer", _YES)
    return _YES[value.lower()]


def told(title: str, changes: Mapping[str, str]) -> tuple[str, str]:
    """The title with what was changed behind it, and a text in place of one that need not be true any more."""
    row = ", ".join(f"{word.replace('_', ' ')} {value}" for word, value in changes.items())
    return f"{title}: {row}", f"Made of {title} by {row}. Compare the two at one tempo."


def _tags(before: Recipe, after: Recipe) -> tuple[str, ...]:
    """The tags, those that name the way to play as it is now; a line without any such tag gets none."""
    ways = {"slid", "unslid"}, {"picked", "legato"}, set(SIZES)
    sizes = {
        f"{name}"
        for cell in after.cell
        if isinstance(cell, Sequence)
        for name, size in SIZES.items()
        if cell.offsets == tuple(range(size))
    }
    now = (
        {"slid" if after.shifts.value.startswith("slid") else "unslid"},
        {"picked" if after.articulation is Articulation.PICKED else "legato"},
        sizes,
    )
    tags = [tag for tag in before.tags if not any(tag in way for way in ways)]
    for way, new in zip(ways, now, strict=True):
        if way & set(before.tags):
            tags += sorted(new)
    return tuple(tags)
