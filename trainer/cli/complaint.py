"""How a command says that its input is wrong: one clear message on standard error, exit code 2, no traceback."""

import errno
import io
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import click


class Complaint(click.ClickException):
    """The user's input cannot be used."""

    exit_code = 2


class Program(click.Group):
    """The commands; whatever one of them leaves unsaid of the user's files, devices and disk is said here."""

    def main(self, *arguments: Any, **settings: Any) -> Any:
        """Begin; letters that the terminal, or the file that it is led to, does not know end no command."""
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="replace")
        return super().main(*arguments, **settings)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command."""
        with complaints():
            try:
                return super().invoke(ctx)
            except OSError as error:
                if error.errno == errno.EPIPE:  # whoever read the output has gone: click ends quietly
                    raise
                place = "" if error.filename is None else f"{error.filename}: "
                raise Complaint(f"{place}{error.strerror or error}") from error


@contextmanager
def complaints() -> Iterator[None]:
    """Turn what readers say of a user's files and names, and the lack of a screen, into a `Complaint`."""
    try:
        yield
    except Exception as error:
        if not isinstance(error, _own_errors()):
            raise
        raise Complaint(str(error)) from error


def _own_errors() -> tuple[type[Exception], ...]:
    """Errors whose text is for the user; imported when there is one, for some commands need none of these modules."""
    from trainer.devices.display import DisplayError
    from trainer.devices.midi_drivers import MidiInputError
    from trainer.history.errors import HistoryError
    from trainer.homework.errors import HomeworkError
    from trainer.judging import JudgingError
    from trainer.playing.take import TakeError
    from trainer.score.errors import ExerciseError
    from trainer.sheets.errors import SheetError

    return (
        DisplayError,
        ExerciseError,
        HistoryError,
        HomeworkError,
        JudgingError,
        MidiInputError,
        SheetError,
        TakeError,
    )
