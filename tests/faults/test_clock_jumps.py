"""Clocks that jump: a computer that sleeps in the middle of a take, and a wall clock that is put right.

The take runs on the steady clock, which does not count sleep on every system and never runs backwards; the wall clock
only dates files.
"""

import json
from datetime import timedelta, timezone
from pathlib import Path

import pytest

from tests.builders import SECOND_NS, played
from tests.devices.midi_stand_ins import Clock, System, poll_for
from tests.history.builders import NOON, ZERO_NS, header_of, plan_of, record
from trainer.coaching.rests import BreakCounter, SinceBreak, since_break
from trainer.devices.midi_input import MidiInput
from trainer.devices.pulse import BEAT_NS
from trainer.devices.recording import TakeWriter, list_takes, quantised, take_path
from trainer.following.verdict import Pace
from trainer.history import figures
from trainer.history.gathering import gather, missing_files
from trainer.history.store import History
from trainer.judging import Asked, judge_take, judgement
from trainer.playing.profile import PickupProfile
from trainer.playing.stamps import StampAnchor
from trainer.playing.take import read_take
from trainer.run import Run

HOUR_NS = 3600 * SECOND_NS


def run_through_sleep(folder: Path, sleep_ns: int, *, pace: Pace = Pace.CLICK) -> tuple[Run, TakeWriter]:
    """A take of two passes in which the computer falls asleep after the first, and everything comes later by that."""
    plan = plan_of(passes=2, pace=pace)
    writer = TakeWriter(take_path(folder, NOON, plan.exercise.name), header_of(plan))
    run = Run(plan, zero_ns=ZERO_NS, profile=PickupProfile(), keeper=writer, quantise=quantised)
    messages = played(plan.exercise.repeated(2), starts_at_ns=plan.count_in_ns)
    half_ns = plan.count_in_ns + plan.tempo.ns(plan.exercise.length_quarters)
    for message in messages:
        late_ns = sleep_ns if message.stamp_ns > half_ns else 0
        now_ns = ZERO_NS + message.stamp_ns + late_ns
        run.update((message._replace(stamp_ns=now_ns),), now_ns)
    run.finish(now_ns + SECOND_NS)
    return run, writer


@pytest.mark.parametrize("sleep_ns", [0, SECOND_NS, HOUR_NS, 16 * HOUR_NS])
@pytest.mark.parametrize("pace", Pace)
def test_a_take_in_which_the_computer_slept_is_kept_and_judged_again_alike(
    tmp_path: Path, sleep_ns: int, pace: Pace
) -> None:
    run, writer = run_through_sleep(tmp_path, sleep_ns, pace=pace)

    assert writer.path is not None
    assert writer.trouble is None
    take = read_take(writer.path)
    again = judge_take(run.plan.exercise, take, Asked())
    live = judgement(run.session)
    json.dumps(live, allow_nan=False)
    first_pass = len(run.plan.exercise.notes)
    assert live["notes"][:first_pass] == again["notes"][:first_pass]
    assert [note["verdict"] for note in live["notes"][:first_pass]] == ["matched"] * first_pass


def test_stamps_stay_in_order_and_on_time_after_a_sleep_that_the_driver_did_not_count() -> None:
    anchor = StampAnchor()
    before = [anchor.stamp(number * SECOND_NS, 1.0 if number else 0.0) for number in range(5)]

    after = [anchor.stamp(HOUR_NS + number * SECOND_NS, 1.0) for number in range(40)]

    assert before == sorted(before)
    assert after == sorted(after)
    assert after[-1] == HOUR_NS + 39 * SECOND_NS  # on time again once the window has passed


def test_stamps_never_run_backwards_when_the_driver_counted_a_sleep_that_the_clock_did_not() -> None:
    anchor = StampAnchor()
    anchor.stamp(0, 0.0)

    stamps = [anchor.stamp(SECOND_NS * (1 + number), 3600.0 if number == 0 else 1.0) for number in range(5)]

    assert stamps == [SECOND_NS * (1 + number) for number in range(5)]


