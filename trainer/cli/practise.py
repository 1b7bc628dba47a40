"""`boxwalk practise`: play a line, in the window or without one."""

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint, complaints
from trainer.cli.judge import in_words, write_json
from trainer.cli.player import keep_history, player_option, say_trouble
from trainer.cli.sounding import mix_of, mix_options
from trainer.cli.window import window_option

if TYPE_CHECKING:
    from trainer.run import RunPlan
    from trainer.station import Simulation, Station


@click.command()
@click.argument("exercise")
@click.option(
    "--input", "input_name", metavar="PORT", help="A MIDI port (see `boxwalk ports`), simulated, or demonstration."
)
@click.option("--pickup", metavar="NAME", help="Pickup profile (see `boxwalk ports`).")
@click.option("--pace", type=click.Choice(["click", "free"]), default="click", show_default=True)
@click.option("--tempo", type=float, metavar="QPM", help="Quarters a minute. Default: the line's own tempo.")
@click.option(
    "--passes", type=click.IntRange(1, 200), default=4, show_default=True, help="How often the line is played."
)
@click.option("--count-in", type=click.IntRange(0, 8), default=1, show_default=True, metavar="BARS")
@click.option("--hear-line", is_flag=True, help="Let the line itself be heard with the click.")
@click.option("--backing", is_flag=True, help="Drums, bass and chords with the click, in the line's key.")
@mix_options
@click.option("--silent", is_flag=True, help="No sound at all.")
@click.option("--skill", default="practised", show_default=True, help="Of the simulated player.")
@click.option("--faults", default="", help='Of the simulated player, e.g. "miss 5, late 9 40, string 12, unslid 16".')
@click.option("--style", default="bend", show_default=True, help="Of the simulated converter.")
@click.option("--seed", type=int, default=1, show_default=True, help="Of the simulated player's chances.")
@click.option("--headless", is_flag=True, help="No window: play, judge, and end.")
@click.option("--json", "json_to", metavar="PATH|-", help="With --headless: write the judgement to a file, or - here.")
@click.option(
    "--patience",
    type=float,
    default=120.0,
    show_default=True,
    metavar="SECONDS",
    help="At your own pace: silence that ends the take.",
)
@player_option
@window_option
def practise(**options: Any) -> None:
    """Play EXERCISE (a name, a file, or a line of text) and have it followed and judged.

    Warm up first, take breaks, and stop when anything hurts.
    """
    with complaints():
        plan = _plan(options)
        simulation = _simulation(options, plan)
    if options["headless"]:
        _headless(plan, simulation, options)
    elif options["json_to"]:
        raise Complaint("--json goes with --headless; `boxwalk judge` judges a kept take")
    else:
        from trainer.app import open_window

        station = _station(simulation, options)
        open_window(station, plan, options["size"])
        say_trouble(station)


def _plan(options: dict[str, Any]) -> "RunPlan":
    from trainer.cli.naming import exercise_named
    from trainer.following.verdict import Pace
    from trainer.judging import tempo_of
    from trainer.playing.take import MOST_WRITTEN
    from trainer.run import RunPlan

    exercise = exercise_named(options["exercise"])
    if options["passes"] * len(exercise.notes) > MOST_WRITTEN:
        raise Complaint(f"{options['passes']} passes of {len(exercise.notes)} notes are more than a take can hold")
    return RunPlan(
        exercise=exercise,
        tempo=exercise.tempo if options["tempo"] is None else tempo_of(options["tempo"]),
        pace=Pace(options["pace"]),
        passes=options["passes"],
        count_in_bars=options["count_in"],
        hear_line=options["hear_line"],
        with_backing=options["backing"],
        patience_ns=round(Fraction(options["patience"]) * 1_000_000_000),
    )


def _simulation(options: dict[str, Any], plan: "RunPlan") -> "Simulation":
    from trainer.devices.converter_style import style_named
    from trainer.devices.faults import faults_from_text
    from trainer.devices.skill import skill_named
    from trainer.station import Simulation

    try:
        faults = faults_from_text(options["faults"])
        faults.check(plan.exercise.repeated(plan.passes))
        # Planted faults are seen best when nothing else goes wrong.
        skill = skill_named("exact" if faults.planted and options["skill"] == "practised" else options["skill"])
        return Simulation(skill, faults, style_named(options["style"]), options["seed"])
    except ValueError as error:
        raise Complaint(str(error)) from error


def _station(simulation: "Simulation", options: dict[str, Any]) -> "Station":
    from trainer.devices.midi_drivers import MidiInputError
    from trainer.devices.outputs import remembered_sound
    from trainer.devices.recording import takes_folder
    from trainer.devices.remembered import Memory
    from trainer.devices.sound import SilentSound
    from trainer.judging import pickup_named
    from trainer.station import Station

    with complaints():
        profile = None if options["pickup"] is None else pickup_named(options["pickup"])
    memory = Memory()
    mix = mix_of(options, memory.sound.mix)
    try:
        station = Station(
            options["input_name"],
            SilentSound("it is switched off") if options["silent"] else remembered_sound(),
            profile=profile,
            simulation=simulation,
            takes_folder=takes_folder(),
            memory=memory,
        )
        station.desk.use_mix(mix)
        keep_history(station, options["player"])
    except MidiInputError as error:
        raise Complaint(f"{error} `--input simulated` plays without a pickup.") from error
    return station


def _headless(plan: "RunPlan", simulation: "Simulation", options: dict[str, Any]) -> None:
    from trainer.headless import play_headless
    from trainer.judging import judgement

    station = _station(simulation, options)
    click.echo(station.sound.status, err=True)
    run = play_headless(station, plan, lambda sentence: click.echo(sentence, err=True))
    if run.take_path:
        click.echo(f"kept as {run.take_path}", err=True)
    result = judgement(run.session)
    if options["json_to"] is None:
        click.echo(in_words(result))
    else:
        write_json(result, options["json_to"])
