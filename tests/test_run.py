from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from tests.builders import SECOND_NS, line, played
from trainer.following.verdict import Match, Missed, Pace
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.run import Run, RunPlan
from trainer.score.tempo import Tempo

ZERO_NS = 77 * SECOND_NS


class Notebook:
    """Keeps what it is given."""

    def __init__(self) -> None:
        self.path: Path | None = None
        self.trouble: str | None = None
        self.kept: list[StampedMessage] = []
        self.is_closed = False

    def keep(self, message: StampedMessage) -> None:
        self.kept.append(message)

    def tick(self, now_ns: int) -> None:
        pass

    def close(self) -> None:
        self.is_closed = True


def run_of(plan: RunPlan, **options: object) -> Run:
    return Run(plan, zero_ns=ZERO_NS, profile=PickupProfile(), **options)  # type: ignore[arg-type]


def on_the_clock(messages: tuple[StampedMessage, ...]) -> tuple[StampedMessage, ...]:
    return tuple(message._replace(stamp_ns=message.stamp_ns + ZERO_NS) for message in messages)


def test_two_passes_are_followed_as_one_line() -> None:
    exercise = line()
    plan = RunPlan(exercise, exercise.tempo, passes=2)
    run = run_of(plan)
    messages = on_the_clock(played(exercise.repeated(2), starts_at_ns=plan.count_in_ns))

    run.update(messages, messages[-1].stamp_ns)

    assert run.pass_length == len(exercise.notes)
    assert all(isinstance(run.session.ledger.of_written(i), Match) for i in range(2 * len(exercise.notes)))


def test_a_run_ends_by_itself_after_its_last_bar_and_then_keeps_nothing_more() -> None:
    exercise = line()
    notebook = Notebook()
    stopped: list[bool] = []
    run = run_of(RunPlan(exercise, exercise.tempo), keeper=notebook, stop_sound=lambda: stopped.append(True))
    late = StampedMessage(ZERO_NS + 200 * SECOND_NS, b"\x90\x40\x50")

    run.update((), ZERO_NS + 100 * SECOND_NS)
    run.update((late,), ZERO_NS + 200 * SECOND_NS)

    assert run.is_finished
    assert notebook.is_closed
    assert notebook.kept == []
    assert stopped == [True]


def test_what_was_still_ahead_when_a_run_is_stopped_is_not_called_missed() -> None:
    exercise = line(tempo=60)
    plan = RunPlan(exercise, exercise.tempo)
    run = run_of(plan)
    messages = on_the_clock(played(exercise, "miss 3", starts_at_ns=plan.count_in_ns))
    now_ns = ZERO_NS + plan.count_in_ns + run.exercise.tempo.ns(exercise.notes[8].onset_quarters) - SECOND_NS // 10

    run.update(tuple(message for message in messages if message.stamp_ns < now_ns), now_ns)
    run.finish(now_ns)

    verdicts = [run.session.ledger.of_written(index) for index in range(len(exercise.notes))]
    assert [type(verdict) for verdict in verdicts[:8]] == [Match] * 3 + [Missed] + [Match] * 4
    assert verdicts[8:] == [None] * 24


def test_notes_on_channels_that_no_string_has_are_said_to_need_a_set_up() -> None:
    exercise = line()
    run = Run(
        RunPlan(exercise, exercise.tempo),
        zero_ns=ZERO_NS,
        profile=PickupProfile(channel_of_course=(11, 12, 13, 14, 15, 16)),
    )

    run.update((StampedMessage(ZERO_NS + 1, b"\x90\x40\x50"),), ZERO_NS + 1)

    assert run.trouble is not None
    assert "1 note on channels that the pickup's profile does not name" in run.trouble


