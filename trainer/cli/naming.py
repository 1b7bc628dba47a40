"""What a command's EXERCISE argument may be: a shipped name, a file, or a recipe in one line of text."""

from trainer.score.exercise import Exercise


def exercise_named(words: str) -> Exercise:
    """The exercise that `words` mean; `ExerciseError` when there is none."""
    from trainer.score.library import load_exercise
    from trainer.score.one_line import exercise_from_line

    # Commas never stand in a shipped name and always in a one-line recipe.
    is_line = "," in words and not words.lower().endswith((".toml", ".musicxml", ".xml", ".mxl", ".mid"))
    return exercise_from_line(words) if is_line else load_exercise(words)
