"""How the next sitting is played, as the list of exercises sets it: the input among those that are there, pace, tempo.

An input that was chosen stays chosen while it is not there, and is taken again when it comes back.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.screens.choices import SETTINGS, Choices, InputChoice, stepped
from trainer.screens.words import PACE_WORDS, tempo_words

LOOK_FOR_INPUTS_NS = 2_000_000_000
"""The ports are looked through again after this time, so that a pickup plugged in later is found."""


class SittingSettings:
    """`list_inputs()` names what can be played on, pickups first."""

    def __init__(self, choices: Choices, list_inputs: Callable[[], tuple[InputChoice, ...]]) -> None:
        self.choices = choices
        self._list_inputs = list_inputs
        self._inputs: Sequence[InputChoice] = list_inputs()
        self._looked_ns: int | None = None

    def advance(self, now_ns: int) -> None:
        """Look for inputs now and then."""
        if self._looked_ns is None or now_ns - self._looked_ns >= LOOK_FOR_INPUTS_NS:
            self._looked_ns = now_ns
            self._inputs = self._list_inputs()

    @property
    def input(self) -> InputChoice:
        """What is played on: the chosen input if it is there, else the first."""
        return next((one for one in self._inputs if one.name == self.choices.input_name), self._inputs[0])

    @property
    def is_alone(self) -> bool:
        """Whether there is no pickup."""
        return not any(one.is_pickup for one in self._inputs)

    @property
    def to_keep(self) -> Choices:
        """What to remember: the input that was chosen, there or not; where none was, the pickup that is played on."""
        if self.choices.input_name or not self.input.is_pickup:
            return self.choices
        return replace(self.choices, input_name=self.input.name)

    def tempo(self, exercise: Exercise) -> Tempo:
        """How fast a line is played."""
        wanted = self.choices.quarters_per_minute
        return exercise.tempo if wanted is None else Tempo(wanted)

    def own_tempo(self) -> None:
        """Another line is played at its own tempo."""
        self.choices = replace(self.choices, quarters_per_minute=None)

    def step(self, number: int, step: int, exercise: Exercise | None) -> None:
        """Change one of `SETTINGS`."""
        self.choices = stepped(
            self.choices,
            SETTINGS[number],
            step,
            inputs=self._inputs,
            place=self._inputs.index(self.input),
            tempo=None if exercise is None else self.tempo(exercise).quarters_per_minute,
        )

    def words(self, exercise: Exercise | None) -> tuple[str, ...]:
        """What each of `SETTINGS` is."""
        choices = self.choices
        passes = "1 pass" if choices.passes == 1 else f"{choices.passes} passes"
        tempo = tempo_words(self.tempo(exercise)) if exercise is not None else ""
        return self.input.words, PACE_WORDS[choices.pace], passes, tempo, choices.sound_words

    def plan(self, exercise: Exercise) -> RunPlan:
        """How a line is played by these settings."""
        return RunPlan(
            exercise=exercise,
            tempo=self.tempo(exercise),
            pace=self.choices.pace,
            passes=self.choices.passes,
            hear_line=self.choices.hear_line,
            with_backing=self.choices.with_backing,
        )
