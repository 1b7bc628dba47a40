from pathlib import Path

import pytest

from tests.builders import line
from tests.history.builders import history_of, plan_of, record
from trainer.devices.skill import SKILLS
from trainer.following.ledger import Ledger
from trainer.following.verdict import Extra, Match, Missed, Pace, TechniqueResult, WrongNote
from trainer.history.judged import exercise_hash, judged, ledger_of, session_over
from trainer.history.letters import TECHNIQUE_LETTERS, TECHNIQUES_BY_LETTER
from trainer.playing.messages import StampedMessage
from trainer.run import Run
from trainer.score.serial import exercise_to_dict
from trainer.theory.technique import Technique


def contents(ledger: Ledger, count: int) -> tuple[object, ...]:
    """All that a ledger says."""
    return (
        ledger.heard,
        tuple(ledger.attempts(index) for index in range(count)),
        ledger.techniques,
        ledger.jumps,
    )


def kept_and_live(folder: Path, run: Run) -> tuple[object, object]:
    """What the history says of the only take in a folder, and what was said live."""
    with history_of(folder) as history:
        (take_id,) = history.take_ids()
        kept = ledger_of(history.judged(take_id), run.exercise)
    count = len(run.exercise.notes)
    return contents(kept, count), contents(run.session.ledger, count)


def with_a_restart() -> tuple[StampedMessage, ...]:
    """Half the line, and then all of it from the start."""
    from tests.builders import played

    first = tuple(m for m in played(line(), "string 3", starts_at_ns=2_000_000_000) if m.stamp_ns < 7_000_000_000)
    again = played(line(), "miss 9", starts_at_ns=9_000_000_000)
    return first + again


@pytest.mark.parametrize("pace", list(Pace))
def test_the_verdicts_of_a_take_are_kept_to_the_last_one(tmp_path: Path, pace: Pace) -> None:
    run = record(tmp_path, plan_of(pace=pace), "miss 5, fret 7, string 12, late 9 40", skill=SKILLS["practised"])

    kept, live = kept_and_live(tmp_path, run)

    assert kept == live
    assert {type(verdict) for verdict in run.session.ledger.heard} >= {Match, WrongNote}
    assert any(isinstance(run.session.ledger.of_written(index), Missed) for index in range(64))


def test_earlier_attempts_and_jumps_are_kept_too(tmp_path: Path) -> None:
    run = record(tmp_path, plan_of(pace=Pace.FREE, passes=1), messages=with_a_restart())

    kept, live = kept_and_live(tmp_path, run)

    assert kept == live
    assert run.session.ledger.jumps
    assert any(len(run.session.ledger.attempts(index)) > 1 for index in range(32))


@pytest.mark.parametrize("stopped_after_s", [4.0, 7.3, 12.0])
def test_a_take_that_was_stopped_is_kept_as_it_stood_then(tmp_path: Path, stopped_after_s: float) -> None:
    run = record(tmp_path, faults="miss 3", stopped_after_s=stopped_after_s)

    kept, live = kept_and_live(tmp_path, run)

    assert kept == live
    assert run.session.ledger.of_written(63) is None


def test_how_notes_were_begun_is_kept(tmp_path: Path) -> None:
    run = record(tmp_path, plan_of(line("two-gates-slid")), "unslid 4")

    kept, live = kept_and_live(tmp_path, run)

    assert kept == live
    assert run.session.ledger.techniques


def test_the_live_session_and_its_file_say_the_same(tmp_path: Path) -> None:
    from trainer.playing.take import read_take

    run = record(tmp_path, faults="miss 5", skill=SKILLS["practised"])
    assert run.take_path is not None
    take = read_take(run.take_path)
    assert take.header is not None

    assert judged(session_over(take, take.header)) == judged(run.session)


def test_a_pass_is_a_word_that_can_be_read(tmp_path: Path) -> None:
    run = record(tmp_path, faults="miss 5, string 12, late 9 80")

    first, second = judged(run.session).passes

    assert first.outcomes == ".....x...>..s" + 19 * "."
    assert second.outcomes == 32 * "."


def test_each_way_to_tell_a_technique_has_a_letter_of_its_own() -> None:
    every = {(result, technique) for result in TechniqueResult for technique in (None, *Technique)}

    assert set(TECHNIQUE_LETTERS) == every
    assert len(TECHNIQUES_BY_LETTER) == len(every)


def test_a_line_is_known_by_all_that_it_says() -> None:
    from dataclasses import replace

    same, other = line(), replace(line(), about="Mind the second gate.")

    assert exercise_to_dict(same) == exercise_to_dict(line())
    assert exercise_hash(same) == exercise_hash(line())
    assert exercise_hash(same) != exercise_hash(other)


def test_what_belongs_to_no_note_is_kept(tmp_path: Path) -> None:
    run = record(tmp_path, faults="extra 4")

    kept, live = kept_and_live(tmp_path, run)

    assert kept == live
    assert any(isinstance(verdict, Extra) for verdict in run.session.ledger.heard)
