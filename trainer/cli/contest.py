"""`boxwalk contest`: a run whose tempo climbs, and the tables of what was reached."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint, complaints
from trainer.cli.player import player_option, say_trouble

if TYPE_CHECKING:
    from trainer.coaching.contest import Contest
    from trainer.contests import Standings
    from trainer.score.exercise import Exercise

TODAY = "today"


@click.command()
@click.argument("exercise", required=False)
@click.option("--start", type=float, metavar="QPM", help="Tempo of the first pass. Default: 70 % of the line's own.")
@click.option("--rise", type=float, default=5.0, show_default=True, metavar="PERCENT", help="From pass to pass.")
@click.option("--slips", type=float, default=10.0, show_default=True, metavar="PERCENT", help="More end the run.")
@click.option("--table", is_flag=True, help="Play nothing: list the runs that were played, most points first.")
@click.option("--relays", is_flag=True, help="With --table: the relays of two players instead.")
@click.option(
    "--takes",
    "folders",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    multiple=True,
    metavar="FOLDER",
    help="With --table: folders of takes, such as those of a class. Default: your own.",
)
@click.option("--input", "input_name", metavar="PORT", help="A MIDI port (see `boxwalk ports`), or simulated.")
@click.option("--pickup", metavar="NAME", help="Pickup profile (see `boxwalk ports`).")
@click.option("--silent", is_flag=True, help="No sound at all.")
@click.option("--simulate", type=float, metavar="QPM", help="A simulated player plays whose working tempo is QPM.")
@click.option("--seed", type=int, default=1, show_default=True, help="Of the simulated player.")
@click.option(
    "--rest",
    type=click.FloatRange(0, 600),
    metavar="SECONDS",
    help="Between passes. Default: 3, and 30 after every fifth.",
)
@player_option
def contest(**options: Any) -> None:
    """A run over EXERCISE, or over the line of the day: the tempo rises pass by pass until too many slips.

    Warm up first, and stop when anything hurts. The points of the best pass count; they are figured from the takes.
    """
    if options["table"]:
        show_table(options["exercise"], options["folders"], relays=options["relays"])
        return
    from trainer.coaching.contest import START_SHARE, Climb, Contest

    line = contest_line(options["exercise"] or TODAY)
    own_qpm = float(line.tempo.quarters_per_minute)
    try:
        run = Contest(
            line,
            max(20.0, START_SHARE * own_qpm) if options["start"] is None else options["start"],
            Climb(options["rise"], options["slips"]),
        )
    except ValueError as error:
        raise Complaint(str(error)) from error
    play_contest(run, options)


def contest_line(words: str) -> "Exercise":
    """The line that is meant; `today` is the line of the day."""
    from datetime import datetime

    from trainer.cli.naming import exercise_named
    from trainer.score.daily import line_of_the_day

    if words == TODAY:
        return line_of_the_day(datetime.now().astimezone().date().isoformat())
    with complaints():
        return exercise_named(words)


def play_contest(run: "Contest", options: dict[str, Any]) -> "Contest":
    """Play pass after pass in the terminal, and say after each what it came to."""
    import time
    from datetime import datetime
    from random import Random

    from trainer.cli.tempo import station_for
    from trainer.coaching.contest import FORMULA
    from trainer.devices.tempo_player import HANDS, faults_at
    from trainer.headless import play_to_end
    from trainer.run import RunPlan
    from trainer.station import Simulation

    station = station_for(options)
    began, chance = datetime.now().astimezone().isoformat(timespec="seconds"), Random(f"{options['seed']} contest")
    click.echo(station.sound.status, err=True)
    click.echo(f"{run.exercise.title}: {FORMULA}.")
    try:
        while not run.is_over:
            qpm = run.tempo_qpm()
            click.echo(f"Pass {len(run.scores) + 1}: ♩ = {qpm:g}")
            if options["simulate"] is not None:
                faults = faults_at(run.exercise, qpm, options["simulate"], chance)
                station.simulation = Simulation(HANDS, faults, seed=chance.randrange(1 << 30))
            plan = RunPlan(run.exercise, run.exercise.tempo, contest=began).at_tempo(run.tempo.quarters_per_minute)
            played, is_interrupted = play_to_end(station, plan, lambda sentence: click.echo(sentence, err=True))
            if is_interrupted:
                break
            run = run.after(played.session.assessment())
            click.echo(run.remark)
            if not run.is_over:
                time.sleep(rest_seconds(len(run.scores), options))
    finally:
        station.close()
    click.echo(run.words())
    say_trouble(station)
    return run


def rest_seconds(passes: int, options: dict[str, Any]) -> float:
    """How long the hands rest after so many passes: longer after every fifth, as in the run for the working tempo."""
    from trainer.coaching.tempo_sitting import REST_AFTER_PASSES, REST_SECONDS

    if options["rest"] is not None:
        return float(options["rest"])
    if options["simulate"] is not None:
        return 0.0
    if passes % REST_AFTER_PASSES:
        return 3.0
    click.echo(f"Rest your hands for {REST_SECONDS} seconds; stop when anything hurts.")
    return float(REST_SECONDS)


def show_table(words: str | None, folders: tuple[Path, ...], *, relays: bool = False) -> None:
    """The runs or relays over one line, or over all; points are figured anew."""
    from rich.console import Console
    from rich.table import Table

    from trainer.coaching.contest import FORMULA
    from trainer.contests import standings
    from trainer.devices.recording import takes_folder

    found = standings(folders or (takes_folder(),))
    if words is not None:
        found = found.of_line(contest_line(words))
    for trouble in found.troubles:
        click.echo(trouble, err=True)
    if relays:
        show_relays(found)
        return
    if not found.runs:
        click.echo("No run was played yet: boxwalk contest EXERCISE plays one.")
        return
    table = Table("points", "line", "player", "♩", "notes/s", "evenness", "slurs", "slips", "passes", "began")
    for run in found.runs:
        best = run.best
        table.add_row(
            str(best.points),
            run.exercise.title,
            run.player or "you",
            f"{best.qpm:g}",
            f"{best.clean_notes_a_second:.2f}",
            f"{best.evenness:.2f}",
            f"{best.slurs:.2f}",
            str(run.slips),
            str(run.passes),
            run.began[:16].replace("T", " "),
        )
    console = Console(width=110)
    console.print(table)
    console.print(FORMULA)


def show_relays(found: "Standings") -> None:
    """The relays, most points first."""
    from rich.console import Console
    from rich.table import Table

    from trainer.coaching.contest import RELAY_FORMULA

    if not found.relays:
        click.echo("No relay was played yet: in the window, Ctrl T and P begin one.")
        return
    table = Table("points", "line", "players", "points of each", "♩", "slips", "passes", "began")
    for team in found.relays:
        table.add_row(
            str(team.points),
            team.exercise.title,
            " + ".join(player or "you" for player in team.players),
            " + ".join(str(one.points) for one in team.bests),
            " + ".join(f"{one.qpm:g}" for one in team.bests),
            str(team.slips),
            str(team.passes),
            team.began[:16].replace("T", " "),
        )
    console = Console(width=110)
    console.print(table)
    console.print(RELAY_FORMULA)
