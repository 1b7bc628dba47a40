"""A desk to rehearse screens at: a scripted clock, a simulated player on the MIDI bytes path, no window, no sound."""

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ.setdefault("SDL_AUDIODRIVER", "dummy")

import pygame

from trainer.devices.converter_style import STYLES
from trainer.devices.faults import faults_from_text
from trainer.devices.simulated_player import SimulatedPlayer, simulated_player
from trainer.devices.skill import EXACT, Skill
from trainer.playing.messages import StampedMessage
from trainer.run import Run, RunPlan
from trainer.screens.ghosting import Ghosting
from trainer.screens.practice import Outcome, PracticeScreen
from trainer.screens.screen import Action, Screen

FRAME_NS = 16_666_667


class Page:
    """A screen that only says which one it is and does nothing."""

    takes_text = False

    def __init__(self, name: str, outcome: Outcome | None = None) -> None:
        self.name = name
        self.outcome = outcome

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - a page does nothing
        return self

    def handle(self, action: Action) -> Screen | None:  # noqa: ARG002 - a page does nothing
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - a page does nothing
        surface.fill((0, 0, 0))


class Desk:
    """Starts runs, plays them by a seed, and lets time pass frame by frame."""

    def __init__(self, skill: Skill = EXACT, faults: str = "", style: str = "bend", seed: int = 1) -> None:
        self.now_ns = 0
        self.plans: list[RunPlan] = []
        self.runs: list[Run] = []
        self._skill = skill
        self._faults = faults
        self._style = STYLES[style]
        self._seed = seed
        self._player: SimulatedPlayer | None = None

    def start_run(self, plan: RunPlan, now_ns: int) -> Run:
        exercise = plan.exercise.repeated(plan.passes)
        self._player = simulated_player(
            exercise,
            plan.tempo,
            plan.count_in_ns,
            now_ns,
            skill=self._skill,
            faults=faults_from_text(self._faults) if len(self.plans) == 0 else None,
            style=self._style,
            seed=self._seed + len(self.plans),
        )
        run = Run(plan, zero_ns=now_ns, profile=self._player.profile)
        self.plans.append(plan)
        self.runs.append(run)
        return run

    def practice(
        self, plan: RunPlan, status: str = "A simulated player plays.", ghosting: Ghosting | None = None
    ) -> PracticeScreen:
        return PracticeScreen(
            plan,
            start_run=self.start_run,
            status=lambda: status,
            show_result=lambda outcome: Page("result", outcome),
            leave_to=lambda: Page("list"),
            ghosting=ghosting,
        )

    def play(self, screen: Screen, seconds: float) -> Screen:
        """Let time pass; the screen that is then open."""
        end_ns = self.now_ns + round(seconds * 1e9)
        while self.now_ns < end_ns:
            self.now_ns += FRAME_NS
            messages = self._player.poll(self.now_ns) if self._player is not None else ()
            screen = screen.update(messages, self.now_ns)
        return screen
