"""`boxwalk history`, `rejudge` and `export`: what has been played, over the years."""

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint
from trainer.cli.player import player_of, player_option

if TYPE_CHECKING:
    from rich.table import Table

    from trainer.history.figures import Asked
    from trainer.history.rejudging import Rejudged
    from trainer.history.store import History

A_FEW = 8
"""Takes that are taken in without a bar that shows how far it is."""


def _day(_context: click.Context, _option: click.Parameter, words: str | None) -> str | None:
    """A day as the history writes it; `click.BadParameter` when there is no such day."""
    if words is None:
        return None
    try:
        if re.fullmatch(r"\d{4}-\d\d-\d\d", words):
            return date.fromisoformat(words).isoformat()
    except ValueError:
        pass
    raise click.BadParameter(f"{words!r}: expected a day such as 2026-03-14")


@click.command()
@click.argument("words", nargs=-1)
@click.option(
    "--by", type=click.Choice(["day", "line", "take", "tempo"]), default="day", show_default=True, help="What a row is."
)
@click.option("--since", metavar="DAY", callback=_day, help="From this day on, e.g. 2026-03-14.")
@click.option("--until", metavar="DAY", callback=_day, help="Up to this day.")
@click.option("--most", type=click.IntRange(1), default=30, show_default=True, help="Rows that are shown.")
@click.option("--json", "as_json", is_flag=True, help="All rows as JSON.")
@click.option("--forget", metavar="NAME", help='Delete a player for good ("" is the one without a name).')
@click.option("--yes", is_flag=True, help="With --forget: do not ask again.")
@player_option
def history(
    words: tuple[str, ...],
    by: str,
    since: str | None,
    until: str | None,
    most: int,
    player: str,
    forget: str | None,
    *,
    as_json: bool,
    yes: bool,
) -> None:
    """Show what has been played; WORDS narrow it to lines that have them in their name or title.

    A pass is clean as `boxwalk tempo` has it: no note missed or wrong, nine of ten within their window, an even spread;
    `best` is the fastest click at which one was. In time: within the window, of all notes that were reached; off: early
    or late beyond it. `--by line` counts whole passes; a row `--by tempo` is a working tempo that was found, with its
    80 % interval. `--json` tells more of each row.
    """
    from trainer.cli.history_table import TABLES
    from trainer.history.figures import Asked

    if forget is not None:
        name = player_of(click.get_current_context(), click.Option(["--forget"]), forget)
        _forget(name, is_sure=yes)
        return
    with opened_history() as kept:
        asked = Asked(player, since, until, words)
        rows = _rows(kept, asked, by, None if as_json else most)
        if as_json:
            click.echo(json.dumps([asdict(row) for row in rows], indent=1, default=str))
            return
        if not rows:
            click.echo(_nothing(kept, asked))
            return
        _print(TABLES[by](rows[:most]))
        if len(rows) > most and by != "take":
            click.echo(f"{len(rows) - most} more; --most {len(rows)} shows them all.")


@click.command()
@click.option("--dry-run", is_flag=True, help="Say what would change, and change nothing.")
@click.option("--processes", type=click.IntRange(1, 256), help="Default: one for each core.")
def rejudge(*, dry_run: bool, processes: int | None) -> None:
    """Judge all old takes by today's ear and its limits, and say what changed.

    It can be stopped (Ctrl C) at any time and goes on where it was when it is called again.
    """
    from trainer.history.rejudging import changes_by_today, takes_to_judge
    from trainer.history.rejudging import rejudge as judge_again

    with opened_history(is_to_change=not dry_run) as kept:
        waiting = takes_to_judge(kept)
        if not waiting:
            click.echo(f"All {len(kept.take_ids())} takes are judged by today's ear.")
        else:
            with _bar("judging", len(waiting)) as advance:
                try:
                    result = judge_again(kept, waiting, advance, processes=processes, is_kept=not dry_run)
                except KeyboardInterrupt:
                    left = len(waiting) if dry_run else len(takes_to_judge(kept))
                    raise Complaint(
                        f"stopped; {left} takes are still to be judged. `boxwalk rejudge` goes on there."
                    ) from None
            for sentence in result.unread:
                click.echo(sentence, err=True)
            if dry_run:
                click.echo(_in_words(result))
                return
        click.echo(_in_words(changes_by_today(kept)))


@click.command()
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option("--player", metavar="NAME", default=None, help='Of one player alone ("" is the one without a name).')
def export(folder: Path, player: str | None) -> None:
    """Write everything into FOLDER, a new or an empty one: tables as CSV, takes as MIDI files, lines as JSON."""
    from trainer.history.exporting import export as write_all

    with opened_history() as kept:
        if player is not None:
            _known_player(kept, player)
        takes = kept.take_ids(player)
        try:
            if folder.exists() and any(folder.iterdir()):
                raise Complaint(f"{folder} is not empty: expected a new folder, so that nothing is overwritten")
            with _bar("writing", len(takes)) as advance:
                tables = write_all(kept, folder, player, advance)
        except OSError as error:
            raise Complaint(f"{folder}: {error.strerror or error}") from error
    names = ", ".join(table.name for table in tables)
    click.echo(f"{len(takes)} takes are in {folder / 'takes'}, and in {folder}: {names}.")


