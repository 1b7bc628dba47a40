"""A list of exercises to be tried, and what it opened."""

from fractions import Fraction

from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_names, load_exercise
from trainer.score.practice_path import PATH
from trainer.screens.choices import Choices, InputChoice
from trainer.screens.home import HomeScreen, Workshop
from trainer.screens.screen import Action, Pressed, Screen, Typed
from trainer.tablature.figures import TakeFigures
from trainer.tablature.glyphs import Rect

from .desk import Page

EXERCISES = tuple(load_exercise(name) for name in exercise_names())
BY_PATH = [name for step in PATH for name in step.exercises]
SIZE = (1280, 720)
FIGURES = TakeFigures(
    date="2026-11-25T10:00:00",
    is_simulated=False,
    pace="click",
    quarters_per_minute=Fraction(66),
    notes=320,
    as_written=301,
    bias_ms=2.1,
    spread_ms=14.2,
    techniques=(),
)
SIMULATED = InputChoice("simulated", "simulated player", is_pickup=False)
PICKUP = InputChoice("Pickup:0", "Pickup:0")


class Door:
    """A list of exercises, and what it opened."""

    def __init__(self, *inputs: InputChoice, choices: Choices | None = None, selected: str | None = None) -> None:
        self.inputs = inputs or (SIMULATED,)
        self.opened: list[tuple[RunPlan, InputChoice]] = []
        self.kept: list[tuple[Choices, str]] = []
        self.heard: list[str] = []
        self.judged: list[str] = []
        self.screen = HomeScreen(
            EXERCISES,
            list_inputs=lambda: self.inputs,
            play=self._play,
            choices=choices,
            selected=selected,
            keep=lambda choices, name: self.kept.append((choices, name)),
            workshop=Workshop(
                build=lambda exercise: Page(f"build {exercise.name}"),
                vary=lambda exercise: Page(f"vary {exercise.name}"),
                hear=self._hear,
                hush=lambda: self.heard.append("silence"),
                figures=self._judge,
                played=lambda: frozenset({"first-stones", "two-gates"}),
            ),
            find_tempo=lambda plan, chosen: Page(f"tempo {plan.exercise.name} on {chosen.name}"),
        )

    def _hear(self, exercise: Exercise) -> int:
        self.heard.append(exercise.name)
        return 1_000_000_000

    def _judge(self, name: str) -> TakeFigures | None:
        self.judged.append(name)
        return FIGURES if name == "quarry-steps" else None

    def _play(self, plan: RunPlan, chosen: InputChoice) -> Screen:
        self.opened.append((plan, chosen))
        return Page("practice")

    def do(self, *actions: Action) -> Screen | None:
        """The screen after some actions, all but the last of which stay."""
        for action in actions[:-1]:
            assert self.screen.handle(action) is self.screen
        return self.screen.handle(actions[-1])

    def type(self, text: str) -> None:
        """Type a filter."""
        for letter in text:
            self.screen.handle(Typed(letter))


def middle(area: Rect) -> Pressed:
    return Pressed((area.left_px + area.right_px) / 2, (area.top_px + area.bottom_px) / 2)
