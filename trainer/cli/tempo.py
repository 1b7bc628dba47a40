"""`boxwalk tempo`: how fast a line is clean today."""

import json
import sys
from io import TextIOWrapper
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint, complaints

if TYPE_CHECKING:
    from trainer.coaching.working_tempo import Estimate, WorkingTempo


@click.command()
@click.argument("exercise")
@click.option("--dialogue", is_flag=True, help="No playing: tempi go out and results come in, as lines of JSON.")
@click.option("--start", type=float, metavar="QPM", help="Tempo of the first pass. Default: the line's own.")
def tempo(exercise: str, *, dialogue: bool, start: float | None) -> None:
    """Find today's working tempo of EXERCISE: where four passes of five are clean."""
    from trainer.cli.naming import exercise_named
    from trainer.coaching.asking import within_limits
    from trainer.coaching.working_tempo import WorkingTempo

    with complaints():
        line = exercise_named(exercise)
    try:
        procedure = WorkingTempo(within_limits(float(line.tempo.quarters_per_minute)) if start is None else start)
    except ValueError as error:
        raise Complaint(str(error)) from error
    if dialogue:
        hold_dialogue(procedure)


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
