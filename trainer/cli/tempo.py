"""`boxwalk tempo`: how fast a line is clean today, and the ladders of the trade."""

import json
import sys
from collections.abc import Callable
from io import TextIOWrapper
from random import Random
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint, complaints
from trainer.cli.player import keep_history, player_option, say_trouble
from trainer.cli.window import window_option

if TYPE_CHECKING:
    from trainer.coaching.asking import Procedure
    from trainer.coaching.tempo_sitting import TempoSitting
    from trainer.coaching.working_tempo import Estimate, WorkingTempo
    from trainer.score.exercise import Exercise
    from trainer.station import Station

WAYS = ("working", "ladder", "bursts", "shuffled")


@click.command()
@click.argument("exercise")
@click.option("--dialogue", is_flag=True, help="No playing: tempi go out and results come in, as lines of JSON.")
@click.option("--start", type=float, metavar="QPM", help="Tempo of the first pass. Default: the line's own.")
@click.option(
    "--by",
    type=click.Choice(WAYS),
    default="working",
    show_default=True,
    help="The adaptive run, or a ladder, bursts above an easy tempo, or hidden tempi in shuffled order.",
)
@click.option("--in-row", type=int, default=3, show_default=True, help="Ladder: clean passes in a row go up a step.")
@click.option("--up", type=float, default=4.0, show_default=True, metavar="QPM", help="Ladder: the step up.")
@click.option("--down", type=float, default=0.0, show_default=True, metavar="QPM", help="Ladder: step down; 0: none.")
@click.option("--spoiled", type=int, default=2, show_default=True, help="Ladder: passes not clean in a row go down.")
@click.option("--percent", is_flag=True, help="Ladder: steps are per cent of the tempo.")
@click.option("--easy", type=int, default=2, show_default=True, help="Bursts: easy passes before each.")
@click.option("--over", type=float, default=25.0, show_default=True, metavar="PERCENT", help="Bursts: how far above.")
@click.option(
    "--rise", type=float, default=3.0, show_default=True, metavar="PERCENT", help="Bursts: after a clean one."
)
@click.option("--tempi", type=int, default=5, show_default=True, help="Shuffled: how many.")
@click.option("--around", type=float, default=20.0, show_default=True, metavar="PERCENT", help="Shuffled: how far off.")
@click.option("--times", type=int, default=3, show_default=True, help="Shuffled: how often each.")
@click.option("--input", "input_name", metavar="PORT", help="A MIDI port (see `boxwalk ports`), or simulated.")
@click.option("--pickup", metavar="NAME", help="Pickup profile (see `boxwalk ports`).")
@click.option("--silent", is_flag=True, help="No sound at all.")
@click.option("--simulate", type=float, metavar="QPM", help="A simulated player plays whose working tempo is QPM.")
@click.option("--seed", type=int, default=1, show_default=True, help="Of the simulated player, and of shuffled tempi.")
@click.option("--headless", is_flag=True, help="No window: play one pass after the other in the terminal.")
@click.option("--rest", type=click.FloatRange(0, 600), metavar="SECONDS", help="With --headless: between passes.")
@player_option
@window_option
def tempo(**options: Any) -> None:
    """Find today's working tempo of EXERCISE: the tempo at which four passes of five are clean.

    Warm up first. Rest between passes, and stop when anything hurts.
    """
    from trainer.cli.naming import exercise_named

    with complaints():
        line = exercise_named(options["exercise"])
    try:
        procedure = procedure_for(line, options)
    except ValueError as error:
        raise Complaint(str(error)) from error
    if options["dialogue"]:
        from trainer.coaching.working_tempo import WorkingTempo

        if not isinstance(procedure, WorkingTempo):
            raise Complaint("--dialogue goes with the adaptive run: leave --by out")
        hold_dialogue(procedure)
        return
    _play(line, procedure, options)


def procedure_for(line: "Exercise", options: dict[str, Any]) -> "Procedure":
    """The way of asking that was chosen; `ValueError` when its settings are out of range."""
    from trainer.coaching.asking import within_limits
    from trainer.coaching.ladder import Leaps, Mixture, Rungs
    from trainer.coaching.ways import Asking, Way

    own = within_limits(float(line.tempo.quarters_per_minute))
    return Asking(
        own if options["start"] is None else options["start"],
        Way(options["by"]),
        Rungs(options["in_row"], options["up"], options["down"], options["spoiled"], options["percent"]),
        Leaps(options["easy"], options["over"], options["rise"]),
        Mixture(options["tempi"], options["around"], options["times"], options["seed"]),
    ).procedure()


def hold_dialogue(procedure: "WorkingTempo") -> None:
    """Ask on standard output, hear from standard input, until there is a figure.

    A line that is no answer is named on standard error, and the same tempo is asked again.
    """
    answers = TextIOWrapper(sys.stdin.buffer, encoding="utf-8", errors="replace")
    number = 0
    while not procedure.is_over:
        _say({"tempo": procedure.tempo()})
        for line in answers:
            number += 1
            try:
                clean = clean_from(line)
            except ValueError as error:
                click.echo(f"line {number}: {error}", err=True)
                _say({"tempo": procedure.tempo()})
            else:
                procedure = procedure.told(clean=clean)
                break
        else:
            break
    estimate = procedure.estimate()
    if estimate is None:
        raise Complaint(f"the answers ended after {len(procedure.passes)}. {procedure.words()}")
    _say(estimate_values(estimate))


