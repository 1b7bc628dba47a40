"""What the coach says of a line by the passes that the history kept of it.

Passes of one player and one pace count, over the line as it was when played: over the line as it is now, or, when that
was never played, as it was when it was last played under this name. What the pickups of those takes could tell decides
what is said of strings.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from trainer.coaching.advice import Advice
from trainer.coaching.effect import effect_on
from trainer.coaching.played import LEAST_SHARE_PLAYED, PlayedPass
from trainer.coaching.telling import Hearing
from trainer.coaching.transitions import LEAST_PASSES, Weighing, weigh
from trainer.following.verdict import Pace
from trainer.history.opening import facts_in_words
from trainer.history.passes import PassPlayed, passes_of
from trainer.history.store import History
from trainer.progress.facts import day_of
from trainer.progress.lately import last_drill
from trainer.progress.transitions import played_pass
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.theory.naming import counted

LAST_PASSES = 20
"""So many are weighed, the last ones."""
_LOOKED_THROUGH = 4 * LAST_PASSES  # for those of one pace of which enough was played


@dataclass(frozen=True, slots=True)
class Advised:
    """Advice, and which passes it is by."""

    advice: Advice
    pace: Pace
    first_day: date
    last_day: date
    is_as_now: bool
    """The line was played as it is now; otherwise it is another line under the same name."""

    def heading(self) -> str:
        """Which passes are looked at."""
        passes = self.advice.weighing.passes
        which = "The last pass" if passes == 1 else f"The last {passes} passes"
        how = "with the click" if self.pace is Pace.CLICK else "at your own pace"
        when = f"{self.first_day}" if self.first_day == self.last_day else f"{self.first_day} to {self.last_day}"
        former = "" if self.is_as_now else " The line has been changed since: this is of the line as it was then."
        return f"{which} over {self.advice.exercise.name} {how}, {when}.{former}"


def advised(history: History, line: Exercise, player: str, pace: Pace | None = None) -> Advised | None:
    """What is to be said of a line; `pace`: that of the last pass unless said. None when no such pass is kept."""
    whole, is_as_now = line, True
    kept = passes_of(history, line, player, _LOOKED_THROUGH)
    if not kept and (former := history.latest_exercise(line.name)) is not None:
        whole, is_as_now = former, False
        kept = passes_of(history, former, player, _LOOKED_THROUGH)
    wanted = pace or (kept[-1].pace if kept else Pace.CLICK)
    found = [(one, played) for one, played in enough_played(whole, kept) if one.pace is wanted][-LAST_PASSES:]
    if not found:
        return None
    last = found[-1][0]
    return Advised(
        Advice(
            whole,
            weighed(whole, [played for _, played in found], wanted),
            hearing_over(history, {one.take_id for one, _ in found}),
            Tempo(last.quarters_per_minute),
        ),
        wanted,
        day_of(found[0][0]),
        day_of(last),
        is_as_now,
    )


def weighed(line: Exercise, passes: Iterable[PlayedPass], pace: Pace) -> Weighing:
    """The transitions of a line over passes of one pace, the oldest first."""
    return weigh(list(passes), [note.technique for note in line.notes], is_timed=pace is Pace.CLICK)


def hearing_over(history: History, take_ids: Iterable[int]) -> Hearing:
    """What the pickups of some takes could all tell."""
    with facts_in_words(history.path):
        rows = history.connection.execute(
            "SELECT DISTINCT profile FROM devices JOIN takes ON devices.id = device_id"
            " WHERE takes.id IN (SELECT value FROM json_each(?))",
            (json.dumps(sorted(take_ids)),),
        )
        profiles = [json.loads(profile) for (profile,) in rows]
        return Hearing(
            knows_strings=all(profile["channel_use"] != "one-channel" for profile in profiles),
            knows_delays=all(profile["latency_ns"] or profile["latency_cycles"] for profile in profiles),
        )


def enough_played(line: Exercise, passes: Iterable[PassPlayed]) -> Iterable[tuple[PassPlayed, PlayedPass]]:
    """Each pass as the coach sees it, but for beginnings and tails."""
    for one in passes:
        played = played_pass(line, one)
        if played.share_played >= LEAST_SHARE_PLAYED:
            yield one, played


def effect_words(history: History, line: Exercise, player: str, pace: Pace = Pace.CLICK) -> str:
    """What the last drill of a transition did to the line, or how many passes that takes; empty without a drill."""
    drill = last_drill(history, line, player)
    if drill is None:
        return ""
    before: list[PlayedPass] = []
    since: list[PlayedPass] = []
    began = drill.began.astimezone()  # a time without an offset is local
    for one, played in enough_played(line, passes_of(history, line, player, _LOOKED_THROUGH)):
        if one.pace is pace:
            (since if datetime.fromisoformat(one.began).astimezone() >= began else before).append(played)
    what = f"The drill of {drill.began.date()} for notes {drill.to_index - 1} to {drill.to_index}"
    if len(since) < LEAST_PASSES:
        more = counted(LEAST_PASSES - len(since), "more pass", "more passes")
        return f"{what}: not enough yet to say what it did; {more} over the line."
    if len(before) < LEAST_PASSES:
        few = counted(len(before), "pass", "passes")
        return f"{what}: what it did cannot be told, for only {few} over the line came before it."
    now = weighed(line, since[-LAST_PASSES:], pace)
    found = effect_on(weighed(line, before[-LAST_PASSES:], pace), now, drill.to_index)
    if found is None:
        return f"{what}: what it did cannot be told, for the two notes were not played in order often enough."
    return f"{what}. {found.words}"
