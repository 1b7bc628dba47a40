"""What is said about an exercise that cannot be read or played."""


class ExerciseError(Exception):
    """An exercise that cannot be read or played; `str()` is the whole message for the user."""


class NoRecipe(ExerciseError):  # noqa: N818 - it says what the line lacks
    """A line that lists its notes, where a recipe is needed."""


class Unplayable(ValueError):  # noqa: N818 - it says what the line is, and is caught where the file's lines are known
    """Why a line cannot be played, and which field of its recipe says so."""

    def __init__(self, reason: str, field: str) -> None:
        super().__init__(reason)
        self.field = field
