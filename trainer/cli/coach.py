"""`boxwalk coach`: which transitions of a line are weak, by how much, and a drill for the worst."""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint, complaints
from trainer.cli.history import opened_history
from trainer.cli.player import player_option

if TYPE_CHECKING:
    from trainer.coaching.advice import Advice
    from trainer.coaching.drills import Drill
    from trainer.coaching.played import PlayedPass
    from trainer.judging import Asked
    from trainer.playing.take import Take
    from trainer.score.exercise import Exercise
    from trainer.session import Session

MOST_SHOWN = 6
MOST_PASSES = 200
"""So often is a line looked for in one file."""
_TAKES = "--takes"


class _ManyTakes(click.Command):
    """A command whose `--takes` is followed by as many files as there are."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Repeat the option before each file, which is the only form that click knows."""
        spelt: list[str] = []
        takes = False
        for word in args:
            if word.startswith("-") and word != "-":
                takes = word == _TAKES
                spelt += [] if takes else [word]
            else:
                spelt += [_TAKES, word] if takes else [word]
        if args[-1:] == [_TAKES]:
            spelt.append(_TAKES)  # click says that files are missing
        return super().parse_args(ctx, spelt)


@click.command(cls=_ManyTakes)
@click.argument("exercise")
@click.option(_TAKES, multiple=True, metavar="FILE.mid...", help="Takes of one player, oldest first.")
@click.option("--pace", type=click.Choice(["click", "free"]), help="Default: of what was played last, or of each take.")
@click.option("--tempo", type=float, metavar="QPM", help="With --takes: quarters a minute. Default: each take's.")
@click.option("--starts-at", type=float, metavar="SECONDS", help="With --takes: when written quarter 0 falls in each.")
@click.option("--pickup", metavar="NAME", help="With --takes: the pickup profile. Default: each take's.")
@click.option("--drill", "drill_to", metavar="FILE.toml", help="Write the drill for the weakest transition to a file.")
@click.option("--json", "as_json", is_flag=True, help="All transitions as JSON.")
@player_option
def coach(
    exercise: str,
    takes: tuple[str, ...],
    pace: str | None,
    tempo: float | None,
    starts_at: float | None,
    pickup: str | None,
    drill_to: str | None,
    player: str,
    *,
    as_json: bool,
) -> None:
    """Say which transitions of EXERCISE to work on, and why, by the last passes over it.

    Those that the history kept of the player count, or those in the takes that --takes names.
    """
    from trainer.cli.naming import exercise_named
    from trainer.judging import Asked

    with complaints():
        line = exercise_named(exercise)
        if not takes and (tempo, starts_at, pickup) != (None, None, None):
            raise Complaint("--tempo, --starts-at and --pickup say how takes are read: they go with --takes")
        asked = Asked(pace, tempo, starts_at, pickup)
        heading, advice, effect = (
            ("", _advice_of([Path(name) for name in takes], line, asked), "") if takes else _kept(line, player, asked)
        )
    if as_json:
        click.echo(json.dumps(in_json(advice)))
    else:
        click.echo("\n\n".join(part for part in (heading, _in_words(advice), effect) if part))
    _offer(advice, drill_to, is_said=not as_json)


def _kept(line: "Exercise", player: str, asked: "Asked") -> "tuple[str, Advice, str]":
    """Which passes are kept, what they say, and what the last drill did: by the history, else by the files of takes."""
    from trainer.following.verdict import Pace
    from trainer.progress.advising import advised, effect_words

    try:
        with opened_history() as kept:
            found = advised(kept, line, player, None if asked.pace is None else Pace(asked.pace))
            effect = "" if found is None else effect_words(kept, found.advice.exercise, player)
            players = kept.players()
    except Complaint as error:
        click.echo(f"{error} The files of takes are read instead.", err=True)
        return "", _advice_of(_kept_files(line.name, player), line, asked, most=True), ""
    if found is None:
        whom = f" by {player}" if player else " that you played"
        others = [name for name in players if name and name != player]
        hint = f"; --player NAME is for others: {', '.join(sorted(others))}" if others else ""
        raise Complaint(f"no take of {line.name!r}{whom} is kept; --takes names files{hint}")
    return found.heading(), found.advice, effect


def _kept_files(exercise_name: str, player: str) -> list[Path]:
    """The last kept takes of a line, oldest first, as many as it takes for the passes that are looked at."""
    from datetime import datetime

    from trainer.devices.recording import take_path, takes_folder
    from trainer.playing.take import TakeError, read_take
    from trainer.progress.advising import LAST_PASSES

    folder = takes_folder()
    # The name of a take begins with its date and goes on with the line's: few files have to be opened.
    _, _, ending = take_path(folder, datetime.min, exercise_name).stem.split("_", 2)
    kept: list[Path] = []
    passes = 0
    for path in sorted(folder.glob(f"*_{ending}*.mid"), reverse=True):
        try:
            header = read_take(path).header
        except TakeError:
            continue  # `boxwalk takes` says what is wrong with it
        # What the simulated player played says nothing about the player.
        if header is None or header.seed is not None:
            continue
        if header.exercise_name == exercise_name and header.player == player:
            kept.append(path)
            passes += header.passes
            if passes >= LAST_PASSES:
                break
    if not kept:
        raise Complaint(f"no take of {exercise_name!r} that you played is kept in {folder}; --takes names files")
    return kept[::-1]


