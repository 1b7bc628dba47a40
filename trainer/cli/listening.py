"""`boxwalk ports` and `boxwalk listen`: what is plugged in, and what it sends."""

import time

import click

from trainer.cli.complaint import Complaint, complaints
from trainer.cli.source import source_named

NS_PER_SECOND = 1_000_000_000


@click.command()
def ports() -> None:
    """Name the MIDI inputs, the devices that were set up and the pickup profiles."""
    from rich.console import Console

    from trainer.devices.midi_drivers import DRIVERS, MidiInputError, input_names
    from trainer.devices.remembered import Memory
    from trainer.playing.profiles import PROFILES

    console = Console(highlight=False)
    console.print("[bold]inputs[/]")
    try:
        DRIVERS.apis()
    except MidiInputError as error:
        console.print(f"  {error}")
    for name in input_names():
        console.print(f"  {name}", markup=False)
    if not input_names():
        console.print("  no MIDI port was found; `--input simulated` plays without one")
    memory = Memory()
    if memory.trouble:
        console.print(memory.trouble, markup=False)
    console.print("[bold]devices that were set up[/]")
    for device, learned in memory.devices.items():
        console.print(f"  {device}, set up on {learned.date[:10]}", markup=False)
        for sentence in (sentence for findings in learned.findings.values() for sentence in findings):
            console.print(f"    {sentence}", markup=False)
    if not memory.devices:
        console.print("  none yet; `boxwalk set-up` learns what a pickup sends")
    console.print("[bold]pickup profiles[/]")
    for profile in PROFILES.values():
        console.print(f"  {profile.name:28} {profile.title}", markup=False)


@click.command()
@click.option("--input", "input_name", metavar="PORT", help="Which MIDI port. Default: the first.")
@click.option("--pickup", metavar="NAME", help="Pickup profile. Default: as the device was set up.")
@click.option("--tuning", "tuning_name", default="standard", show_default=True)
@click.option("--seconds", type=float, help="How long. Default: until Ctrl C.")
def listen(input_name: str | None, pickup: str | None, tuning_name: str, seconds: float | None) -> None:
    """Print what arrives, decoded: pluck each string and see whether it is named right."""
    from trainer.devices.remembered import Memory
    from trainer.judging import pickup_named
    from trainer.monitor import Monitor
    from trainer.playing.profile import PickupProfile
    from trainer.theory.tuning import tuning_named

    with complaints():
        asked = None if pickup is None else pickup_named(pickup)
    try:
        tuning = tuning_named(tuning_name)
    except ValueError as error:
        raise Complaint(str(error)) from error
    source = source_named(input_name)
    monitor = Monitor(asked or Memory().profile_of(source.name) or PickupProfile(), tuning)
    zero_ns = time.perf_counter_ns()
    click.echo(f"{source.status} Ctrl C ends.")
    try:
        while seconds is None or time.perf_counter_ns() - zero_ns < seconds * NS_PER_SECOND:
            now_ns = time.perf_counter_ns()
            messages = tuple(m._replace(stamp_ns=m.stamp_ns - zero_ns) for m in source.poll(now_ns))
            for line in monitor.lines(messages, now_ns - zero_ns):
                click.echo(line)
            time.sleep(0.005)
    except KeyboardInterrupt:
        pass
    finally:
        source.close()
