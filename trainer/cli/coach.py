"""`boxwalk coach`: which transitions of a line are weak, by how much, and a drill for the worst."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint, complaints

if TYPE_CHECKING:
    from trainer.coaching.drills import Drill
    from trainer.coaching.played import PlayedPass
    from trainer.coaching.telling import Hearing
    from trainer.coaching.transitions import Weighing
    from trainer.judging import Asked
    from trainer.playing.take import Take
    from trainer.score.exercise import Exercise
    from trainer.score.tempo import Tempo
    from trainer.session import Session

LAST_PASSES = 20
"""So many passes are looked at when no takes are named."""
MOST_SHOWN = 6
MOST_PASSES = 200
"""So often is a line looked for in one file."""
_TAKES = "--takes"


@dataclass(frozen=True, slots=True)
class _Coached:
    """What the takes say."""

    exercise: "Exercise"
    weighing: "Weighing"
    hearing: "Hearing"
    tempo: "Tempo"


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
@click.option("--pace", type=click.Choice(["click", "free"]), help="Default: what each take says, else click.")
@click.option("--tempo", type=float, metavar="QPM", help="Quarters a minute. Default: each take's, else the line's.")
@click.option("--starts-at", type=float, metavar="SECONDS", help="When written quarter 0 falls in each take.")
@click.option("--pickup", metavar="NAME", help="Pickup profile. Default: each take's, else channel k = string k.")
@click.option("--drill", "drill_to", metavar="FILE.toml", help="Write the drill for the weakest transition to a file.")
@click.option("--json", "as_json", is_flag=True, help="All transitions as JSON.")
def coach(
    exercise: str,
    takes: tuple[str, ...],
    pace: str | None,
    tempo: float | None,
    starts_at: float | None,
    pickup: str | None,
    drill_to: str | None,
    *,
    as_json: bool,
) -> None:
    """Say which transitions of EXERCISE to work on, and why, from takes of it.

    Without --takes the last kept takes of the line are taken. Each pass of a take counts.
    """
    with complaints():
        from trainer.cli.naming import exercise_named
        from trainer.judging import Asked

        line = exercise_named(exercise)
        asked = Asked(pace, tempo, starts_at, pickup)
        paths = [Path(name) for name in takes] or _kept_takes(line.name)
        coached = _coached(line, paths, asked, most=None if takes else LAST_PASSES)
    if as_json:
        click.echo(json.dumps(in_json(coached)))
    else:
        click.echo(_in_words(coached))
    _offer(coached, drill_to, is_said=not as_json)


def _kept_takes(exercise_name: str) -> list[Path]:
    """The last kept takes of a line, oldest first, as many as it takes for the passes that are looked at."""
    from datetime import datetime

    from trainer.devices.recording import take_path, takes_folder
    from trainer.playing.take import TakeError, read_take

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
        if header is not None and header.exercise_name == exercise_name and header.seed is None:
            kept.append(path)
            passes += header.passes
            if passes >= LAST_PASSES:
                break
    if not kept:
        raise Complaint(f"no take of {exercise_name!r} that you played is kept in {folder}; --takes names files")
    return kept[::-1]


def _coached(line: "Exercise", paths: Iterable[Path], asked: "Asked", *, most: int | None) -> _Coached:
    from trainer.coaching.played import passes_of
    from trainer.coaching.telling import Hearing
    from trainer.coaching.transitions import weigh
    from trainer.playing.profile import ChannelUse
    from trainer.playing.take import read_take

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
    weighing = weigh(
        passes[-most:] if most else passes,
        [note.technique for note in line.notes],
        is_timed=all(session.is_timed for session, _ in sessions),
    )
    return _Coached(line, weighing, hearing, sessions[-1][0].tempo)


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


def in_json(coached: _Coached) -> dict[str, Any]:
    """What the takes say, as plain JSON values."""
    from trainer.coaching.telling import verdict_sentence

    return {
        "enough": coached.weighing.is_enough,
        "passes": coached.weighing.passes,
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
            for each in coached.weighing.transitions
        ],
        "sentence": verdict_sentence(coached.exercise, coached.weighing, coached.hearing),
    }


def _rounded(figure: float | None) -> float | None:
    return None if figure is None else round(figure, 3)


def _in_words(coached: _Coached) -> str:
    """The sentence, the line with its weak transitions marked, the figures, and what is withheld."""
    from trainer.coaching.telling import shared_sentence, verdict_sentence, withheld
    from trainer.coaching.traits import shared_weaknesses
    from trainer.sheets.text_tablature import text_tablature

    weighing, hearing = coached.weighing, coached.hearing
    shared = shared_weaknesses(coached.exercise, weighing, compares_strings=hearing.compares_strings)
    marks = {each.to_index: str(each.rank) for each in weighing.weak}
    parts = [
        verdict_sentence(coached.exercise, weighing, hearing),
        *(shared_sentence(weakness) for weakness in shared),
        withheld(hearing),
        text_tablature(coached.exercise, marks=marks) if marks else None,
        _table(coached) if weighing.passes else None,
    ]
    return "\n\n".join(part for part in parts if part)


def _table(coached: _Coached) -> str:
    from trainer.coaching.telling import place_of

    shown = [each for each in coached.weighing.ranked if each.is_weak or each.rank <= MOST_SHOWN]
    rows = [("rank", "notes", "from", "to", "late ms (95 %)", "spread ms", "failed", "")]
    for each in shown:
        low, high = each.late_interval_ms or (0.0, 0.0)
        rows.append(
            (
                str(each.rank),
                f"{each.from_index}-{each.to_index}",
                place_of(coached.exercise, each.from_index, coached.hearing),
                place_of(coached.exercise, each.to_index, coached.hearing),
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


def _offer(coached: _Coached, drill_to: str | None, *, is_said: bool) -> None:
    """Write the drill for the weakest transition, or show it."""
    from trainer.coaching.drills import drills_for
    from trainer.score.note_list import note_list_text
    from trainer.sheets.text_tablature import text_tablature

    if not coached.weighing.weak:
        if drill_to is not None:
            raise Complaint(f"no transition of {coached.exercise.name!r} is weak: there is nothing to drill")
        return
    drill: Drill = drills_for(coached.exercise, coached.weighing.weak[0], coached.tempo)[0]
    if drill_to is not None:
        try:
            Path(drill_to).write_text(note_list_text(drill.exercise), encoding="utf-8")
        except OSError as error:
            raise Complaint(f"the drill cannot be written: {error}") from error
    if is_said:
        where = f"`boxwalk practise {drill_to}`" if drill_to else "`--drill FILE.toml` writes it for `boxwalk practise`"
        click.echo(f"\nDrill. {drill.about} {where}\n\n{text_tablature(drill.exercise)}".rstrip())
