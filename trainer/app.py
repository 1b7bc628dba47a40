"""What the window shows: the composition root, the only file that knows every screen."""

import gc
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from trainer.classroom import Classroom
from trainer.coaching.advice import Advice
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.contestroom import Contestroom
from trainer.cue_ear import CueEar
from trainer.dayroom import Dayroom
from trainer.devices.midi_drivers import MidiInputError
from trainer.devices.remembered import LastChoices
from trainer.doorstep import FIRST_PASSES, Doorstep
from trainer.following.verdict import Pace
from trainer.homeworkroom import Homeworkroom
from trainer.playing.calibration.guide import Guide
from trainer.practiceroom import Practiceroom
from trainer.replaying import review_of
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.finding import twins_of
from trainer.score.tempo import Tempo
from trainer.screens.choices import MOST_PASSES, Choices, InputChoice, playable_tempo
from trainer.screens.coach import CoachDoors, CoachScreen
from trainer.screens.home import HomeScreen
from trainer.screens.home_list import Known
from trainer.screens.screen import Command, Screen
from trainer.screens.set_up import SetUpScreen
from trainer.screens.welcome import WelcomeScreen
from trainer.soundroom import sound_room
from trainer.station import Station
from trainer.theory.tuning import TUNINGS, Tuning
from trainer.touring import tour
from trainer.window import WINDOW_SIZE, Size, show
from trainer.workroom import Library, Workroom

AT_FIRST_NS = 60_000_000
"""Before the list appears, exercises are read for so long: about as many as are seen at once. The others follow."""


def open_window(station: Station, plan: RunPlan | None = None, size: Size = WINDOW_SIZE) -> None:
    """Open the window on the list of exercises, or on a line to practise at once."""
    rooms = Rooms(station)
    try:
        trouble = station.memory.trouble if station.memory else None
        notice = trouble or ("" if station.sound.is_audible else station.sound.status)
        first = rooms.practice(plan) if plan else rooms.first(notice)
        show(first, station.poll, size, station.memory, rooms.cue_ear, rooms.homeworkroom)
    finally:
        rooms.homeworkroom.close()
        station.close()


def open_tempo_run(
    station: Station, sitting: TempoSitting, before_pass: Callable[[TempoSitting], None], size: Size = WINDOW_SIZE
) -> None:
    """Open the window on an adaptive run; `before_pass` is told of each pass before it begins."""
    try:
        rooms = Rooms(station)
        run = rooms.practiceroom.tempo_run(sitting, lambda: None, before_pass, rooms.tempo_words(sitting.exercise))
        show(run, station.poll, size, station.memory, rooms.cue_ear)
    finally:
        station.close()


