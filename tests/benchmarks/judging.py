"""What is measured in this process: the library, the follower's shares, what an event costs, thousands of bends.

Costs are processor time of the thread that does the work, so that they hold on a machine that is not idle.
"""

import gc
from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from time import process_time, thread_time

from tests.benchmarks.figures import Figure, Goal, Way
from tests.benchmarks.following import takes_of, tallied
from tests.benchmarks.measures import Tally, percentile
from tests.benchmarks.methods import followed
from tests.benchmarks.takes import LOST, PLAIN, TIERS
from tests.builders import played
from trainer.devices import wire
from trainer.devices.converter_style import STYLES
from trainer.devices.skill import SKILLS
from trainer.following.verdict import Pace
from trainer.playing.messages import StampedMessage
from trainer.run import Run, RunPlan
from trainer.score.exercise import Exercise
from trainer.score.file_reading import read_file
from trainer.score.library import exercise_files, load_exercise
from trainer.score.tempo import Tempo

SECOND_NS = 1_000_000_000
FRAME_NS = SECOND_NS // 60
FRAME_MS = 1e3 / 60
LIVE_SEEDS = range(9, 13)
"""Nothing was chosen by these seeds of takes; the constants of the follower were chosen on others."""
EVENT_NOTES = 256
BENDS_A_SECOND = 1_500


def library(_way: Way) -> Iterator[Figure]:
    """The shipped lines, made of their recipes."""
    costs = []
    gc.disable()  # as timeit does: a collection would fall on whichever line is next
    for path in exercise_files().values():
        began = process_time()
        read_file(path)
        costs.append(process_time() - began)
    gc.enable()
    yield Figure(f"library of {len(costs)} lines made from their recipes", sum(costs), "s", Goal(most=2))
    yield Figure("slowest line of the library after the first", 1e3 * max(costs[1:]), "ms", Goal(most=20))


def follower(way: Way) -> Iterator[Figure]:
    """The shares of the follower in practice with restarts, and by the other error model."""
    practice = TIERS[3]
    for name, habit, goals in (
        ("practice", PLAIN, (99.0, 99.3, 99.0, 93.0)),
        ("practice, other error model", LOST, (92.0, 98.5, 95.0, 80.0)),
    ):
        exact, copies, verdicts, errors = goals
        for pace in Pace:
            means = list(_by_seed(practice, habit, pace, 24 if way is Way.WHOLE else 3))
            where = f"follower, {name}, {pace.value}"

            def mean(figure: str, means: list[Tally] = means) -> float:
                return sum(getattr(tally, figure) for tally in means) / len(means)

            yield Figure(f"{where}: exact", mean("pair_f1"), "%", Goal(least=exact))
            yield Figure(f"{where}: identical contexts as right", mean("pair_f1_copies"), "%", Goal(least=copies))
            yield Figure(f"{where}: verdicts right", mean("accuracy"), "%", Goal(least=verdicts))
            yield Figure(f"{where}: error F1", mean("error_f1"), "%", Goal(least=errors))
            yield Figure(f"{where}: revised", mean("revised_share"), "%", Goal(most=5))
            yield Figure(f"{where}: said at once", mean("at_once_share"), "%")


def _by_seed(tier: object, habit: object, pace: Pace, takes: int) -> Iterable[Tally]:
    """One tally for each of the seeds, as DEVELOPERS.md has them."""
    for seed in LIVE_SEEDS:
        drawn = takes_of(range(seed * 1000, seed * 1000 + takes), tier, habit, pace)  # type: ignore[arg-type] # of TIERS
        yield tallied(drawn, followed)


def event(way: Way) -> Iterator[Figure]:
    """One message through all of it, while time is told once a frame as in the window."""
    for notes, goal in ((EVENT_NOTES, Goal(most=1.2)), (2_000, None)):
        costs: list[float] = []
        exercise = long_line(notes)
        for seed in range(1, 9 if way is Way.WHOLE else 3):
            costs += _costs_of_messages(exercise, seed)
        where = f"an event through decoder, notes, follower and assessment, {notes} notes"
        yield Figure(f"{where}, p50", percentile(costs, 50), "ms")
        yield Figure(f"{where}, p99", percentile(costs, 99), "ms", goal)


def long_line(notes: int) -> Exercise:
    """A line of the library, written out until it has so many notes, at nine notes a second."""
    exercise = load_exercise("long-terrace")
    times = -(-notes // len(exercise.notes))
    rate = len(exercise.notes) / exercise.length_quarters
    whole = exercise.repeated(times).excerpt(0, notes - 1)
    return replace(whole, tempo=Tempo(min(Fraction(400), 9 * 60 / rate)))


def _costs_of_messages(exercise: Exercise, seed: int) -> list[float]:
    """Processor ms of each message of a learner's take; the assessment is counted anew after each note-on."""
    run = Run(RunPlan(exercise, exercise.tempo), zero_ns=0, profile=STYLES["bend"].profile)
    messages = played(exercise, starts_at_ns=run.starts_at_ns, skill=SKILLS["learning"], seed=seed)
    costs = []
    frame_ns = 0
    gc.collect()
    gc.disable()  # as during a take
    for message in messages:
        while frame_ns + FRAME_NS <= message.stamp_ns:
            frame_ns += FRAME_NS
            run.update((), frame_ns)
        began = thread_time()
        run.update((message,), message.stamp_ns)
        costs.append(1e3 * (thread_time() - began))
    gc.enable()
    return costs


def bends(way: Way) -> Iterator[Figure]:
    """A flood of bends on six strings, handed over once a frame, on an accelerated clock."""
    seconds = 60 if way is Way.WHOLE else 20
    exercise = replace(long_line(9 * seconds), tempo=Tempo(Fraction(80)))
    run = Run(RunPlan(exercise, exercise.tempo), zero_ns=0, profile=STYLES["bend"].profile)
    notes = played(exercise, starts_at_ns=run.starts_at_ns, skill=SKILLS["practised"])
    messages = sorted([*notes, *flood(seconds)], key=lambda message: message.stamp_ns)
    costs, at = [], 0
    gc.collect()
    gc.disable()
    for frame_ns in range(0, seconds * SECOND_NS, FRAME_NS):
        first = at
        while at < len(messages) and messages[at].stamp_ns <= frame_ns:
            at += 1
        began = thread_time()
        run.update(tuple(messages[first:at]), frame_ns)
        costs.append(1e3 * (thread_time() - began))
    gc.enable()
    where = f"{BENDS_A_SECOND} bends a second for {seconds} s beside a line, following in a frame"
    yield Figure(f"{where}, p99", percentile(costs, 99), "ms")
    yield Figure(f"{where}, most", max(costs), "ms")
    yield Figure(f"{where}, frames over {FRAME_MS:.1f} ms", sum(c > FRAME_MS for c in costs), "", Goal(most=0))


def flood(seconds: float, a_second: int = BENDS_A_SECOND) -> list[StampedMessage]:
    """Bends of a shaken string on all channels by turns."""
    return [
        StampedMessage(index * SECOND_NS // a_second, wire.bend(1 + index % 6, 8192 + 40 * (index // 6 % 24 - 12)))
        for index in range(round(seconds * a_second))
    ]
