"""`boxwalk judge`: one take or a batch of them, as JSON or as a few lines to read."""

import json
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

import click

from trainer.cli.complaint import Complaint, complaints

NOT_MUSIC = ("note on an unknown channel", "malformed message", "time ran backwards", "bend range out of 0..96")
"""What is worth telling of the oddities in a take; the others are every device's habits."""

_KEYS = ("exercise", "take", "pace", "tempo", "starts_at", "pickup")


@click.command()
@click.argument("exercise", required=False)
@click.argument("take", required=False)
@click.option("--batch", type=click.Path(dir_okay=False), help="A manifest: one JSON object a line, keys as below.")
@click.option("--pace", type=click.Choice(["click", "free"]), help="Default: what the take says, else click.")
@click.option("--tempo", type=float, metavar="QPM", help="Quarters a minute. Default: the take's, else the line's.")
@click.option("--starts-at", type=float, metavar="SECONDS", help="When written quarter 0 falls in the take.")
@click.option("--pickup", metavar="NAME", help="Pickup profile. Default: the take's, else channel k = string k.")
@click.option("--explain", type=int, metavar="INDEX", help="Say why written note INDEX (from 0) got its verdict.")
@click.option("--json", "json_to", metavar="PATH|-", help="Write the whole judgement as JSON to a file, or - here.")
def judge(
    exercise: str | None,
    take: str | None,
    batch: str | None,
    pace: str | None,
    tempo: float | None,
    starts_at: float | None,
    pickup: str | None,
    explain: int | None,
    json_to: str | None,
) -> None:
    """Judge TAKE (a .mid file or a saved take) against EXERCISE, as the live screen would have.

    A manifest for --batch holds objects with the keys exercise, take, pace, tempo, starts_at and pickup; the answer is
    one JSON object a line in the same order, {"error": "..."} for one that failed.
    """
    if batch is not None:
        if exercise is not None or take is not None or explain is not None:
            raise Complaint(
                "--batch takes its exercises and takes from the manifest; give no EXERCISE, TAKE or --explain"
            )
        _judge_batch(Path(batch))
        return
    if exercise is None or take is None:
        raise Complaint("an EXERCISE and a TAKE are needed, or --batch MANIFEST; see `boxwalk judge --help`")
    if explain is not None:
        if json_to is not None:
            raise Complaint("--explain answers in sentences; leave out --json, or ask for the JSON alone")
        with complaints():
            click.echo("\n".join(_explained(exercise, take, pace, tempo, starts_at, pickup, explain)))
        return
    with complaints():
        result = _judge_one(exercise, take, pace, tempo, starts_at, pickup)
    if json_to is None:
        click.echo(in_words(result))
    else:
        write_json(result, json_to)


def _judge_one(
    exercise: str, take: str, pace: str | None, tempo: float | None, starts_at: float | None, pickup: str | None
) -> dict[str, Any]:
    from trainer.judging import Asked, judge_take
    from trainer.playing.take import read_take

    return judge_take(_exercise(exercise), read_take(Path(take)), Asked(pace, tempo, starts_at, pickup))


def _explained(
    exercise: str,
    take: str,
    pace: str | None,
    tempo: float | None,
    starts_at: float | None,
    pickup: str | None,
    index: int,
) -> tuple[str, ...]:
    from trainer.judging import Asked, explain_take
    from trainer.playing.take import read_take

    return explain_take(_exercise(exercise), read_take(Path(take)), Asked(pace, tempo, starts_at, pickup), index)


@lru_cache(maxsize=256)
def _exercise(words: str) -> Any:
    from trainer.cli.naming import exercise_named

    return exercise_named(words)


def _judge_batch(manifest: Path) -> None:
    try:
        lines = manifest.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise Complaint(f"{manifest}: {error}") from error
    from trainer.history.processes import each, in_order, processes_for

    asked = [(line, f"{manifest}:{number}") for number, line in enumerate(lines, start=1) if line.strip()]
    for answer in in_order(each(_answer, enumerate(asked), processes_for(len(asked)))):
        click.echo(answer)


def _answer(asked: tuple[int, tuple[str, str]]) -> tuple[int, str]:
    """The answer to one line of a manifest as JSON, with the number that it came with."""
    number, (line, where) = asked
    try:
        with complaints():
            return number, json.dumps(_judge_one(*_wanted(line, where)))
    except Complaint as complaint:
        return number, json.dumps({"error": complaint.message})


def _wanted(line: str, where: str) -> tuple[str, str, str | None, float | None, float | None, str | None]:
    """The keys of one manifest line, checked."""
    try:
        entry = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise Complaint(f"{where}: not a JSON object: {error}") from error
    if not isinstance(entry, Mapping):
        raise Complaint(f"{where}: a JSON object was expected, not {type(entry).__name__}")
    unknown = [key for key in entry if key not in _KEYS]
    if unknown:
        raise Complaint(f"{where}: unknown key {unknown[0]!r}{_nearest(unknown[0])}")
    for key in ("exercise", "take"):
        if not isinstance(entry.get(key), str):
            raise Complaint(f"{where}: {key!r} must be a string")
    for key in ("pace", "pickup"):
        if not isinstance(entry.get(key), str | None):
            raise Complaint(f"{where}: {key!r} must be a string")
    for key in ("tempo", "starts_at"):
        if isinstance(entry.get(key), bool) or not isinstance(entry.get(key), int | float | None):
            raise Complaint(f"{where}: {key!r} must be a number")
    return (
        entry["exercise"],
        entry["take"],
        entry.get("pace"),
        entry.get("tempo"),
        entry.get("starts_at"),
        entry.get("pickup"),
    )


def _nearest(word: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(word, _KEYS, n=1)
    return f", nearest is {near[0]!r}" if near else f"; the keys are {', '.join(_KEYS)}"


def write_json(result: dict[str, Any], json_to: str) -> None:
    """Write a judgement to a file, or to standard output for `-`."""
    text = json.dumps(result, indent=1)
    if json_to == "-":
        click.echo(text)
        return
    from trainer.sheets.errors import SheetError
    from trainer.sheets.saving import save

    try:
        save(Path(json_to), f"{text}\n".encode())
    except SheetError as error:
        raise Complaint(f"the judgement cannot be written: {error}") from error


def in_words(result: dict[str, Any]) -> str:
    """A judgement in a few lines to read."""
    figures = result["assessment"]
    counts = (
        f"{figures['matched']} of {len(result['notes'])} matched, {figures['missed']} missed, "
        f"{figures['wrong_pitch']} wrong pitch, {figures['wrong_string']} wrong string, {figures['extra']} extra"
    )
    lines = [counts]
    if figures["bias_ms"] is not None:
        lines.append(f"bias {figures['bias_ms']:+.1f} ms (minus = early), spread {figures['spread_ms'] or 0:.1f} ms")
    elif figures["spread_ms"] is not None:
        lines.append(f"spread {figures['spread_ms']:.1f} ms round the player's own tempo")
    for note in result["notes"]:
        if note["verdict"] != "matched":
            lines.append(f"  note {note['index']}: string {note['course']} fret {note['fret']}: {note['verdict']}")
        elif note["technique_written"] != "pick" and note["technique_played"] not in (
            "unknown",
            note["technique_written"],
        ):
            lines.append(
                f"  note {note['index']}: string {note['course']} fret {note['fret']}: "
                f"written {note['technique_written']}, played {note['technique_played']}"
            )
    strange = {name: count for name, count in result["oddities"].items() if name in NOT_MUSIC}
    lines.extend(f"  not music: {name}, {count} times" for name, count in strange.items())
    return "\n".join(lines)
