"""Letting a line sound from the command line."""

import time
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from trainer.devices.sound import Sound
    from trainer.score.exercise import Exercise

hear_option = click.option("--hear", is_flag=True, help="Let it sound once; Ctrl C ends.")


def let_sound(exercise: "Exercise", sound: "Sound | None" = None) -> None:
    """Play a line once and wait until it is over; without a card, say so and do not wait."""
    from trainer.devices.outputs import remembered_sound
    from trainer.station import SIMULATED, Station

    station = Station(SIMULATED, sound or remembered_sound())
    try:
        if not station.sound.is_audible:
            click.echo(f"{station.sound.status}.", err=True)
            return
        ends_ns = station.hear(exercise) + exercise.tempo.ns(exercise.length_quarters)
        time.sleep(max(0, ends_ns - time.perf_counter_ns()) / 1e9)
    except KeyboardInterrupt:
        click.echo()
    finally:
        station.close()