def clean_from(line: str) -> bool:
    """What a line of the dialogue answers; `ValueError` when it is no answer."""
    try:
        answer: Any = json.loads(line)
    except (ValueError, RecursionError):
        answer = None
    match answer:
        case {"clean": True | False as clean}:
            return bool(clean)
        case _:
            raise ValueError(f'expected {{"clean": true}} or {{"clean": false}}, found {line.strip()[:60]!r}')


def estimate_values(estimate: "Estimate") -> dict[str, Any]:
    """An estimate as JSON values."""
    return {
        "estimate": round(estimate.qpm, 2),
        "interval": [round(estimate.low_qpm, 2), round(estimate.high_qpm, 2)],
        "passes": estimate.passes,
        "drift": None if estimate.drift is None else estimate.drift.value,
    }


def _say(values: dict[str, Any]) -> None:
    click.echo(json.dumps(values))
    sys.stdout.flush()


def _play(line: "Exercise", procedure: "Procedure", options: dict[str, Any]) -> None:
    """The run that is played, in the window or without one."""
    from trainer.coaching.tempo_sitting import TempoSitting

    if options["simulate"] is not None and not 20 <= options["simulate"] <= 400:
        raise Complaint(f"--simulate {options['simulate']:g}: expected 20 to 400 quarters a minute")
    sitting = TempoSitting(line, procedure)
    if options["headless"]:
        play_sitting(station_for(options), sitting, options)
    else:
        from trainer.app import open_tempo_run

        station = station_for(options)
        open_tempo_run(station, sitting, _before_pass(station, options), options["size"])
        say_trouble(station)


def play_sitting(station: "Station", sitting: "TempoSitting", options: dict[str, Any]) -> "TempoSitting":
    """Play pass after pass in the terminal, say after each what it was like, and end with what was found."""
    import time

    from trainer.coaching.tempo_sitting import REST_SECONDS
    from trainer.headless import play_to_end
    from trainer.run import RunPlan
    from trainer.tutor import Tutor

    before_pass = _before_pass(station, options)
    click.echo(station.sound.status, err=True)
    click.echo(sitting.definition())
    try:
        while not sitting.is_over:
            if not sitting.procedure.is_hidden:
                click.echo(f"Pass {len(sitting.judged) + 1}: ♩ = {sitting.procedure.tempo():g}")
            before_pass(sitting)
            run, is_interrupted = play_to_end(station, RunPlan(sitting.exercise, sitting.tempo()), _tell)
            if is_interrupted:
                break
            sitting = sitting.after(run.session.assessment())
            click.echo(sitting.remark)
            if sitting.is_rest_due:
                click.echo(f"Rest your hands for {REST_SECONDS} seconds; stop when anything hurts.")
            if not sitting.is_over:
                time.sleep(_rest_seconds(sitting, options, is_simulated=station.is_simulated))
    finally:
        station.keep_tempo(sitting)
        station.close()
    click.echo(sitting.words())
    if sitting.estimate is not None:
        click.echo(Tutor(station).tempo_words(sitting.exercise))
    say_trouble(station)
    return sitting


def _before_pass(station: "Station", options: dict[str, Any]) -> Callable[["TempoSitting"], None]:
    """What happens before each pass: a simulated player makes up its mind whether this one will be clean."""
    from trainer.devices.tempo_player import HANDS, faults_at
    from trainer.station import Simulation

    working_qpm = options["simulate"]
    random = Random(f"{options['seed']} passes")

    def decide(sitting: "TempoSitting") -> None:
        if working_qpm is not None:
            faults = faults_at(sitting.exercise, sitting.procedure.tempo(), working_qpm, random)
            station.simulation = Simulation(HANDS, faults, seed=random.randrange(1 << 30))

    return decide


def _tell(sentence: str) -> None:
    click.echo(sentence, err=True)


def _rest_seconds(sitting: "TempoSitting", options: dict[str, Any], *, is_simulated: bool) -> float:
    from trainer.coaching.tempo_sitting import REST_SECONDS

    if options["rest"] is not None:
        return float(options["rest"])
    if is_simulated:
        return 0.0
    return float(REST_SECONDS) if sitting.is_rest_due else 3.0


def station_for(options: dict[str, Any]) -> "Station":
    """What a run plays on; `Complaint` when that cannot be had."""
    from trainer.devices.midi_drivers import MidiInputError
    from trainer.devices.outputs import remembered_sound
    from trainer.devices.recording import takes_folder
    from trainer.devices.remembered import Memory
    from trainer.devices.sound import SilentSound
    from trainer.judging import pickup_named
    from trainer.station import SIMULATED, Station

    with complaints():
        profile = None if options["pickup"] is None else pickup_named(options["pickup"])
    try:
        station = Station(
            options["input_name"] if options["simulate"] is None else SIMULATED,
            SilentSound("it is switched off") if options["silent"] else remembered_sound(),
            profile=profile,
            takes_folder=takes_folder(),
            memory=Memory(),
        )
        keep_history(station, options["player"])
    except MidiInputError as error:
        raise Complaint(f"{error} `--simulate 90` plays without a pickup.") from error
    return station
