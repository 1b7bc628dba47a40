from collections import Counter
from datetime import timedelta
from pathlib import Path

import pytest

from tests.history.builders import NOON, history_of, plan_of, record
from trainer.history.judged import Changed, JudgedTake, changed, judged
from trainer.history.opening import transaction
from trainer.history.packing import NOTE
from trainer.history.rejudging import changes_by_today, rejudge, takes_to_judge
from trainer.history.store import History


def with_an_older_ear(place: Path, takes: int = 3) -> History:
    """A history whose verdicts are of an ear that missed the first note of every pass."""
    for number in range(takes):
        record(place, plan_of(tempo=100 + number), "miss 5", when=NOON + timedelta(minutes=number))
    history = history_of(place)
    with transaction(history.connection):
        history.connection.execute("UPDATE ears SET fingerprint = 'another ear'")
        history.connection.execute("UPDATE passes SET outcomes = 'x' || substr(outcomes, 2)")
    return history


def said(history: History) -> list[JudgedTake]:
    return [history.judged(take_id) for take_id in history.take_ids()]


def test_old_takes_are_judged_by_todays_ear_and_what_changed_is_told(tmp_path: Path) -> None:
    with with_an_older_ear(tmp_path) as history:
        result = rejudge(history, takes_to_judge(history), processes=1)

        assert (result.takes, result.changed_takes, result.unread) == (3, 3, [])
        assert result.notes == Counter({"x.": 6})
        assert result.lines == Counter({"two-gates": 6})
        assert all(one.passes[0].outcomes == ".....x" + 26 * "." for one in said(history))
        assert changes_by_today(history) == result
        assert takes_to_judge(history) == ()


def test_an_interrupted_run_goes_on_where_it_was_and_tells_of_all_of_it(tmp_path: Path) -> None:
    def interrupt() -> None:
        raise KeyboardInterrupt

    with with_an_older_ear(tmp_path) as history:
        with pytest.raises(KeyboardInterrupt):
            rejudge(history, takes_to_judge(history), interrupt, processes=1)
        left = takes_to_judge(history)
        rejudge(history, left, processes=1)

        assert left == history.take_ids()[1:]
        assert changes_by_today(history).takes == 3


def test_several_processes_say_what_one_says(tmp_path: Path) -> None:
    with with_an_older_ear(tmp_path, takes=6) as history:
        by_one = rejudge(history, takes_to_judge(history), processes=1, is_kept=False)
        by_two = rejudge(history, takes_to_judge(history), processes=2)

        assert by_two == by_one
        assert by_two.takes == 6


def test_asking_what_would_change_changes_nothing(tmp_path: Path) -> None:
    with with_an_older_ear(tmp_path) as history:
        before = said(history)

        rejudge(history, takes_to_judge(history), processes=1, is_kept=False)

        assert said(history) == before
        assert changes_by_today(history).takes == 0


def test_other_limits_are_another_ear(tmp_path: Path) -> None:
    record(tmp_path)
    with history_of(tmp_path) as history:
        is_up_to_date = takes_to_judge(history)
        history.connection.execute("UPDATE ears SET tolerance = replace(tolerance, '50000000', '40000000')")

        assert is_up_to_date == ()
        assert takes_to_judge(history) == history.take_ids()


def test_another_version_with_the_same_ear_has_nothing_to_judge(tmp_path: Path) -> None:
    record(tmp_path)
    with history_of(tmp_path) as history:
        history.connection.execute("UPDATE ears SET program = 'boxwalk 0.0.9'")

        assert takes_to_judge(history) == ()


def test_a_change_is_counted_note_by_note(tmp_path: Path) -> None:
    from dataclasses import replace

    now = judged(record(tmp_path, faults="miss 5").session)
    first, second = now.passes
    records = list(NOTE.iter_unpack(now.notes))
    moved = b"".join(NOTE.pack(heard, at_ns + (place == 7), due) for place, (heard, at_ns, due) in enumerate(records))
    former = replace(
        now,
        passes=(replace(first, outcomes=first.outcomes.replace("x", "."), techniques="h" + first.techniques[1:]),),
        notes=moved,
    )

    assert changed(former, now) == Changed({".x": 1, "_.": len(second.outcomes)}, {"hp": 1, " p": 32}, 1)
    assert changed(now, now) == Changed({}, {}, 0)
