"""`python -m tests.benchmarks --takes N [--seed S]`: the follower on drawn takes, beside alignments after the fact.

Needleman and Wunsch's alignment is always there; parangonar's matcher as well if it is installed (`pip install
parangonar tqdm`, or the extra `bench`). `--live-only` leaves both out, `--only practice` keeps the rows whose name has
that word. "mod. copies" counts a place in an identical context as right; "told" are the notes that what was heard can
tell at all, and in brackets their share of all.
"""

from collections.abc import Callable
from random import Random

from tests.benchmarks.figures import say
from tests.benchmarks.lines import drawn_line
from tests.benchmarks.measures import Reading, Tally, percentile
from tests.benchmarks.methods import aligned, followed, has_parangonar, matched_by_parangonar
from tests.benchmarks.takes import BRISK, LOST, PLAIN, TAILED, TIERS, Habit, Take, Tier, drawn_take
from trainer.following.verdict import Pace

HEADING = (
    "| takes | pace | method | pair F1 | mod. copies | told (share) | verdicts | error F1 | back in place p50/p90 | "
    "lost | revised | said at once | settled p50/p99 | us p50/p99 |"
)


def series() -> list[tuple[Tier, Habit]]:
    """The kinds of takes that are measured."""
    practice = TIERS[3]
    rows = [(tier, PLAIN) for tier in TIERS]
    return [*rows, (TIERS[1], TAILED), (TIERS[2], LOST), (practice, TAILED), (practice, BRISK), (practice, LOST)]


def take_of(seed: int, tier: Tier, habit: Habit, pace: Pace) -> Take:
    """The take with this seed."""
    rng = Random(f"{seed} {tier.name} {habit.name} {pace.value}")
    exercise = drawn_line(rng, rng.choice((64, 96, 128, 192, 256)), rng.uniform(4, 20))
    return drawn_take(exercise, pace, tier, habit, rng)


def row(label: str, pace: Pace, method: str, tally: Tally) -> str:
    """One row of the table."""
    p50, p90 = tally.recovery
    live = (
        f"{tally.revised_share:.1f} | {tally.at_once_share:.1f} | "
        f"{percentile(tally.lags, 50):.0f}/{percentile(tally.lags, 99):.0f}"
        if tally.lags
        else "- | - | -"
    )
    lost = f"{100 * tally.lost / len(tally.recoveries):.1f}" if tally.recoveries else "-"
    return (
        f"| {label} | {pace.value} | {method} | {tally.pair_f1:.2f} | {tally.pair_f1_copies:.2f} | "
        f"{tally.told_f1:.2f} ({tally.told_share:.0f}) | {tally.accuracy:.2f} | {tally.error_f1:.1f} | "
        f"{p50:.0f}/{p90:.0f} | {lost} | {live} | "
        f"{percentile(tally.costs_us, 50):.0f}/{percentile(tally.costs_us, 99):.0f} |"
    )


def table(takes: int, seed: int, only: str, *, is_live_only: bool) -> None:
    """Print the table, row by row."""
    methods: list[tuple[str, Callable[[Take], Reading]]] = [("follower", followed)]
    if not is_live_only:
        methods.append(("Needleman-Wunsch", aligned))
        if has_parangonar():
            methods.append(("parangonar", matched_by_parangonar))
    say(HEADING)
    say("|" + " --- |" * (HEADING.count("|") - 1))
    for tier, habit in series():
        label = f"{tier.name}, {habit.name}"
        if only not in label:
            continue
        for pace in Pace:
            drawn = takes_of(range(seed * 1000, seed * 1000 + takes), tier, habit, pace)
            for name, method in methods:
                say(row(label, pace, name, tallied(drawn, method)))


def takes_of(seeds: range, tier: Tier, habit: Habit, pace: Pace) -> list[Take]:
    """The takes with these seeds."""
    return [take_of(seed, tier, habit, pace) for seed in seeds]


def tallied(takes: list[Take], method: Callable[[Take], Reading]) -> Tally:
    """What a method says of takes, held against the truth."""
    tally = Tally()
    for take in takes:
        tally.add(take, method(take))
    return tally
