"""What a change in the builder costs until its picture stands: `python -m tests.screens.builder_cost [WIDTH HEIGHT]`.

Each row picks one choice after the other in one row of the builder, begun with one line, and draws the picture: words
read, line composed, tablature, neck and rows laid out and rendered. Process time, so that a busy machine counts less.
"""

import sys
import time
from statistics import quantiles

from tests.screens.pictures import builder, building

import pygame  # isort: skip  # after the pictures, which choose the driver

from trainer.screens.benches import line_bench
from trainer.screens.builder import BuilderScreen
from trainer.screens.screen import Command, Typed

LONG_LINE = "G major, whole neck, fours up and down, sixteenths"


def cost(name: str, screen: BuilderScreen, row: int, changes: int, size: tuple[int, int]) -> str:
    """One row of the table: half of the changes, nearly all, and the slowest, in ms."""
    surface = pygame.display.set_mode(size)
    for _ in range(row):
        screen.handle(Command.DOWN)
    screen.draw(surface, 0)
    costs_ms = []
    for _ in range(changes):
        began_ns = time.process_time_ns()
        screen.handle(Command.RIGHT)
        screen.draw(surface, 0)
        costs_ms.append((time.process_time_ns() - began_ns) / 1e6)
    cuts = quantiles(costs_ms, n=20)
    notes = len(screen.bench.shown.notes)
    return f"{name:28} {notes:5} notes: p50 {cuts[9]:.0f}  p95 {cuts[18]:.0f}  max {max(costs_ms):.0f} ms"


def main() -> None:
    """Measure and print."""
    size = (int(sys.argv[1]), int(sys.argv[2])) if len(sys.argv) > 2 else (1920, 1080)
    for name in ("quarry-steps", "long-terrace", "whole-ridge"):
        print(cost(f"{name}, key", building(name), 0, 40, size))  # noqa: T201
        print(cost(f"{name}, pattern", building(name), 10, 27, size))  # noqa: T201
    print(cost("fours over the whole neck", builder(line_bench(LONG_LINE)), 0, 12, size))  # noqa: T201
    screen, surface = building("quarry-steps", Command.UP), pygame.display.set_mode(size)
    began_ns = time.process_time_ns()
    for letter in ", one pick a string":
        screen.handle(Typed(letter))
        screen.draw(surface, 0)
    print(f"a letter: {(time.process_time_ns() - began_ns) / 19e6:.0f} ms")  # noqa: T201


if __name__ == "__main__":
    main()
