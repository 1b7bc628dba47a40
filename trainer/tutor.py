"""What the coach knows of each line while the program runs: its passes before this sitting and those of it.

The passes before are read from the history once for each line; those of the sitting are counted as they are played, so
that the result never waits for the history to take them in. After a drill the passes over the line are held against
those before it.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import TypeVar

from trainer.coaching.advice import Advice
from trainer.coaching.drills import Drill
from trainer.coaching.effect import effect_on, in_drill_words
from trainer.coaching.played import PlayedPass
from trainer.coaching.rests import SinceBreak, since_break
from trainer.coaching.sitting import passes_of_sitting
from trainer.coaching.telling import Hearing
from trainer.coaching.transitions import LEAST_PASSES, Transition, Weighing
from trainer.following.verdict import Pace
from trainer.history.errors import HistoryError, told
from trainer.history.opening import history_path
from trainer.history.passes import PassPlayed, passes_of
from trainer.history.store import SIMULATED_PLAYER, History
from trainer.history.tempo_runs import tempo_runs
from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.progress.advising import LAST_PASSES, enough_played, hearing_over, weighed
from trainer.progress.comparing import tempo_before_words
from trainer.progress.facts import LinePlayed
from trainer.progress.lately import LastDrill, last_drill, takes_since
from trainer.progress.measures import tempo_points
from trainer.progress.pictures import day_words
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.tempo import Tempo
from trainer.screens.practice import Outcome
from trainer.station import Station
from trainer.theory.naming import counted

Told = TypeVar("Told")
S_NS = 1_000_000_000
LOOKED_BACK_S = 3600
DRILL_TOLD_DAYS = 7
"""A drill is remembered for so long."""
TEMPO_PASSES = 400
"""So many are looked through for the working tempi of the last two months."""


@dataclass(frozen=True, slots=True)
class _Drilled:
    """A transition that was drilled, and the line before that."""

    to_index: int
    before: Weighing
    passes: int = 0
    """How many passes of the sitting were before it."""
    since: tuple[PlayedPass, ...] = ()
    """Passes over the line after it, in earlier sittings."""
    day: str = ""
    """When it was, unless in this sitting."""


@dataclass(slots=True)
class _Known:
    """One line at one pace."""

    earlier: tuple[PlayedPass, ...]
    tempo: Tempo | None = None
    """Of the last pass."""
    hearing: Hearing | None = None
    """What the pickups of the earlier passes could tell."""
    sitting: list[PlayedPass] = field(default_factory=list)
    drilled: _Drilled | None = None


class Tutor:
    """Told of every outcome, asked for advice."""

    def __init__(self, station: Station) -> None:
        self._station = station
        self._began = datetime.now().astimezone()
        self._known: dict[tuple[str, tuple[ScoreNote, ...], Pace, str], _Known] = {}
        self._trouble = ""

    @property
    def trouble(self) -> str:
        """What is wrong with the history; empty when nothing is."""
        keeper = self._station.history
        return (keeper.trouble if keeper is not None else None) or self._trouble

    def since_break(self) -> SinceBreak:
        """How long was played before the program began: starting it anew is no break."""
        now_s = int(self._began.timestamp())
        takes = self._asked(lambda history: takes_since(history, self.player, now_s - LOOKED_BACK_S)) or ()
        return since_break([(begins_s * S_NS, ends_s * S_NS) for begins_s, ends_s in takes], now_s * S_NS)

    def note(self, outcome: Outcome) -> None:
        """Count the passes of what was just played."""
        plan = outcome.plan
        known = self._of(plan.exercise, plan.pace)
        known.sitting.extend(passes_of_sitting(outcome.stretches, plan.tempo))
        known.tempo = plan.tempo

    def heard(self, outcome: Outcome, profile: PickupProfile) -> Advice:
        """What is to be said of a line after what was just played of it."""
        self.note(outcome)
        plan = outcome.plan
        return self._advice(plan.exercise, plan.pace, self._of(plan.exercise, plan.pace), profile)

    def advice(self, exercise: Exercise) -> Advice:
        """What is to be said of a line before anything of it is played: of its passes with the click."""
        return self._advice(exercise, Pace.CLICK, self._of(exercise, Pace.CLICK), self._station.profile)

    @staticmethod
    def _advice(exercise: Exercise, pace: Pace, known: _Known, profile: PickupProfile) -> Advice:
        weighing = weighed(exercise, (*known.earlier, *known.sitting)[-LAST_PASSES:], pace)
        now, then = hearing_of(profile), known.hearing
        if then is not None:
            now = Hearing(now.knows_strings and then.knows_strings, now.knows_delays and then.knows_delays)
        return Advice(exercise, weighing, now, known.tempo or exercise.tempo)

    def drill_begins(self, advice: Advice, weak: Transition, pace: Pace) -> None:
        """A transition is going to be drilled: remember how the line is now."""
        known = self._of(advice.exercise, pace)
        known.drilled = _Drilled(weak.to_index, advice.weighing, len(known.sitting))

    def effect(self, exercise: Exercise, pace: Pace) -> str:
        """What the drill did to the line, or how many passes that takes; empty when nothing was drilled."""
        known = self._of(exercise, pace)
        if known.drilled is None:
            return ""
        since = (*known.drilled.since, *known.sitting[known.drilled.passes :])
        more = LEAST_PASSES - len(since)
        if more > 0:
            passes = counted(more, "more pass", "more passes")
            return f"What the drill{known.drilled.day} did to the line can be told after {passes}."
        after = weighed(exercise, since, pace)
        found = effect_on(known.drilled.before, after, known.drilled.to_index)
        if found is None:
            return "What the drill did cannot be told: the two notes were not played in order often enough."
        return f"Since the drill{known.drilled.day}, {found.words[0].lower()}{found.words[1:]}"

    def in_drill(self, outcome: Outcome, drill: Drill, weak: Transition) -> str:
        """How the transition `weak` of the line went in its drill."""
        exercise = outcome.plan.exercise
        passes = passes_of_sitting(outcome.stretches, outcome.plan.tempo)
        return in_drill_words(weighed(exercise, passes, outcome.plan.pace), weak.to_index - drill.first, weak)

    def tempo_words(self, exercise: Exercise) -> str:
        """What the working tempo of a line was before today; empty without a history."""
        passes = self._kept(exercise, TEMPO_PASSES)
        today = datetime.now().astimezone().date()
        runs = self._asked(lambda history: tempo_runs(history, self.player, exercise.name)) or ()
        line = LinePlayed(exercise, passes, {}, runs)
        return "" if self._station.history is None else tempo_before_words(exercise, tempo_points(line), today)

    def _of(self, exercise: Exercise, pace: Pace) -> _Known:
        key = (exercise.name, exercise.notes, pace, self.player)
        if key not in self._known:
            self._known[key] = self._from_history(exercise, pace)
        return self._known[key]

    @property
    def player(self) -> str:
        """Whose passes these are, as the history calls players."""
        keeper = self._station.history
        named = "" if keeper is None else keeper.player
        return named or (SIMULATED_PLAYER if self._station.is_simulated else "")

    def _from_history(self, exercise: Exercise, pace: Pace) -> _Known:
        """The last passes before this sitting, oldest first, and what was drilled in the last days."""
        dated = [
            (began, one, played)
            for one, played in enough_played(exercise, self._kept(exercise, 4 * LAST_PASSES))
            if one.pace is pace and (began := moment_of(one.began)) < self._began
        ]
        last = dated[-LAST_PASSES:]
        known = _Known(tuple(played for *_, played in last))
        if last:
            known.tempo = Tempo(last[-1][1].quarters_per_minute)
            takes = {one.take_id for _, one, _ in last}
            known.hearing = self._asked(lambda history: hearing_over(history, takes))
        drill = self._last_drill(exercise)
        if drill is not None:
            before = [played for began, _, played in dated if began < drill.began.astimezone()][-LAST_PASSES:]
            since = tuple(played for began, _, played in dated if began >= drill.began.astimezone())
            if len(before) >= LEAST_PASSES:
                day = f" of {day_words(drill.began.date())}"
                known.drilled = _Drilled(drill.to_index, weighed(exercise, before, pace), 0, since, day)
        return known

    def _last_drill(self, exercise: Exercise) -> LastDrill | None:
        """The drill of the last days; what came long ago says nothing of today."""
        found = self._asked(lambda history: last_drill(history, exercise, self.player))
        recent = found is not None and (self._began - found.began.astimezone()).days <= DRILL_TOLD_DAYS
        return found if recent else None

    def _kept(self, exercise: Exercise, most: int) -> tuple[PassPlayed, ...]:
        """The last passes that the history has; none, and a sentence, when it cannot be read."""
        return self._asked(lambda history: passes_of(history, exercise, self.player, most)) or ()

    def _asked(self, ask: Callable[[History], Told]) -> Told | None:
        """What the history tells; None, and a sentence, when it cannot be read."""
        keeper, folder = self._station.history, self._station.takes_folder
        if keeper is None or folder is None or not history_path(folder).exists():
            return None
        is_open = keeper.last_takes is not None or keeper.trouble is not None
        try:
            with History.read(history_path(folder), folder) as history:
                return ask(history)
        except HistoryError as error:
            if not is_open:
                return None  # it is only being made, or brought up to date
            self._trouble = f"{told(error)} The coach speaks of this sitting alone."
            return None


def advice_on(outcome: Outcome, profile: PickupProfile) -> Advice:
    """What is to be said of one sitting by itself."""
    plan = outcome.plan
    weighing = weighed(plan.exercise, passes_of_sitting(outcome.stretches, plan.tempo), plan.pace)
    return Advice(plan.exercise, weighing, hearing_of(profile), plan.tempo)


def hearing_of(profile: PickupProfile) -> Hearing:
    """What a pickup can tell."""
    return Hearing(
        knows_strings=profile.channel_use is not ChannelUse.ONE_CHANNEL,
        knows_delays=bool(profile.latency_ns or profile.latency_cycles),
    )


def moment_of(began: str) -> datetime:
    """When a take began; a time without an offset is local."""
    return datetime.fromisoformat(began).astimezone()
