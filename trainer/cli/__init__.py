"""The `boxwalk` command: without a subcommand it opens the window.

Heavy imports (pygame, pydantic, rtmidi) are taken inside the commands that need them, so that the others start at once.
Bad input ends with one clear sentence and exit code 2.
"""

import click

from trainer import __version__
from trainer.cli.judge import judge
from trainer.cli.library import exercises, show
from trainer.cli.listening import listen, ports
from trainer.cli.practise import practise
from trainer.cli.takes import replay, takes


@click.group(invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="boxwalk")
@click.pass_context
def main(context: click.Context) -> None:
    """Drill scale lines through the positions: plug in, play, and see what was missed, early, late or not slid.

    Without a command the window opens. Without a pickup, a simulated player shows everything.
    """
    if context.invoked_subcommand is None:
        from trainer.app import open_window

        open_window()


for command in (practise, exercises, show, ports, listen, takes, replay, judge):
    main.add_command(command)
