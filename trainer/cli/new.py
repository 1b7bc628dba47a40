"""`boxwalk new` and `boxwalk vary`: write a line, or make another one of it, look at it, and keep it."""

from typing import TYPE_CHECKING

import click

from trainer.cli.complaint import Complaint, complaints
from trainer.cli.hearing import hear_option, let_sound

if TYPE_CHECKING:
    from trainer.score.exercise import Exercise
    from trainer.score.recipe import Recipe

_name_option = click.option("--name", metavar="NAME", help="What the exercise is called by commands, e.g. ridge-path.")
_save_option = click.option("--save", is_flag=True, help="Keep it among your own exercises.")
_width_option = click.option("--width", type=click.IntRange(40, 400), default=100, show_default=True)


@click.command()
@click.argument("line")
@_name_option
@_save_option
@hear_option
@_width_option
def new(line: str, *, name: str | None, save: bool, hear: bool, width: int) -> None:
    """Show the exercise that LINE describes, and keep it with --save.

    LINE is a list of clauses, in any order: "A dorian, strings 1-3, whole neck, thirds up and down, triplets, 72".
    """
    from trainer.score.one_line import name_of_line, recipe_from_line
    from trainer.score.toml_writing import recipe_to_toml

    with complaints():
        recipe = recipe_from_line(line)
    exercise = _show(recipe, name or name_of_line(line), width)
    if save:
        _keep(recipe_to_toml(recipe), name or name_of_line(recipe.title or line))
    if hear:
        let_sound(exercise)


@click.command()
@click.argument("exercise")
@click.argument("changes", nargs=-1)
@click.option("--surprise", "seed", type=int, metavar="SEED", help="Let chance choose two changes within the material.")
@_name_option
@_save_option
@hear_option
@_width_option
def vary(
    exercise: str,
    changes: tuple[str, ...],
    seed: int | None,
    name: str | None,
    save: bool,  # noqa: FBT001 - click passes options by name
    hear: bool,  # noqa: FBT001 - click passes options by name
    width: int,
) -> None:
    """Make another line of EXERCISE: CHANGES such as key=C# tuning=drop-d articulation=legato.

    Any field of an exercise can be changed (strings, route, rhythm, cell ...), and also grouping=fives, mirrored=yes,
    direction=backward, slid=no, tempo=+8 or tempo=90%. What you keep is a twin of what it was made of.
    """
    from trainer.cli.naming import exercise_named, recipe_named
    from trainer.score.errors import NoRecipe
    from trainer.score.note_list import note_list_text
    from trainer.score.note_variations import varied_notes
    from trainer.score.toml_writing import recipe_to_toml

    asked = _asked(changes)
    if not asked and seed is None:
        raise Complaint("nothing to change: say what, such as key=C# or rhythm=triplets, or --surprise 1")
    with complaints():
        try:
            origin, recipe = recipe_named(exercise)
        except NoRecipe:
            if seed is not None:
                raise
            line = exercise_named(exercise)
            other = varied_notes(line, asked)
            name = name or _name_of(line.name, asked)
            _show_notes(other, width)
            text = note_list_text(other)
        else:
            recipe, asked = _varied(recipe, origin, asked, seed)
            name = name or _name_of(origin, asked)
            other = _show(recipe, name, width)
            text = recipe_to_toml(recipe)
    if save:
        _keep(text, name)
    if hear:
        let_sound(other)


def _varied(recipe: "Recipe", origin: str, asked: dict[str, str], seed: int | None) -> "tuple[Recipe, dict[str, str]]":
    """The variation, and all that was changed: what was asked for, and then what chance has chosen."""
    from random import Random

    from trainer.score.variations import surprise, varied

    if asked:
        recipe = varied(recipe, asked, origin)
    if seed is not None:
        recipe, drawn = surprise(recipe, origin, Random(seed))
        click.echo("Changed: " + ", ".join(f"{word}={value}" for word, value in drawn.items()))
        asked = asked | drawn
    return recipe, asked


def _asked(changes: tuple[str, ...]) -> dict[str, str]:
    asked: dict[str, str] = {}
    for change in changes:
        word, sign, value = change.partition("=")
        if not sign or not value.strip():
            raise Complaint(f"{change!r} is not a change: expected a word and what it becomes, such as key=C#")
        asked[word.strip().lower()] = value
    return asked


def _name_of(origin: str, asked: dict[str, str]) -> str:
    from trainer.score.one_line import name_of_line

    return name_of_line(" ".join((origin, *(f"{word} {value}" for word, value in asked.items()))))


def _show(recipe: "Recipe", name: str, width: int) -> "Exercise":
    from trainer.score.compose import compose
    from trainer.score.errors import Unplayable
    from trainer.score.one_line import line_of

    try:
        exercise = compose(recipe, name)
    except Unplayable as error:
        raise Complaint(f"{error.field}: {error}") from error
    _show_notes(exercise, width)
    # The heading is shown above; what is said again is the line itself.
    line = line_of(recipe.model_copy(update={"title": "", "about": "", "tags": (), "family": ""}))
    click.echo(f"As a line: {line}")
    return exercise


def _show_notes(exercise: "Exercise", width: int) -> None:
    from trainer.sheets.text_tablature import text_tablature

    click.echo(text_tablature(exercise, width=width))


def _keep(text: str, name: str) -> None:
    from trainer.keeping import checked_name, keep_text

    with complaints():
        path = keep_text(text, checked_name(name))
    click.echo(f"Kept as {path}: `boxwalk practise {name}` plays it.")