def test_what_is_kept_is_exactly_what_is_judged() -> None:
    exercise = line()
    plan = RunPlan(exercise, exercise.tempo)
    notebook = Notebook()
    coarse_ns = 20_000
    run = run_of(plan, keeper=notebook, quantise=lambda stamp_ns: stamp_ns // coarse_ns * coarse_ns)
    messages = on_the_clock(played(exercise, starts_at_ns=plan.count_in_ns))

    run.update(messages, messages[-1].stamp_ns)

    assert all(message.stamp_ns % coarse_ns == 0 for message in notebook.kept)
    assert [on.stamp_ns for on in run.session.note_ons] == [
        m.stamp_ns for m in notebook.kept if m.data[0] & 0xF0 == 0x90 and m.data[2]
    ]


def test_a_take_begins_with_what_stood_before_it() -> None:
    exercise = line()
    notebook = Notebook()
    standing = (StampedMessage(123, b"\xb0\x65\x00"),)

    run_of(RunPlan(exercise, exercise.tempo), keeper=notebook, preamble=standing)

    assert notebook.kept == [StampedMessage(0, b"\xb0\x65\x00")]


def test_messages_from_before_the_take_are_left_out() -> None:
    exercise = line()
    notebook = Notebook()
    run = run_of(RunPlan(exercise, exercise.tempo), keeper=notebook)

    run.update((StampedMessage(ZERO_NS - 1, b"\x90\x40\x50"),), ZERO_NS)

    assert notebook.kept == []


def test_with_the_click_now_is_where_the_clock_is() -> None:
    exercise = line(tempo=60)
    run = run_of(RunPlan(exercise, exercise.tempo, count_in_bars=1))

    assert run.score_quarters(ZERO_NS) == -4.0
    assert run.score_quarters(ZERO_NS + 6 * SECOND_NS) == 2.0


def test_at_the_players_own_pace_now_waits_at_the_next_written_note() -> None:
    exercise = line(tempo=60)
    plan = RunPlan(exercise, exercise.tempo, pace=Pace.FREE)
    run = run_of(plan)
    first = exercise.notes[0]
    string = bytes([0x90 | first.course - 1, first.pitch, 90])

    run.update((StampedMessage(ZERO_NS + SECOND_NS, string),), ZERO_NS + SECOND_NS)

    assert run.score_quarters(ZERO_NS + SECOND_NS) == 0.0
    assert run.score_quarters(ZERO_NS + 60 * SECOND_NS) == float(exercise.notes[1].onset_quarters)
    assert not run.is_finished


def test_silence_at_the_own_pace_ends_the_run_when_patience_does() -> None:
    exercise = line()
    plan = replace(RunPlan(exercise, exercise.tempo, pace=Pace.FREE), patience_ns=5 * SECOND_NS)
    run = run_of(plan)

    run.update((), ZERO_NS + 5 * SECOND_NS)
    assert not run.is_finished

    run.update((), ZERO_NS + 5 * SECOND_NS + 1)
    assert run.is_finished


def test_another_tempo_changes_only_the_tempo() -> None:
    plan = RunPlan(line(), Tempo(Fraction(100)), passes=3)

    assert plan.at_tempo(Fraction(120)) == replace(plan, tempo=Tempo(Fraction(120)))


def test_at_its_end_a_run_is_handed_over_with_all_that_was_said_and_nothing_still_open() -> None:
    exercise = line()
    notebook = Notebook()
    handed: list[tuple[Run, bool, bool]] = []
    run = run_of(
        RunPlan(exercise, exercise.tempo),
        keeper=notebook,
        at_end=lambda over: handed.append((over, over.is_finished, notebook.is_closed)),
    )

    run.update((), ZERO_NS + 100 * SECOND_NS)
    run.finish(ZERO_NS + 101 * SECOND_NS)

    assert handed == [(run, True, True)]
    assert all(isinstance(run.session.ledger.of_written(i), Missed) for i in range(len(exercise.notes)))


def test_a_line_that_was_left_at_the_players_own_pace_is_not_called_missed() -> None:
    exercise = line(tempo=60)
    plan = RunPlan(exercise, exercise.tempo, pace=Pace.FREE, patience_ns=10 * SECOND_NS)
    run = run_of(plan)
    messages = tuple(
        message
        for message in on_the_clock(played(exercise, starts_at_ns=0))
        if message.stamp_ns < ZERO_NS + 5 * SECOND_NS
    )

    run.update(messages, messages[-1].stamp_ns)
    run.update((), ZERO_NS + 30 * SECOND_NS)

    verdicts = [run.session.ledger.of_written(index) for index in range(len(exercise.notes))]
    reached = max(index for index, verdict in enumerate(verdicts) if isinstance(verdict, Match))
    assert run.is_finished
    assert reached < len(exercise.notes) - 1
    assert verdicts[reached + 1 :] == [None] * (len(exercise.notes) - 1 - reached)
