"""From the history to what pictures and plans need; nothing is derived here that the history already tells."""

import json
from collections.abc import Mapping
from datetime import date, timedelta

from trainer.coaching.known import Known, KnownLine, KnownWeakness
from trainer.coaching.telling import weakness_sentence
from trainer.coaching.transitions import LEAST_PASSES
from trainer.following.verdict import Pace
from trainer.history.figures import Asked, days, lines
from trainer.history.opening import errors_in_words, facts_in_words
from trainer.history.passes import passes_of, whole_line
from trainer.history.store import History
from trainer.history.tempo_runs import KeptRun, tempo_runs
from trainer.progress.advising import advised, effect_words
from trainer.progress.facts import Ears, Facts, LinePlayed, day_of

MOST_LINES = 12
WEIGHED_LINES = 4
"""The lines played last, among which the plan looks for its drill."""


def facts_of(history: History, player: str, first: date, last: date, name: str = "") -> Facts:
    """What one player did from the first day to the last; `name`: of one line alone, minutes aside."""
    asked = Asked(player, first.isoformat(), last.isoformat())
    with facts_in_words(history.path):
        by_passes = sorted(lines(history, asked), key=lambda line: -line.passes)
        names = [line.name for line in by_passes if not name or line.name == name][:MOST_LINES]
        ears = _ears(history, player, first)
        counts = _pass_counts(history, player, first)
        found = []
        for each in names:
            exercise = whole_line(history, each)
            if exercise is None:
                continue
            passes = tuple(
                one for one in passes_of(history, exercise, player, counts.get(each, 0)) if first <= day_of(one) <= last
            )
            if passes:
                runs = tuple(run for run in tempo_runs(history, player, each) if first <= run.day <= last)
                found.append(LinePlayed(exercise, passes, {one.take_id: ears[one.take_id] for one in passes}, runs))
        return Facts(player, first, last, tuple(reversed(days(history, asked))), tuple(found))


def known_of(history: History, player: str, today: date) -> Known:
    """What is known of a player for the plan of a day."""
    with facts_in_words(history.path):
        played = lines(history, Asked(player))
        days_played = _days_played(history, player)
        runs = {run.name: run for run in tempo_runs(history, player)}
        known = {
            line.name: KnownLine(
                name=line.name,
                days_ago=max(0, (today - date.fromisoformat(line.last_day)).days),
                days_played=days_played.get(line.name, 1),
                passes=line.passes,
                clean_passes=line.clean_passes,
                clean_qpm=line.best_clean_tempo_qpm,
                working=_working_words(runs.get(line.name)),
            )
            for line in played
        }
    weakest: KnownWeakness | None = None
    largest, most = 0.0, 0
    for line in played[:WEIGHED_LINES]:
        exercise = whole_line(history, line.name)
        found = None if exercise is None else advised(history, exercise, player, Pace.CLICK)
        if found is None:
            continue
        advice, worst = found.advice, found.advice.worst
        most = max(most, advice.weighing.passes)
        if worst is not None and worst.evidence > largest:
            largest = worst.evidence
            said = weakness_sentence(advice.exercise, worst, advice.weighing, advice.hearing)
            effect = effect_words(history, advice.exercise, player)
            sentence = f"{said} {effect}" if effect else said
            weakest = KnownWeakness(line.name, worst.from_index, worst.to_index, sentence, advice.drills()[0])
    return Known(known, weakest, _why_none(most, is_played=bool(played)))


def first_day(last: date, weeks: int) -> date:
    """The Monday with which `weeks` calendar weeks begin, of which `last` is in the last one."""
    return last - timedelta(days=last.weekday() + 7 * (weeks - 1))


def _working_words(run: KeptRun | None) -> str:
    if run is None:
        return ""
    found = run.estimate
    return (
        f"Working tempo on {run.day}: ♩ = {found.qpm:.0f}, between {found.low_qpm:.0f} and {found.high_qpm:.0f} "
        f"({run.notes_a_second:.1f} notes a second)."
    )


def _why_none(passes: int, *, is_played: bool) -> str:
    if not is_played:
        return "no passes have been played"
    if passes < LEAST_PASSES:
        missing = LEAST_PASSES - passes
        return f"no weak transition can be told yet; {missing} more {'pass' if missing == 1 else 'passes'} of one line"
    return "no transition of the lines played last stands out from the others"


def _days_played(history: History, player: str) -> Mapping[str, int]:
    with errors_in_words(history.path):
        rows = history.connection.execute(
            "SELECT exercises.name, count(DISTINCT day) FROM takes JOIN exercises ON exercises.id = exercise_id"
            " WHERE player_id = (SELECT id FROM players WHERE name = ?) GROUP BY exercises.name",
            (player,),
        )
        return dict(rows)


def _pass_counts(history: History, player: str, first: date) -> Mapping[str, int]:
    """How many passes of each line there are at most from a day on; over the end of a line one pass becomes two."""
    with errors_in_words(history.path):
        rows = history.connection.execute(
            "SELECT exercises.name, 2 * count(*) FROM takes JOIN exercises ON exercises.id = exercise_id"
            " JOIN passes ON take_id = takes.id"
            " WHERE player_id = (SELECT id FROM players WHERE name = ?) AND day >= ? GROUP BY exercises.name",
            (player, first.isoformat()),
        )
        return dict(rows)


def _ears(history: History, player: str, first: date) -> Mapping[int, Ears]:
    """What the pickup of each take from a day on can tell, by its profile."""
    with errors_in_words(history.path):
        rows = history.connection.execute(
            "SELECT takes.id, profile FROM takes JOIN devices ON devices.id = device_id"
            " WHERE player_id = (SELECT id FROM players WHERE name = ?) AND day >= ?",
            (player, first.isoformat()),
        ).fetchall()
    with facts_in_words(history.path):
        read: dict[str, Ears] = {}
        for _, profile in rows:
            if profile not in read:
                values = json.loads(profile)
                read[profile] = Ears(
                    knows_strings=values["channel_use"] != "one-channel",
                    is_calibrated=bool(values["latency_ns"] or values["latency_cycles"]),
                )
    return {take_id: read[profile] for take_id, profile in rows}