class Rooms:
    """Makes the screens, each with the way to the next ones."""

    def __init__(self, station: Station) -> None:
        self._station = station
        self._choices, self._selected = remembered_choices(station)
        self._library = Library()
        self._workroom = Workroom(station, self._library, play=self._play_made, leave=self.home)
        self.practiceroom = Practiceroom(
            station,
            comparison=self._workroom.comparison,
            line_after=self._library.after,
            review=lambda path, leave: review_of(path, leave, station.sound),
        )
        self.cue_ear = CueEar(lambda: station.profile, lambda: self.practiceroom.tuning, station.memory)
        self._classroom = Classroom(station, build=self._workroom.vary, leave=self.home)
        self._contestroom = Contestroom(station, self.practiceroom, leave=self.home)
        self.homeworkroom = Homeworkroom(station, self._library, play=self._play_planned, leave=self.home)
        self._dayroom = Dayroom(
            station,
            self._library,
            play=self._play_planned,
            drill=self._drill_planned,
            leave=self.home,
            coach=self._coach,
            breaks=self.practiceroom.breaks,
        )

    def first(self, notice: str = "") -> Screen:
        """The list of exercises; before it, once, the cautions and a first line."""
        station = self._station
        if station.memory is None or station.memory.is_welcomed:
            return self.home(notice)
        self._library.look()
        self._library.read_on(AT_FIRST_NS)
        if not self._library.known:
            return self.home(notice)
        station.memory.keep_welcomed()
        known, doorstep = station.memory.devices, Doorstep(station, self._library.known)

        def first_line(chosen: InputChoice) -> Exercise | None:
            """Mostly among the first of the path, which have been read."""
            if doorstep.first(chosen) is None and self._library.is_reading:
                doorstep.take_in(self._library.exercises)
            return doorstep.first(chosen)

        def play(chosen: InputChoice) -> Screen:
            line = first_line(chosen)
            if line is None:
                return self.home(notice)
            self._keep_choices(replace(self._choices, input_name=chosen.name if chosen.is_pickup else ""), line.name)
            return self._play(RunPlan(line, line.tempo, passes=FIRST_PASSES), chosen)

        return WelcomeScreen(
            first_line,
            list_inputs=self._inputs,
            is_set_up=lambda chosen: chosen.name in known,
            play=play,
            set_up=self._set_up,
            leave=lambda: self.home(notice),
            tour=lambda back_to: tour(lambda: back_to),
        )

    def home(self, notice: str = "") -> Screen:
        """The list of exercises."""
        gc.enable()
        self._library.look(self._selected)
        self._library.read_on(AT_FIRST_NS)
        doorstep = Doorstep(self._station, self._library.known, lambda: self._library.is_reading)

        def more() -> Known | None:
            found = self._library.more()
            if found is not None:
                doorstep.take_in(found.exercises)
            return found

        return HomeScreen(
            self._library.known,
            list_inputs=self._inputs,
            play=self._play,
            choices=self._choices,
            selected=self._selected,
            keep=self._keep_choices,
            set_up=self._set_up,
            workshop=self._workroom.workshop,
            find_tempo=self._find_tempo,
            rooms={
                Command.PROGRESS: self._dayroom.progress,
                Command.PLAN: self._dayroom.plan,
                Command.BOARD: self._board,
                Command.CONTEST: self._contest,
                Command.BESIDE: self._beside,
                Command.SOUND: self._sound,
                Command.TOUR: lambda: tour(self.home),
                Command.KEEP: self.homeworkroom.homework,
            },
            doorstep=doorstep,
            more=more,
            notice=notice or self.practiceroom.tutor.trouble or self._library.complaint,
        )

    def _sound(self) -> Screen:
        """The settings of the sound, tried out with the line that was chosen last, at the tempo that is set."""
        trouble, exercises = self._listen_again(), self._library.exercises
        if trouble is not None or not exercises:
            return self.home(trouble or "There is no exercise to try the sound with.")
        line = next((line for line in exercises if line.name == self._selected), exercises[0])
        qpm = self._choices.quarters_per_minute
        return sound_room(self._station, line, line.tempo if qpm is None else Tempo(qpm), self.home)

    def _beside(self) -> Screen:
        """The line that was chosen last over one of the others, its twins first."""
        exercises = self._library.exercises
        line = next((line for line in exercises if line.name == self._selected), None)
        others = () if line is None else tuple(one for one in exercises if one.name != line.name)
        if line is None or not others:
            return self.home("There is no line to set another one beside: choose one first.")
        twins = twins_of(line, exercises)
        ordered = (*twins, *(one for one in others if one not in twins))
        return self._classroom.beside(line, ordered, self.home)

    def _contest(self) -> Screen:
        """A contest over the line that was chosen last."""
        trouble = self._listen_again()
        chosen = next((line for line in self._library.exercises if line.name == self._selected), None)
        return self._contestroom.contest(chosen) if trouble is None else self.home(trouble)

    def _board(self) -> Screen:
        """Whatever is played, in the tuning of the line that was chosen last."""
        trouble = self._listen_again()
        if trouble is None and self._station.is_simulated:
            trouble = "The board shows what is played on a pickup: choose its port as the input first."
        exercises = self._library.exercises
        if trouble is not None or not exercises:
            return self.home(trouble or "There is no exercise to take the tuning from.")
        chosen = next((line for line in exercises if line.name == self._selected), exercises[0])
        return self._classroom.board(chosen.tuning, chosen)

    def _set_up(self, chosen: InputChoice) -> Screen:
        """Learn what a pickup sends."""
        if not chosen.is_pickup:
            return self.home("The set-up learns what a pickup sends: choose its port as the input first.")
        trouble = self._listen_to(chosen)
        if trouble is not None:
            return self.home(trouble)
        self._keep_choices(replace(self._choices, input_name=chosen.name), self._selected or "")
        station = self._station
        return SetUpScreen(
            station.device,
            tuple(TUNINGS.values()),
            begin=self._begin_set_up,
            start_click=station.start_latency_click,
            stop_click=station.sound.stop,
            sound_status=lambda: station.sound.status,
            keep=station.keep_set_up,
            leave_to=self.home,
        )

    def _begin_set_up(self, tuning: Tuning) -> Guide:
        guide = Guide(tuning, self._station.profile)
        for message in self._station.announced():
            guide.feed(message)
        return guide

    def practice(self, plan: RunPlan, leave_to: Callable[[], Screen] | None = None) -> Screen:
        """One sitting with one line, which leads back to the list or to where it was made."""
        leave = leave_to or self.home
        if leave_to is None:
            self._selected = plan.exercise.name
        return self.practiceroom.practice(plan, leave)

    def _play_made(self, exercise: Exercise, builder: Screen) -> Screen:
        """Play what was just built or varied, as the last line was played, and go back to it."""
        choices = self._choices
        trouble = self._listen_again()
        if trouble is not None:
            return self.home(trouble)
        plan = RunPlan(
            exercise,
            exercise.tempo,
            pace=choices.pace,
            passes=choices.passes,
            hear_line=choices.hear_line,
            with_backing=choices.with_backing,
        )
        return self.practice(plan, lambda: _back_to(builder))

    def _play_planned(self, plan: RunPlan, day_plan: Screen) -> Screen:
        """Play an item of the day's plan, and go back to it after the result."""
        trouble = self._listen_again()
        return self.practice(plan, lambda: _back_to(day_plan)) if trouble is None else self.home(trouble)

    def _drill_planned(self, exercise: Exercise, to_index: int, day_plan: Screen) -> Screen | None:
        """Play the drill of the day's plan, and go back to it."""
        trouble = self._listen_again()
        if trouble is not None:
            return self.home(trouble)
        return self.practiceroom.drill_line(exercise, to_index, lambda: _back_to(day_plan))

    def _coach(self, lines: tuple[Exercise, ...], leave: Callable[[], Screen]) -> Screen:
        """What to work on; a drill and a line that are played from there lead back to it."""
        room = self.practiceroom

        def drill(advice: Advice, back_to: Screen) -> Screen:
            trouble = self._listen_again()
            return self.home(trouble) if trouble else room.drill_advised(advice, back) or back_to

        def play(advice: Advice, back_to: Screen) -> Screen:  # noqa: ARG001 - the list is weighed anew
            trouble = self._listen_again()
            return self.home(trouble) if trouble else room.practise_advised(advice, back)

        def back() -> Screen:
            return _back_to(screen.forget())

        screen = CoachScreen(lines, room.tutor.advice, CoachDoors(drill, play, leave))
        return screen

    def _listen_again(self) -> str | None:
        """Listen to what was chosen last, or to what there is while that is not plugged in."""
        name, there = self._choices.input_name, self._station.input_choices()
        present = name if name in there else there[0] if self._station.is_simulated else self._station.input_name
        return self._listen_to(InputChoice(present, present))

    def _play(self, plan: RunPlan, chosen: InputChoice) -> Screen:
        trouble = self._listen_to(chosen)
        return self.practice(plan) if trouble is None else self.home(trouble)

    def _find_tempo(self, plan: RunPlan, chosen: InputChoice) -> Screen:
        """A run of tempi over a line, from the tempo that is set."""
        trouble = self._listen_to(chosen)
        if trouble is not None:
            return self.home(trouble)
        return self.practiceroom.tempo_ways(plan, self.home, self.tempo_words(plan.exercise))

    def tempo_words(self, exercise: Exercise) -> str:
        """What the working tempo of a line was before."""
        return self.practiceroom.tutor.tempo_words(exercise)

    def _listen_to(self, chosen: InputChoice) -> str | None:
        """Choose an input; a sentence when it cannot be had."""
        try:
            if chosen.name != self._station.input_name:
                self._station.choose_input(chosen.name)
        except MidiInputError as error:
            return str(error)
        return None

    def _keep_choices(self, choices: Choices, selected: str) -> None:
        self._choices, self._selected = choices, selected
        if self._station.memory is not None:
            self._station.memory.keep_choices(
                LastChoices(
                    input_name=choices.input_name,
                    exercise_name=selected,
                    pace=choices.pace.value,
                    passes=choices.passes,
                    quarters_per_minute=None
                    if choices.quarters_per_minute is None
                    else str(choices.quarters_per_minute),
                    hear_line=choices.hear_line,
                    with_backing=choices.with_backing,
                )
            )

    def _inputs(self) -> tuple[InputChoice, ...]:
        *ports, simulated, demonstration = self._station.input_choices()
        return (
            *(InputChoice(name, name) for name in ports),
            InputChoice(simulated, "simulated player", is_pickup=False),
            InputChoice(demonstration, "demonstration, without a slip", is_pickup=False),
        )


def _back_to(screen: Screen) -> Screen:
    """Where nothing is played, garbage is collected as it comes."""
    gc.enable()
    return screen


def remembered_choices(station: Station) -> tuple[Choices, str | None]:
    """How the last line was played, and which it was; its input stays chosen while it is not plugged in."""
    if station.memory is None:
        return Choices(input_name=station.input_name), None
    last = station.memory.choices
    tempo = last.quarters_per_minute
    choices = Choices(
        input_name=last.input_name or ("" if station.is_simulated else station.input_name),
        pace=Pace(last.pace),
        passes=min(MOST_PASSES, last.passes),
        quarters_per_minute=None if tempo is None else playable_tempo(Fraction(tempo)),
        hear_line=last.hear_line,
        with_backing=last.with_backing,
    )
    return choices, last.exercise_name or None
