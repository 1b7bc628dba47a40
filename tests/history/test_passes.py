from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from tests.builders import line
from tests.history.builders import NOON, history_of, plan_of, record
from trainer.following.verdict import Match, Slip, TechniqueResult
from trainer.history.judged import exercise_hash, ledger_of
from trainer.history.passes import passes_of, takes_of
from trainer.screens.parts import loop_over, rest_from
from trainer.theory.technique import Technique


def test_the_last_passes_come_note_by_note_the_oldest_first(tmp_path: Path) -> None:
    for number, faults in enumerate(["miss 5", "string 12, late 9 80"]):
        run = record(tmp_path, plan_of(tempo=100 + number), faults, when=NOON + timedelta(minutes=number))

    with history_of(tmp_path) as history:
        every = passes_of(history, "two-gates")
        last = passes_of(history, exercise_hash(line()), last=3)
        none = passes_of(history, "two-gates", "anna"), passes_of(history, "ridge-path")

    verdicts = [run.session.ledger.of_written(index) for index in range(32)]
    deviations = [verdict.deviation_ns for verdict in verdicts if isinstance(verdict, Match)]
    assert [(one.quarters_per_minute, one.number, one.is_whole) for one in every] == [
        (100, 0, True),
        (100, 1, True),
        (101, 0, True),
        (101, 1, True),
    ]
    assert every[0].notes[5].is_missed
    assert every[2].notes[12].slip is Slip.STRING
    assert not every[2].notes[9].is_within_window
    assert [note.deviation_ns for index, note in every[2].notes.items() if index != 12] == deviations
    assert every[2].notes[0].technique is Technique.PICK
    assert every[2].notes[0].technique_result is TechniqueResult.AS_WRITTEN
    assert last == every[1:]
    assert none == ((), ())


def test_a_line_is_found_by_its_hash_whatever_it_is_called_now(tmp_path: Path) -> None:
    plan = plan_of()
    record(tmp_path, plan)

    with history_of(tmp_path) as history:
        found = passes_of(history, exercise_hash(plan.exercise), last=1)

    assert [(one.number, len(one.notes)) for one in found] == [(1, 32)]


def test_another_wording_of_a_line_is_another_line(tmp_path: Path) -> None:
    record(tmp_path)

    with history_of(tmp_path) as history:
        assert passes_of(history, replace(line(), about="Mind the second gate.")) == ()


def test_a_loop_counts_for_the_places_of_the_whole_line(tmp_path: Path) -> None:
    whole = plan_of()
    record(tmp_path, whole)
    loop = replace(loop_over(whole, 36, 39).plan, passes=3)
    record(tmp_path, loop, "miss 1", when=NOON + timedelta(minutes=1))

    with history_of(tmp_path) as history:
        rounds = passes_of(history, whole.exercise, last=3)

    assert [sorted(one.notes) for one in rounds] == [[4, 5, 6, 7]] * 3
    assert [one.notes[5].is_missed for one in rounds] == [True, False, False]
    assert not any(one.is_whole for one in rounds)


def test_what_remained_after_a_pause_is_cut_into_the_passes_of_the_line(tmp_path: Path) -> None:
    whole = plan_of()
    rest = rest_from(whole, 20)
    record(tmp_path, rest.plan, "miss 20")

    with history_of(tmp_path) as history:
        found = passes_of(history, whole.exercise)

    assert [(one.number, min(one.notes), max(one.notes), one.is_whole) for one in found] == [
        (0, rest.first, 31, False),
        (1, 0, 31, True),
    ]
    assert [index for one in found for index, note in one.notes.items() if note.is_missed] == [(rest.first + 20) % 32]


def test_a_note_after_a_jump_is_marked_and_open_ones_are_not_there(tmp_path: Path) -> None:
    run = record(tmp_path, plan_of(passes=1), "restart 20 12", stopped_after_s=14)

    with history_of(tmp_path) as history:
        (one,) = passes_of(history, "two-gates")

    jumped = {jump.to_index for jump in run.session.ledger.jumps}
    assert jumped
    assert {index for index, note in one.notes.items() if note.comes_after_jump} == jumped
    assert set(one.notes) == {i for i in range(32) if run.session.ledger.of_written(i) is not None}


def test_passes_before_a_take_are_those_that_were_played_earlier(tmp_path: Path) -> None:
    for number in range(3):
        record(tmp_path, plan_of(tempo=100 + number, passes=1), when=NOON + timedelta(minutes=number))

    with history_of(tmp_path) as history:
        latest = history.take_ids()[-1]
        earlier = passes_of(history, "two-gates", before_take=latest)

    assert [one.quarters_per_minute for one in earlier] == [100, 101]


def test_the_verdicts_on_the_takes_of_a_line_can_be_had_as_a_ledger(tmp_path: Path) -> None:
    run = record(tmp_path, faults="miss 5, string 12")

    with history_of(tmp_path) as history:
        (take,) = takes_of(history, run.plan.exercise)
        ledger = ledger_of(history.judged(take.take_id), take.exercise.repeated(take.passes))

    assert (take.first_note, take.passes, take.exercise) == (0, 2, run.plan.exercise)
    assert ledger.heard == run.session.ledger.heard