@contextmanager
def opened_history(*, is_to_change: bool = False) -> "Iterator[History]":
    """The history with all takes of the folder in it; `Complaint` when it cannot be had.

    One that cannot be written is read as it is, unless it `is_to_change`; a sentence on standard error says so.
    """
    from trainer.devices.recording import takes_folder
    from trainer.history.errors import DamagedHistoryError, HistoryError, told
    from trainer.history.opening import history_path, put_aside

    folder = takes_folder()
    path = history_path(folder)
    try:
        with _brought_up_to_date(path, folder, is_to_change=is_to_change) as kept:
            yield kept
    except DamagedHistoryError as error:
        raise Complaint(
            f"{error} It is kept as {put_aside(path)}; the next call makes a new one of the takes in {folder}."
        ) from error
    except HistoryError as error:
        raise Complaint(f"{told(error)} Takes stay as files in {folder}.") from error


def _brought_up_to_date(path: Path, folder: Path, *, is_to_change: bool) -> "History":
    """The history with the folder's takes; as it is, when it cannot be written and need not be."""
    from trainer.history.errors import UnwritableHistoryError
    from trainer.history.gathering import opened
    from trainer.history.store import History

    try:
        kept, sentence = opened(path, folder)
        if sentence is not None:
            click.echo(sentence, err=True)
        try:
            _gather(kept)
        except BaseException:
            kept.close()
            raise
    except UnwritableHistoryError as error:
        if is_to_change or not path.exists():
            raise
        click.echo(f"{error} It is shown as it is.", err=True)
        return History.read(path, folder)
    return kept


def _gather(kept: "History") -> None:
    from trainer.history.gathering import gather, missing_files
    from trainer.history.processes import processes_for

    missing = missing_files(kept)
    if not missing:
        return
    with _bar("taking in", len(missing), least=A_FEW) as advance:
        unread = gather(kept, missing, advance, processes=processes_for(len(missing))).unread
    for sentence in unread:
        click.echo(f"not in the history: {sentence}", err=True)


def _rows(kept: "History", asked: "Asked", by: str, most: int | None) -> tuple[Any, ...]:
    from trainer.history import figures
    from trainer.history.tempo_runs import tempo_runs

    if by == "tempo":
        first, last = asked.since or "", asked.until or "9999"
        runs = (run for run in reversed(tempo_runs(kept, asked.player)) if first <= run.day.isoformat() <= last)
        return tuple(run for run in runs if all(word.casefold() in run.name.casefold() for word in asked.words))
    if by == "take":
        return figures.takes(kept, asked, most or -1)
    return figures.days(kept, asked) if by == "day" else figures.lines(kept, asked)


def _nothing(kept: "History", asked: "Asked") -> str:
    """Why there is nothing to show, and what there is."""
    players = kept.players()
    if asked.player in players:
        return "Nothing that was played fits."
    who = asked.player or "the player without a name"
    if not players:
        return f"There are no takes by {who} yet."
    return f"There are no takes by {who} yet. There are takes by {_names(players)}: see --player NAME."


def _names(players: dict[str, int]) -> str:
    named = [f"{name or 'the player without a name'} ({count})" for name, count in sorted(players.items())]
    return ", ".join(named) or "nobody"


def _forget(player: str, *, is_sure: bool) -> None:
    from trainer.history.forgetting import belongings, forget

    with opened_history(is_to_change=True) as kept:
        if player not in kept.players():
            forget(kept, player)  # what an earlier attempt may have left
            _known_player(kept, player)
        what = belongings(kept, player)
        who = player or "the player without a name"
        click.echo(f"{what.takes} takes by {who} go for good, {len(what.files)} of them files in {kept.takes_folder}.")
        for copy in what.copies:
            click.echo(f"So does {copy}, an older copy of the history of all players.")
        if not is_sure:
            click.confirm("Nothing brings them back. Delete them?", abort=True)
        forget(kept, player)
        click.echo(f"Nothing by {who} is left in {kept.path}. What was exported or backed up elsewhere is not touched.")


def _known_player(kept: "History", player: str) -> None:
    from difflib import get_close_matches

    players = kept.players()
    if player not in players:
        near = get_close_matches(player, list(players), n=1)
        hint = f"; nearest: {near[0]!r}" if near else f"; there are takes by {_names(players)}"
        raise Complaint(f"there is no player {player!r}{hint}")


@contextmanager
def _bar(what: str, count: int, least: int = 0) -> Iterator[Any]:
    """How far something is, on standard error; a function that counts one and says that it may go on."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn(what), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    console = Console(stderr=True)
    with Progress(*columns, console=console, disable=count <= least or not console.is_terminal) as progress:
        task = progress.add_task(what, total=count)

        def advance() -> bool:
            progress.advance(task)
            return True

        yield advance


def _in_words(result: "Rejudged") -> str:
    """What changed, in sentences."""
    from trainer.history.exporting import OUTCOMES

    if not result.takes:
        return "Nothing has been judged again."
    notes, told = sum(result.notes.values()), sum(result.techniques.values())
    lines = [
        f"{result.takes} takes were judged again; in {result.changed_takes} of them something changed:",
        f"{notes} notes came out otherwise, {told} were begun otherwise than said, {result.moved} came at other times.",
    ]
    lines.extend(
        f"  {count} notes: {OUTCOMES[pair[0]]} before, {OUTCOMES[pair[1]]} now"
        for pair, count in result.notes.most_common()
    )
    lines.extend(f"  {name}: {count} notes" for name, count in result.lines.most_common(10))
    return "\n".join(lines)


def _print(table: "Table") -> None:
    from rich.console import Console

    Console().print(table)