def _advice_of(paths: Iterable[Path], line: "Exercise", asked: "Asked", *, most: bool = False) -> "Advice":
    """What the passes in some files say, judged now; `most`: only the last of them, as many as are looked at."""
    from trainer.coaching.advice import Advice
    from trainer.coaching.played import passes_of
    from trainer.coaching.telling import Hearing
    from trainer.following.verdict import Pace
    from trainer.playing.profile import ChannelUse
    from trainer.playing.take import read_take
    from trainer.progress.advising import LAST_PASSES, weighed

    passes: list[PlayedPass] = []
    sessions = [_listened(line, read_take(path), asked) for path in paths]
    for session, first_note in sessions:
        of_take = passes_of(session.exercise, session.ledger, tempo=session.tempo, pass_length=session.pass_length)
        passes.extend(one.within(len(line.notes), first_note) for one in of_take)
    profiles = [session.profile for session, _ in sessions]
    hearing = Hearing(
        knows_strings=all(profile.channel_use is not ChannelUse.ONE_CHANNEL for profile in profiles),
        knows_delays=all(profile.latency_ns or profile.latency_cycles for profile in profiles),
    )
    pace = Pace.CLICK if all(session.is_timed for session, _ in sessions) else Pace.FREE
    return Advice(line, weighed(line, passes[-LAST_PASSES:] if most else passes, pace), hearing, sessions[-1][0].tempo)


def _listened(line: "Exercise", take: "Take", asked: "Asked") -> "tuple[Session, int]":
    """A take judged as `boxwalk judge` does, and which note of the line its first written note is."""
    from trainer.judging import play_through, session_for

    if take.header is not None:
        session = play_through(session_for(line, take.header, asked), take.messages)
        return session, (take.header.first_note or 0) % len(line.notes)
    passes = 1
    while True:
        session = play_through(session_for(line, None, asked, passes=passes), take.messages)
        found = _passes_in(session, len(line.notes))
        if found <= passes:
            return session, 0
        passes = found


def _passes_in(session: "Session", notes_a_pass: int) -> int:
    """How often the line seems to be in a take that does not say so: by the click, or else by the count of notes."""
    if not session.onsets:
        return 1
    if not session.is_timed:
        return max(1, round(len(session.onsets) / notes_a_pass))
    line = session.exercise
    one = line.length_quarters / (len(line.notes) // notes_a_pass)
    last = session.score_quarters(session.onsets[-1].onset_ns)
    # Half a beat of lateness does not make another pass.
    passes = -(-(last - line.meter.beat_quarters / 2) // one)
    return min(max(1, int(passes)), MOST_PASSES)


def in_json(advice: "Advice") -> dict[str, Any]:
    """What the takes say, as plain JSON values."""
    from trainer.coaching.telling import verdict_sentence

    return {
        "enough": advice.weighing.is_enough,
        "passes": advice.weighing.passes,
        "transitions": [
            {
                "from": each.from_index,
                "to": each.to_index,
                "late_ms": _rounded(each.late_ms),
                "late_interval_ms": each.late_interval_ms and [_rounded(edge) for edge in each.late_interval_ms],
                "spread_ms": _rounded(each.spread_ms),
                "misses": each.misses,
                "rank": each.rank,
                "weak": each.is_weak,
            }
            for each in advice.weighing.transitions
        ],
        "sentence": verdict_sentence(advice.exercise, advice.weighing, advice.hearing),
    }


def _rounded(figure: float | None) -> float | None:
    return None if figure is None else round(figure, 3)


def _in_words(advice: "Advice") -> str:
    """The sentences, the line with its weak transitions marked, the figures, and what is withheld."""
    from trainer.coaching.telling import withheld
    from trainer.sheets.text_tablature import text_tablature

    marks = {each.to_index: str(each.rank) for each in advice.weighing.weak}
    sentences = advice.sentences()
    unsaid = withheld(advice.hearing)
    parts = [
        *sentences,
        None if unsaid in sentences else unsaid,
        text_tablature(advice.exercise, marks=marks) if marks else None,
        _table(advice) if advice.weighing.passes else None,
    ]
    return "\n\n".join(part for part in parts if part)


def _table(advice: "Advice") -> str:
    from trainer.coaching.telling import place_of

    shown = [each for each in advice.weighing.ranked if each.is_weak or each.rank <= MOST_SHOWN]
    rows = [("rank", "notes", "from", "to", "late ms (95 %)", "spread ms", "failed", "")]
    for each in shown:
        low, high = each.late_interval_ms or (0.0, 0.0)
        rows.append(
            (
                str(each.rank),
                f"{each.from_index}-{each.to_index}",
                place_of(advice.exercise, each.from_index, advice.hearing),
                place_of(advice.exercise, each.to_index, advice.hearing),
                "-" if each.late_ms is None else f"{each.late_ms:+.0f} ({low:+.0f} to {high:+.0f})",
                "-" if each.spread_ms is None else f"{each.spread_ms:.0f}",
                f"{each.misses} of {each.attempts}",
                f"weak: {each.kind}" if each.is_weak else "",
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    )


def _offer(advice: "Advice", drill_to: str | None, *, is_said: bool) -> None:
    """Write the drill for the weakest transition, or show it."""
    from trainer.score.note_list import note_list_text
    from trainer.sheets.errors import SheetError
    from trainer.sheets.saving import save
    from trainer.sheets.text_tablature import text_tablature

    if not advice.weighing.weak:
        if drill_to is not None:
            raise Complaint(f"no transition of {advice.exercise.name!r} is weak: there is nothing to drill")
        return
    drill: Drill = advice.drills()[0]
    if drill_to is not None:
        try:
            save(Path(drill_to), note_list_text(drill.exercise).encode())
        except SheetError as error:
            raise Complaint(f"the drill cannot be written: {error}") from error
    if is_said:
        where = f"`boxwalk practise {drill_to}`" if drill_to else "`--drill FILE.toml` writes it for `boxwalk practise`"
        click.echo(f"\nDrill. {drill.about} {where}\n\n{text_tablature(drill.exercise)}".rstrip())
