"""How often the coach names the right trait of weak transitions, over many seeded trials: prints, asserts nothing.

    python -m tests.benchmarks.traits [--trials 200]

"right": the planted trait is named; "other": another one is, which is false, for a trait that only overlaps with the
planted one is not what is weak. Of an even player, "other" is anything named.
"""

import argparse
from collections.abc import Sequence
from dataclasses import replace

from tests.coaching.players import EVEN, Player
from trainer.coaching.traits import shared_weaknesses, traits_of
from trainer.coaching.transitions import weigh
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise

LINES = ("two-gates", "quarry-steps-legato", "sheepfold-fives")
PLANTED = ("shifts of position", "changes of string", "slides")


def counted(line: Exercise, player: Player, trials: int, passes: int, planted: Sequence[int] = ()) -> tuple[int, int]:
    """In how many trials the planted places are named, and in how many others are."""
    right = other = 0
    for seed in range(trials):
        weighing = weigh(replace(player, notes=len(line.notes)).passes(passes, seed))
        named = [each.to_indices for each in shared_weaknesses(line, weighing, compares_strings=True)]
        right += planted in named
        other += any(indices != planted for indices in named)
    return right, other


def main() -> None:
    """Print all rates."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=200)
    trials = parser.parse_args().trials
    for name in LINES:
        line = load_exercise(name)
        for label, player in EVEN.items():
            for passes in (5, 20):
                _, other = counted(line, player, trials, passes)
                _show(f"{name}, {label}, {passes} passes", "", other / trials)
        for words in PLANTED:
            at = next((indices for trait, indices in traits_of(line).items() if trait.words == words), ())
            players = {
                "15 ms late": Player(late_ms=dict.fromkeys(at, 15.0)),
                "twice as unsteady": Player(times_unsteady=dict.fromkeys(at, 2.0)),
                "missed by 30 %": Player(miss_rates=dict.fromkeys(at, 0.3)),
            }
            for label, player in players.items() if at else ():
                right, other = counted(line, player, trials, 10, at)
                _show(f"{name}, {words} {label}, 10 passes", f"right {right / trials:6.1%}", other / trials)


def _show(name: str, right: str, other: float) -> None:
    print(f"{name:66s} {right:13s} other {other:6.1%}", flush=True)  # noqa: T201 - it prints


if __name__ == "__main__":
    main()
