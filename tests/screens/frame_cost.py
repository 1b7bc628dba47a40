"""What a frame of the practice screen costs: `python -m tests.screens.frame_cost [EXERCISE] [SECONDS]`.

Follows a simulated player on a real window (or the one that SDL_VIDEODRIVER names) at 1920x1080, drawing every frame as
the program would, and prints percentiles of the work of a frame. Under Xvfb set SDL_FRAMEBUFFER_ACCELERATION=0.
"""

import sys
import time
from statistics import quantiles

from tests.screens.desk import FRAME_NS, Desk

import pygame  # isort: skip  # after the desk, which chooses the driver

from trainer.devices.skill import SKILLS
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.screens.screen import Screen


def measured(name: str, seconds: float, size: tuple[int, int]) -> dict[str, list[float]]:
    """The cost of following, of drawing and of both with the flip, in ms, frame by frame."""
    exercise = load_exercise(name)
    surface = pygame.display.set_mode(size)
    desk = Desk(SKILLS["learning"])
    screen: Screen = desk.practice(RunPlan(exercise, exercise.tempo, passes=8))
    costs: dict[str, list[float]] = {"follow": [], "draw": [], "frame": []}
    for _ in range(round(seconds * 1e9 / FRAME_NS)):
        started = time.perf_counter()
        screen = desk.play(screen, FRAME_NS / 1e9)
        followed = time.perf_counter()
        screen.draw(surface, desk.now_ns)
        drawn = time.perf_counter()
        pygame.display.flip()
        costs["follow"].append((followed - started) * 1e3)
        costs["draw"].append((drawn - followed) * 1e3)
        costs["frame"].append((time.perf_counter() - started) * 1e3)
    return costs


def main() -> None:
    """Measure and print."""
    name = sys.argv[1] if len(sys.argv) > 1 else "long-terrace"
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 60.0
    for part, costs in measured(name, seconds, (1920, 1080)).items():
        cuts = quantiles(costs, n=100)
        print(f"{name} {part:>6}: p50 {cuts[49]:.2f}  p95 {cuts[94]:.2f}  p99 {cuts[98]:.2f}  max {max(costs):.2f} ms")  # noqa: T201


if __name__ == "__main__":
    main()
