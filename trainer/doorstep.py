"""What to do now: go on with the line played last, or with a first one that fits; what the day's plan has next.

Nothing is read here, so that it may be asked in every frame: what was played last is told by the history from a thread
of its own, and the rest is remembered.
"""

from collections.abc import Callable, Iterable
from datetime import date, datetime, timedelta
from fractions import Fraction

from trainer.coaching.known import days_ago_in_words
from trainer.coaching.plan import Item
from trainer.following.verdict import Pace
from trainer.history.last_takes import LastTake
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.practice_path import first_line
from trainer.score.tempo import Tempo
from trainer.screens.choices import Choices, InputChoice, playable_tempo
from trainer.screens.home_now import Ahead
from trainer.screens.screen import Command
from trainer.screens.words import tempo_words, tuning_words
from trainer.station import Station
from trainer.theory.tuning import TUNINGS, Tuning

FIRST_PASSES = 2
"""Of the first line of all."""


class Doorstep:
    """`lines` are those that can be played; more may come while `is_reading()`."""

    def __init__(
        self, station: Station, lines: Iterable[Exercise], is_reading: Callable[[], bool] = lambda: False
    ) -> None:
        self._station = station
        self._is_reading = is_reading
        self._lines = {line.name: line for line in lines}

    def take_in(self, lines: Iterable[Exercise]) -> None:
        """These lines can be played now."""
        self._lines = {line.name: line for line in lines}

    def ahead(self, chosen: InputChoice) -> tuple[Ahead, Ahead]:
        """To go on, and the plan of the day."""
        return self._to_go_on(chosen), self._of_the_plan(datetime.now().astimezone().date())

    def plan(self, chosen: InputChoice, settings: Choices) -> RunPlan | None:
        """The line played last as it was played, or the first one; None while it is not known which."""
        last = self._last(chosen)
        if last is not None:
            line, take = last
            tempo = Tempo(playable_tempo(take.quarters_per_minute))
            return RunPlan(
                line,
                tempo,
                Pace(take.pace),
                settings.passes,
                hear_line=settings.hear_line,
                with_backing=settings.with_backing,
            )
        first = None if self._is_waiting else self.first(chosen)
        return None if first is None else RunPlan(first, first.tempo, passes=FIRST_PASSES)

    def first(self, chosen: InputChoice) -> Exercise | None:
        """What to begin with on an input: the first line of the path that its strings are tuned for."""
        return first_line(self._lines.values(), self._tuning(chosen))

    @property
    def _is_waiting(self) -> bool:
        """Whether the history has not told yet what was played, or not all lines are known."""
        keeper = self._station.history
        is_untold = keeper is not None and keeper.last_takes is None and keeper.trouble is None
        return is_untold or self._is_reading()

    def _last(self, chosen: InputChoice) -> tuple[Exercise, LastTake] | None:
        """The take to go on with; on a pickup none that was played for show."""
        keeper = self._station.history
        for take in (keeper.last_takes if keeper is not None else None) or ():
            if take.is_simulated and chosen.is_pickup:
                continue
            if take.name in self._lines:
                return self._lines[take.name], take
            if self._is_reading():
                break
        return None

    def _tuning(self, chosen: InputChoice) -> Tuning:
        """What the strings were tuned to when the input was set up."""
        memory = self._station.memory
        known = None if memory is None else memory.devices.get(chosen.name)
        return TUNINGS.get(known.tuning if known is not None else "", TUNINGS["standard"])

    def _to_go_on(self, chosen: InputChoice) -> Ahead:
        last = self._last(chosen)
        if last is not None:
            line, take = last
            tempo = tempo_words(Tempo(Fraction(take.quarters_per_minute)))
            words = f"{line.title}, {tempo}, {when_words(take.began)}"
            return Ahead("Ctrl Enter", "go on with what was played last", words, Command.GO_ON)
        if self._is_waiting:
            return Ahead("", "", "", Command.GO_ON)
        first = self.first(chosen)
        if first is None:
            tuning = tuning_words(self._tuning(chosen).name)
            return Ahead("F4", "build a first line", f"none is written for {tuning} tuning", Command.BUILD)
        return Ahead("Ctrl Enter", "begin here", f"{first.title}, {tempo_words(first.tempo)}", Command.GO_ON)

    def _of_the_plan(self, today: date) -> Ahead:
        memory = self._station.memory
        kept = None if memory is None else memory.day
        if kept is None or kept.date != today.isoformat():
            return Ahead("F10", "plan the day", "minutes to play, and what to play in them", Command.PLAN)
        item = kept.day.next_item
        if item is None:
            return Ahead("F10", "today's plan", "everything in it was begun", Command.PLAN)
        place = kept.day.plan.items.index(item) + 1
        heading = f"today's plan, {place} of {len(kept.day.plan.items)}"
        return Ahead("F10", heading, _item_words(item), Command.PLAN)


def when_words(began: str) -> str:
    """When a take began, as one says it on the day it is read."""
    at, now = datetime.fromisoformat(began).astimezone(), datetime.now().astimezone()
    days = (now.date() - at.date()) // timedelta(days=1)
    return f"today {at:%H:%M}" if days <= 0 else days_ago_in_words(days)


def _item_words(item: Item) -> str:
    if item.choice is None:
        return f"{item.minutes} minutes of rest"
    return f"{item.minutes} min, {item.kind.value}: {item.choice.title}"
