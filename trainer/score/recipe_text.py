"""What a recipe says, field by field, in the words that it is read from."""

from trainer.score.articulation import accents_text
from trainer.score.cell_words import cells_text
from trainer.score.recipe import Recipe, courses_text, start_text
from trainer.score.rhythm import rhythm_text
from trainer.score.route import route_text

Said = str | int | float | list[str]


def field_texts(recipe: Recipe) -> dict[str, Said]:
    """Each field that says something other than its default, in the order of the recipe.

    `Recipe.model_validate` makes the same recipe of it.
    """
    fields = Recipe.model_fields
    return {
        field: value
        for field, value in all_field_texts(recipe).items()
        if fields[field].is_required() or getattr(recipe, field) != fields[field].default
    }


def all_field_texts(recipe: Recipe) -> dict[str, Said]:
    """Each field, also where it says its default; 0 is a number that is not given."""
    return {
        "title": recipe.title,
        "about": recipe.about,
        "tags": list(recipe.tags),
        "family": recipe.family,
        "key": recipe.key.name,
        "tuning": recipe.tuning.name,
        "strings": courses_text(recipe.strings),
        "notes_a_string": recipe.notes_a_string or 0,
        "route": route_text(recipe.route),
        "strings_at_a_time": recipe.strings_at_a_time or 0,
        "cell": cells_text(recipe.cell),
        "order": recipe.order.value,
        "rhythm": rhythm_text(recipe.rhythm),
        "start": start_text(recipe.start),
        "accents": accents_text(recipe.accents),
        "articulation": recipe.articulation.value,
        "shifts": recipe.shifts.value,
        "first_stroke": recipe.first_stroke.value,
        "tempo": recipe.tempo,
        "meter": f"{recipe.meter.beats}/{recipe.meter.beat_unit}",
        "last_fret": recipe.last_fret,
        "hand": recipe.hand.name if recipe.hand else "any",
    }
