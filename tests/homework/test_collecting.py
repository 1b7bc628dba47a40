from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from tests.homework.builders import LINE, OTHER, assignment_of, returned_of, take_of
from trainer.homework.answering import Change
from trainer.homework.assignment import Assignment
from trainer.homework.cache import Cache
from trainer.homework.collecting import PupilRows, Table, tables
from trainer.homework.returned import Returned

SLOW, FAST = take_of(tempo=80), take_of(tempo=104, days=1)
LAST_WEEK = "2026-03-13T18:00:00+01:00"


def collected(*files: Returned, sent: Iterable[Assignment] = (assignment_of(),), ear: str = "ear") -> Table:
    everyone = frozenset((one.assignment.identity, one.tag) for one in files)
    (table,) = tables(files, lambda _: tuple(sent), ear, everyone, Cache(None, "program"))
    return table


def only(table: Table) -> PupilRows:
    (pupil,) = table.pupils
    return pupil


def test_a_row_holds_what_was_measured() -> None:
    (row,) = only(collected(returned_of(SLOW, FAST))).rows

    assert row.fastest is not None
    assert (row.fastest.qpm, row.clean_at_target, row.passes, row.last_played) == (Fraction(104), 2, 4, "2026-03-15")
    assert row.weakest.words == "not enough yet: 1 more pass"
    assert row.change is None
    assert only(collected(returned_of(SLOW, FAST))).remarks == ()


def test_what_is_new_since_the_file_before_is_told() -> None:
    earlier = returned_of(SLOW, made=LAST_WEEK)

    pupil = only(collected(returned_of(SLOW, FAST), earlier))

    (row,) = pupil.rows
    assert row.change is not None
    assert replace(row.change, more_ms=0) == Change(LAST_WEEK, Fraction(80), more_clean=2, more_ms=0)
    assert row.change.more_ms > 10_000


def test_files_are_ordered_by_the_moment_and_not_by_the_clock_on_the_wall() -> None:
    earlier = returned_of(SLOW, made="2026-03-13T23:00:00+09:00")
    later = returned_of(SLOW, FAST, made="2026-03-13T16:00:00+01:00")

    assert only(collected(later, earlier)).returned == later


def test_a_figure_that_was_edited_by_hand_is_said() -> None:
    honest = returned_of(SLOW)
    edited = replace(honest, figures=(replace(honest.figures[0], fastest_clean_qpm=Fraction(140), clean=9),))

    remarks = only(collected(edited)).remarks

    says = "clean up to 140, 9 of 2 passes clean, 0.2 min"
    assert remarks == (f"ridge-steps: the file says {says}; measured clean up to 80, 2 of 2 passes clean, 0.2 min",)


def test_a_difference_between_two_versions_of_the_ear_is_said_to_be_one() -> None:
    by_another_ear = returned_of(SLOW, ear="boxwalk 0.0.9 ab")
    otherwise = replace(by_another_ear, figures=(replace(by_another_ear.figures[0], clean=1),))

    (remark,) = only(collected(otherwise)).remarks

    assert remark.endswith("(it was measured by another version of the program, boxwalk 0.0.9 ab)")
    assert only(collected(by_another_ear)).remarks == ()


def test_figures_that_were_taken_out_are_missed() -> None:
    (remark,) = only(collected(replace(returned_of(SLOW), figures=()))).remarks

    assert remark.startswith("ridge-steps: the file claims nothing, measured clean up to 80")


def test_takes_are_judged_by_the_lines_that_were_given_out_and_not_by_those_in_the_file() -> None:
    easier = assignment_of(replace(LINE, notes=LINE.notes[:-2]))
    cheating = returned_of(take_of(easier.tasks[0].exercise), assignment=easier)

    pupil = only(collected(cheating))

    assert pupil.rows[0].takes == ()
    assert "the homework in the file is not what was given out; the takes are judged by that" in pupil.remarks
    assert "a take does not count: it is of another line, or of another form of this one" in pupil.remarks


def test_a_lower_target_in_the_file_is_not_believed() -> None:
    task = assignment_of().tasks[0]
    easy = assignment_of(tasks=(replace(task, target_qpm=Fraction(40)),))

    assert only(collected(returned_of(SLOW, assignment=easy))).rows[0].task.target_qpm == 100


def test_an_answer_to_an_earlier_edition_is_measured_by_that_edition_and_said_to_be_one() -> None:
    second = assignment_of(LINE, OTHER, edition=2)

    table = collected(returned_of(SLOW), sent=(assignment_of(), second))

    assert table.assignment.edition == 2
    assert len(only(table).rows) == 1
    assert only(table).remarks == ("answers edition 1, the latest is 2",)


def test_homework_that_was_made_elsewhere_is_taken_from_the_file_and_that_is_said() -> None:
    pupil = only(collected(returned_of(SLOW), sent=()))

    assert pupil.rows[0].passes == 2
    assert pupil.remarks == ("this homework was not made on this machine: the exercises are taken from the file",)


def test_two_pupils_of_one_name_are_two_rows_and_one_take_in_both_files_is_said() -> None:
    table = collected(returned_of(SLOW), returned_of(SLOW, FAST, tag="beef0000", pupil="ana"))

    assert [pupil.pupil for pupil in table.pupils] == ["Ana (0000)", "ana (beef)"]
    assert table.pupils[1].remarks == ("1 take the very same as in the file of Ana",)


def test_who_has_given_nothing_back_is_named() -> None:
    table = collected(returned_of(SLOW), sent=(assignment_of(pupils=("Ana", "Ben", "Cleo")),))

    assert table.missing == ("Ben", "Cleo")


def test_takes_of_the_simulated_player_are_said_to_be_that() -> None:
    assert only(collected(returned_of(take_of(seed=3), SLOW))).remarks == ("of 2 takes, 1 by the simulated player",)


def test_a_weak_transition_is_named_when_there_are_passes_enough() -> None:
    length = len(LINE.notes)
    faults = ", ".join(f"late {number * length + 9} 45" for number in range(8))

    (row,) = only(collected(returned_of(take_of(passes=8, faults=faults)))).rows

    assert (row.weakest.from_index, row.weakest.to_index) == (8, 9)
    assert row.weakest.words.endswith("45 ms late")
