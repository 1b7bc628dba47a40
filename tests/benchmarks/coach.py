"""How often the coach is right, over many seeded trials: prints, asserts nothing.

    python -m tests.benchmarks.coach [--trials 400] [--heard 60]

Drawn: deviations by chance, straight into the statistics. Heard: gestures of the simulated player through a converter,
the session and the judging. "first": the planted transition ranks first; "weak": it is called weak; "wrong": another
is; of an even player, "wrong" is a named weakness. "best" is what a judge reaches who knows the player's spread and all
of the player's means but the planted one, and is only asked which transition it is.
"""

import argparse
import random
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from tests.coaching.players import EVEN, NOTES, Player, heavy, lapsing
from trainer.coaching.played import PlayedPass, passes_of
from trainer.coaching.transitions import weigh
from trainer.devices.converter_style import STYLES
from trainer.devices.faults import Fault, FaultKind, Faults
from trainer.devices.simulated_player import simulated_take
from trainer.devices.skill import Skill
from trainer.following.verdict import Pace
from trainer.judging import play_through
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.session import Session

START_NS = 2_000_000_000
MS = 1_000_000


def counted(
    name: str, trials: Sequence[tuple[list[PlayedPass], int | None]], *, is_timed: bool = True, best: str = ""
) -> None:
    """Print the rates of one kind of player."""
    first = weak = wrong = 0
    for passes, planted in trials:
        weighing = weigh(passes, is_timed=is_timed)
        first += weighing.ranked[0].to_index == planted
        weak += any(each.to_index == planted for each in weighing.weak)
        wrong += any(each.to_index != planted for each in weighing.weak)
    count = len(trials)
    shown = f"first {first / count:6.1%}  weak {weak / count:6.1%}" if trials[0][1] is not None else " " * 28
    print(f"{name:58s} {shown}  wrong {wrong / count:5.1%}  {best}", flush=True)  # noqa: T201 - it prints


def drawn(trials: int, player: Player, passes: int = 5, *, late: str = "", late_ms: float = 25.0, times: float = 2.0):
    """Trials with a transition planted anywhere but at the edges: `late`, `stays`, `unsteady`, or none."""
    for seed in range(trials):
        where = random.Random(f"where {seed}").randrange(2, NOTES - 2)
        planted = {
            "late": replace(player, late_ms={where: late_ms}),
            "stays": replace(player, stays_late_ms={where: late_ms}),
            "unsteady": replace(player, times_unsteady={where: times}),
            "": player,
        }[late]
        yield planted.passes(passes, seed), where if late else None


def best_unsteady(passes: int, trials: int = 4000) -> str:
    """How often the widest of 31 spreads is the one that is twice as wide, means and spreads of all others known."""
    rng = random.Random(1)

    def squares() -> float:
        return sum(rng.gauss(0, 1) ** 2 for _ in range(passes))

    won = sum(4 * squares() > max(squares() for _ in range(NOTES - 2)) for _ in range(trials))
    return f"best {won / trials:.1%}"


def best_late(passes: int, spread_ms: float, trials: int = 4000) -> str:
    """The same for a mean 25 ms later, the spread known."""
    rng = random.Random(1)
    of_mean = 25.0 / spread_ms * passes**0.5
    won = sum(rng.gauss(of_mean, 1) > max(rng.gauss(0, 1) for _ in range(NOTES - 2)) for _ in range(trials))
    return f"best {won / trials:.1%}"


def heard(
    trials: int, name: str, style: str, skill: Skill, *, pace: Pace = Pace.CLICK, is_late: bool = True, passes: int = 5
):
    """Trials through hands, converter, session and judging."""
    line = replace(load_exercise(name), tempo=Tempo(Fraction(100)))
    for seed in range(trials):
        where = random.Random(f"where {seed}").randrange(2, len(line.notes) - 2)
        faults = Faults((Fault(FaultKind.LATE, where, amount_ns=25 * MS),) if is_late else ())
        played: list[PlayedPass] = []
        for number in range(passes):
            messages = simulated_take(
                line, line.tempo, START_NS, skill=skill, faults=faults, style=STYLES[style], seed=1000 * seed + number
            )
            session = Session(line, pace=pace, tempo=line.tempo, starts_at_ns=START_NS, profile=STYLES[style].profile)
            play_through(session, messages)
            played += passes_of(line, session.ledger, tempo=line.tempo, pass_length=len(line.notes))
        yield played, where if is_late else None


def main() -> None:
    """Print all rates."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=400)
    parser.add_argument("--heard", type=int, default=60)
    asked = parser.parse_args()
    trials = asked.trials
    for spread in (8.0, 10.0, 12.0, 15.0):
        best = best_late(5, spread)
        counted(f"late note, spread {spread:g} ms", list(drawn(trials, Player(spread), late="late")), best=best)
        counted(
            f"late from there on, own pace, spread {spread:g} ms",
            list(drawn(trials, Player(spread), late="stays")),
            is_timed=False,
        )
        counted(
            f"late, made good by half each note, spread {spread:g} ms",
            list(drawn(trials, Player(spread, carries=0.5), late="late")),
        )
        counted(
            f"late in a wandering pace, spread of intervals {spread:g} ms",
            list(drawn(trials, Player(spread, carries=1.0), late="late")),
            is_timed=False,
        )
    for passes in (5, 10, 20):
        counted(
            f"twice as unsteady, {passes} passes",
            list(drawn(trials, Player(), passes, late="unsteady")),
            best=best_unsteady(passes),
        )
    counted("three times as unsteady, 5 passes", list(drawn(trials, Player(), late="unsteady", times=3.0)))
    for name, player in EVEN.items():
        counted(f"{name}, 5 passes", list(drawn(trials, player)))
    counted("even, 20 passes", list(drawn(trials // 2, Player(), 20)))
    counted("late note, heavy tails", list(drawn(trials, Player(chance=heavy), late="late")))
    counted("late note, lapses", list(drawn(trials, Player(chance=lapsing), late="late")))
    steady = Skill(name="steady", timing_sd_ns=10 * MS)
    for name, style in (
        ("two-gates", "bend"),
        ("quarry-steps", "bend"),
        ("quarry-steps", "chromatic"),
        ("quarry-steps-legato", "retrigger"),
        ("two-gates", "keyboard"),
    ):
        for pace in Pace:
            told = f"heard: {name}, {style}, {pace}"
            is_timed = pace is Pace.CLICK
            late = list(heard(asked.heard, name, style, steady, pace=pace))
            counted(f"{told}, late", late, is_timed=is_timed)
            even = list(heard(asked.heard, name, style, steady, pace=pace, is_late=False))
            counted(f"{told}, even", even, is_timed=is_timed)


if __name__ == "__main__":
    main()
