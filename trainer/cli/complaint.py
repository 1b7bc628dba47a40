"""How a command says that its input is wrong: one clear message on standard error, exit code 2, no traceback."""

from collections.abc import Iterator
from contextlib import contextmanager

import click


class Complaint(click.ClickException):
    """The user's input cannot be used."""

    exit_code = 2


@contextmanager
def complaints() -> Iterator[None]:
    """Turn what readers say of a user's files and names, and the lack of a screen, into a `Complaint`."""
    from trainer.devices.display import DisplayError
    from trainer.judging import JudgingError
    from trainer.playing.take import TakeError
    from trainer.score.errors import ExerciseError

    try:
        yield
    except (ExerciseError, TakeError, JudgingError, DisplayError) as error:
        raise Complaint(str(error)) from error
