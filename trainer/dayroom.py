"""Makes the screens of the day's plan and of progress, from the history as it is when they are entered."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction
from functools import partial
from math import ceil
from typing import TypeVar

from trainer.coaching.known import Known
from trainer.coaching.plan import Choice, Day, Item, Kind, Plan
from trainer.coaching.planning import planned
from trainer.coaching.rests import BreakCounter
from trainer.devices.remembered import KeptDay
from trainer.history.errors import HistoryError, told
from trainer.history.figures import Asked, lines
from trainer.history.opening import history_path
from trainer.history.store import History
from trainer.progress.facts import Facts
from trainer.progress.gathering import facts_of, first_day, known_of
from trainer.progress.look import DARK, ON_SCREEN
from trainer.progress.pictures import Picture, day_words, pictures_of
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.practice_path import PATH
from trainer.score.tempo import Tempo
from trainer.screens.day_plan import DayPlanScreen
from trainer.screens.improvise import ImproviseScreen, Music, Over, key_of
from trainer.screens.look import worn
from trainer.screens.pick import Pick
from trainer.screens.progress import Draw, ProgressPage, ProgressScreen
from trainer.screens.screen import Screen
from trainer.screens.words import line_words
from trainer.sounds.backing import backing_for
from trainer.station import Station
from trainer.workroom import Library

Told = TypeVar("Told")
WEEKS = 8
MOST_COACHED = 12
MINUTES = 30
OVER_A_BACKING = "It sounds: {backing}. Nothing is judged or kept; `{start}` in a terminal writes down a phrase."
TO_THE_CLICK = "The click sounds alone, and nothing is judged or kept; `{start}` in a terminal writes it down."


class Dayroom:
    """`play(plan, back_to)` and `leave(notice)` lead out of its screens."""

    def __init__(
        self,
        station: Station,
        library: Library,
        *,
        play: Callable[[RunPlan, Screen], Screen],
        drill: Callable[[Exercise, int, Screen], Screen | None],
        leave: Callable[[str], Screen],
        coach: Callable[[tuple[Exercise, ...], Callable[[], Screen]], Screen],
        breaks: BreakCounter,
    ) -> None:
        self._station = station
        self._library = library
        self._play = play
        self._drill = drill
        self._coach = coach
        self._breaks = breaks
        self._known = Known()
        self._leave = leave

    def progress(self) -> Screen:
        """The last weeks in pictures."""
        today = _today()
        first = first_day(today, WEEKS)
        try:
            facts = self._read(lambda history, player: facts_of(history, player, first, today))
        except HistoryError as error:
            return self._leave(told(error))
        if facts is None:
            facts = Facts("", first, today, (), ())
        heading = f"{facts.player or 'All takes'}, {day_words(first)} to {day_words(today)}"
        return ProgressScreen(
            [ProgressPage(each.title, each.sentence, drawing_of(each)) for each in pictures_of(facts)],
            heading,
            leave_to=lambda: self._leave(""),
            coach=self._coached,
        )

    def _coached(self, back_to: Screen) -> Screen:
        """The coach's list of the lines played last."""
        try:
            played = self._read(lambda history, player: lines(history, Asked(player))) or ()
        except HistoryError as error:
            return self._leave(told(error))
        by_name = {line.name: line for line in self._library.exercises}
        last = tuple(by_name[line.name] for line in played if line.name in by_name)[:MOST_COACHED]
        return self._coach(last, lambda: back_to)

    def plan(self) -> Screen:
        """What to play today."""
        try:
            self._known = self._read(lambda history, player: known_of(history, player, _today())) or Known()
        except HistoryError as error:
            return self._leave(told(error))
        exercises = self._library.exercises
        if not exercises:
            return self._leave("There is no exercise to plan with.")

        def made(minutes: int, goal: str) -> Plan:
            return planned(minutes, exercises, self._known, goal)

        memory, today = self._station.memory, _today().isoformat()
        kept = None if memory is None else memory.day

        def keep(day: Day) -> None:
            if memory is not None:
                memory.keep_day(KeptDay(today, day))

        return DayPlanScreen(
            made,
            start=self._start,
            leave_to=lambda: self._leave(""),
            minutes=MINUTES,
            goals=goals_of(exercises),
            rest=self._breaks.state,
            day=kept.day if kept is not None and kept.date == today else None,
            keep=keep,
        )

    def _start(self, item: Item, back_to: Screen) -> Screen | str:
        """The screen that plays an item, or why it is not played on a screen."""
        choice = item.choice
        if choice is None:
            return "A break: nothing is played."
        line = next((line for line in self._library.exercises if line.name == choice.exercise), None)
        if line is None:
            return f"{choice.exercise} is no longer among the exercises."
        if item.kind is Kind.MUSIC:
            return self._music(choice, line, item.minutes, back_to)
        weakness = self._known.weakness
        if item.kind is Kind.DRILL and weakness is not None:
            if weakness.to_index >= len(line.notes):
                return f"{choice.exercise} has changed; R plans anew."
            return self._drill(line, weakness.to_index, back_to) or f"{choice.exercise} has changed; R plans anew."
        return self._play(RunPlan(line, Tempo(Fraction(str(choice.qpm))), passes=choice.passes), back_to)

    def _music(self, choice: Choice, line: Exercise, minutes: int, back_to: Screen) -> Screen:
        """Improvise over a backing in the line's key, or over the click where that is not known."""
        tempo, key, desk = Tempo(Fraction(str(choice.qpm))), key_of(line), self._station.desk
        bars = ceil(minutes * choice.qpm / line.meter.bar_quarters)

        def start() -> None:
            if backing is None:
                desk.start_click(tempo, line.meter, bars)
            else:
                desk.start_backing(backing, tempo, tempo.ns(bars * line.meter.bar_quarters))

        backing = None if key is None else backing_for(key, line.meter, desk.mix.accompaniment)
        words = TO_THE_CLICK if backing is None else OVER_A_BACKING
        sounds = words.format(backing="" if backing is None else backing.words, start=choice.start)
        return ImproviseScreen(
            Music(
                choice.title, (choice.task, sounds), line, minutes, None if backing is None else Over(backing, tempo)
            ),
            start=start,
            began_ns=lambda: self._station.sound.started_at_ns,
            stop=self._station.sound.stop,
            leave_to=lambda: back_to,
            breaks=self._breaks,
            status=lambda: self._station.status,
        )

    def _read(self, ask: Callable[[History, str], Told]) -> Told | None:
        """What the history tells; None when there is none yet."""
        keeper, folder = self._station.history, self._station.takes_folder
        if keeper is None or folder is None or not history_path(folder).exists():
            return None
        with History.read(history_path(folder), folder) as history:
            return ask(history, keeper.player)


def goals_of(exercises: Iterable[Exercise]) -> tuple[Pick, ...]:
    """What can be aimed at: the steps of the path, then the lines."""
    return (
        *(
            Pick(f"step {step.number}", f"Step {step.number}: {step.title}", _first_sentence(step.about))
            for step in PATH
        ),
        *(Pick(line.name, line.title, line_words(line)) for line in exercises),
    )


def _first_sentence(words: str) -> str:
    return f"{words.partition('. ')[0].rstrip('.')}."


def _today() -> date:
    return datetime.now().astimezone().date()


def drawing_of(picture: Picture) -> Draw | None:
    """How a picture is drawn in the look that is worn; None when there is not enough for one."""
    return None if picture.shown is None else partial(_drawn, picture)


def _drawn(picture: Picture, size: tuple[int, int], unit: float) -> bytes:
    from trainer.progress.painting import rendered

    look = worn()
    drawn = replace(ON_SCREEN[look.theme.name], font_pt=DARK.font_pt * look.text_percent / 100)
    return rendered(picture, size, unit, drawn)
