"""`boxwalk plan`: what to play today, for how long and why."""

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from trainer.cli.complaint import Complaint
from trainer.cli.history import opened_history
from trainer.cli.player import player_option

if TYPE_CHECKING:
    from rich.table import Table

    from trainer.coaching.plan import Item, Plan


@click.command()
@click.option("--minutes", type=click.IntRange(5, 180), default=30, show_default=True, help="Breaks included.")
@click.option("--goal", default="", metavar="WHAT", help="An exercise, or a step of the path: its title, or `step 3`.")
@click.option("--swap", type=int, multiple=True, metavar="N", help="Something else in item N; may be said again.")
@click.option("--skip", type=int, multiple=True, metavar="N", help="Leave item N out; may be said again.")
@click.option("--json", "as_json", is_flag=True, help="The plan as JSON.")
@player_option
def plan(minutes: int, goal: str, swap: Sequence[int], skip: Sequence[int], player: str, *, as_json: bool) -> None:
    """Plan today's practice by the minutes there are, a goal, and what was played before.

    Every item says why it is there, what was measured, and which command starts it. Numbers of --swap and --skip are
    those of the plan as it is first printed.
    """
    from trainer.coaching.plan import PlanError
    from trainer.theory.naming import UnknownWord

    try:
        made = day_plan(minutes, goal, player)
        for number in swap:
            made = made.swapped(number)
        for number in skip:
            made = made.skipped(number)
    except UnknownWord as error:
        raise Complaint(f"--goal: {error}") from error
    except PlanError as error:
        raise Complaint(str(error)) from error
    if as_json:
        click.echo(json.dumps(plan_values(made), indent=1))
        return
    _print(made)


def day_plan(minutes: int, goal: str, player: str) -> "Plan":
    """The plan of today by what the history tells; `UnknownWord` for a goal that is none."""
    from datetime import datetime

    from trainer.cli.naming import own_folders
    from trainer.coaching.planning import planned
    from trainer.progress.gathering import known_of
    from trainer.score.library import load_all

    with opened_history() as kept:
        known = known_of(kept, player, datetime.now().astimezone().date())
    exercises, complaints = load_all(own_folders())
    for sentence in complaints:
        click.echo(sentence.partition("\n")[0], err=True)
    return planned(minutes, exercises, known, goal)


def plan_values(made: "Plan") -> dict[str, object]:
    """A plan as JSON values."""
    from dataclasses import asdict

    from trainer.coaching.plan import CAUTIONS

    return {
        "minutes": made.minutes,
        "longest_stretch_minutes": made.longest_stretch_minutes,
        "items": [
            {
                "number": item.number,
                "kind": item.kind.value,
                "minutes": item.minutes,
                **({} if item.choice is None else asdict(item.choice)),
                "others": [other.exercise for other in item.others],
            }
            for item in made.items
        ],
        "remarks": [*made.remarks, CAUTIONS],
    }


def _print(made: "Plan") -> None:
    from rich.console import Console

    from trainer.coaching.plan import CAUTIONS

    console = Console(highlight=False)
    console.print(_table(made), soft_wrap=False)
    for sentence in (*made.remarks, CAUTIONS):
        console.print(sentence, style="dim" if sentence is CAUTIONS else "")


def _table(made: "Plan") -> "Table":
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="bold", title_justify="left")
    for heading in ("", "at", "min", "for"):
        table.add_column(heading, justify="right" if heading in {"at", "min", ""} else "left", no_wrap=True)
    table.add_column("what and why", overflow="fold", ratio=1)
    at = 0
    told: set[str] = set()
    for item in made.items:
        table.add_row(str(item.number), f"{at}", str(item.minutes), item.kind.value, _words(item, told))
        at += item.minutes
    return table


def _words(item: "Item", told: set[str]) -> str:
    """What is played, then why, what was measured, and the command; a line that comes again is named alone."""
    if item.choice is None:
        return "Put the guitar down. A break is part of the plan, and its minutes are not for playing."
    choice = item.choice
    title = choice.title if item.kind == "music" else f"{choice.title}, ♩ = {choice.qpm:g}"
    if choice.start in told:
        return f"{title}\n  {choice.start}"
    told.add(choice.start)
    return f"{title}\n{choice.task}\n{choice.why} {choice.measured}\n  {choice.start}"