def test_a_sleep_in_the_middle_of_a_take_is_no_playing_and_a_long_one_is_a_break() -> None:
    played_ns = 10 * 60 * SECOND_NS
    states = []
    for sleep_ns in (60 * SECOND_NS, HOUR_NS):
        counter = BreakCounter()
        for frame_ns in range(0, played_ns + 1, SECOND_NS):
            counter.feed(frame_ns)
        counter.feed(played_ns + sleep_ns)
        states.append(counter.state(played_ns + sleep_ns))

    assert states == [SinceBreak(played_ns, 0), SinceBreak(0, 0)]


def test_a_steady_clock_that_runs_backwards_takes_no_playing_away() -> None:
    counter = BreakCounter()
    for frame_ns in (0, SECOND_NS, 2 * SECOND_NS, SECOND_NS, 2 * SECOND_NS):
        counter.feed(frame_ns)

    assert counter.state(SECOND_NS) == SinceBreak(3 * SECOND_NS, 0)


def test_takes_dated_in_the_future_by_a_clock_put_back_since_are_no_endless_break() -> None:
    takes = [(HOUR_NS, HOUR_NS + 60 * SECOND_NS), (0, 60 * SECOND_NS)]  # in the order in which they were played

    assert since_break(takes, 90 * SECOND_NS) == SinceBreak(120 * SECOND_NS, 30 * SECOND_NS)


def test_a_midi_system_is_not_taken_for_dead_because_the_computer_slept() -> None:
    system = System(["Pickup"], can_die=True)
    clock = Clock()
    midi_input = MidiInput("Pickup", system.drivers(), clock)
    for sleep_ns in (HOUR_NS, 16 * HOUR_NS, HOUR_NS):
        poll_for(midi_input, clock, 3 * BEAT_NS)
        clock.now_ns += sleep_ns
    poll_for(midi_input, clock, 3 * BEAT_NS)

    assert (midi_input.status, midi_input.is_connected) == ("Pickup is connected.", True)


def test_a_wall_clock_that_is_put_back_overwrites_no_take(tmp_path: Path) -> None:
    for _ in range(3):  # the same second three times
        record(tmp_path, when=NOON)

    takes = list_takes(tmp_path / "takes")

    assert len(takes) == 3
    assert all(take.trouble is None for take in takes)


def test_takes_that_overlap_by_a_clock_put_back_give_no_negative_breaks(tmp_path: Path) -> None:
    for minutes in (0, 20, 19, 5, 60):  # put back twice, by a minute and by a quarter of an hour
        record(tmp_path, when=NOON + timedelta(minutes=minutes))
    with History.open(tmp_path / "history.db", tmp_path / "takes") as history:
        gather(history, missing_files(history))

        (day,) = figures.days(history)
        breaks = figures.breaks(history)

    assert day.takes == 5
    assert day.minutes > 0
    assert all(each.minutes >= 0 for each in breaks)
    assert day.break_minutes >= 0


def test_a_journey_through_time_zones_keeps_each_take_on_its_own_day(tmp_path: Path) -> None:
    for hours in (-11, 0, 13):
        record(tmp_path, when=NOON.astimezone(timezone(timedelta(hours=hours))))
    with History.open(tmp_path / "history.db", tmp_path / "takes") as history:
        gather(history, missing_files(history))

        days = figures.days(history)

    assert sorted((day.day, day.takes) for day in days) == [("2026-03-14", 2), ("2026-03-15", 1)]


def test_a_clock_that_was_never_set_dates_takes_all_the_same(tmp_path: Path) -> None:
    record(tmp_path, when=NOON.replace(year=1970, month=1, day=1))
    record(tmp_path, when=NOON.replace(year=2106, month=2, day=7))
    with History.open(tmp_path / "history.db", tmp_path / "takes") as history:
        gather(history, missing_files(history))

        assert [day.day for day in figures.days(history)] == ["2106-02-07", "1970-01-01"]
