"""`boxwalk pedals`: what foot pedals do."""

import click

from trainer.cli.complaint import Complaint
from trainer.cli.source import source_named

POLL_S = 0.005


@click.group(invoke_without_command=True)
@click.pass_context
def pedals(context: click.Context) -> None:
    """Foot pedals: a pedal that sends a MIDI controller does what a key does. Alone, it lists them."""
    if context.invoked_subcommand is None:
        list_pedals()


@pedals.command()
@click.argument("action")
@click.option("--input", "input_name", metavar="PORT", help="Which MIDI port. Default: the first.")
def learn(action: str, input_name: str | None) -> None:
    """Let the pedal that is pressed next do ACTION, such as pause, restart, slower, faster, next, choose or back."""
    import time

    from trainer.devices.remembered import Memory
    from trainer.pedals import COMMANDS, pedal_name, went_down
    from trainer.theory.naming import UnknownWord

    if action not in COMMANDS:
        raise Complaint(str(UnknownWord(action, "what a key does", COMMANDS)))
    source = source_named(input_name)
    click.echo(f"Press the pedal on {source.name}.")
    try:
        down: set[tuple[int, int]] = set()
        while not (pressed := went_down(source.poll(time.perf_counter_ns()), down)):
            time.sleep(POLL_S)
    finally:
        source.close()
    memory = Memory()
    memory.keep_pedals({**memory.pedals, pedal_name(*pressed[0]): action})
    click.echo(memory.trouble or f"{pedal_name(*pressed[0])}: {action}")


@pedals.command()
def forget() -> None:
    """Let no pedal do anything."""
    from trainer.devices.remembered import Memory

    Memory().keep_pedals({})
    list_pedals()


def list_pedals() -> None:
    """Every pedal that was learned."""
    from trainer.devices.remembered import Memory

    learned = Memory().pedals
    for name, action in learned.items():
        click.echo(f"{name}: {action}")
    if not learned:
        click.echo("No pedal was learned: boxwalk pedals learn pause")
