"""What is wrong with homework."""


class HomeworkError(ValueError):
    """Why homework cannot be made, read or kept; `str()` is one line for the user."""
