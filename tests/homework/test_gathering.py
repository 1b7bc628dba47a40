from datetime import timedelta
from pathlib import Path

import pytest

from tests.history.builders import NOON
from tests.homework.builders import LINE, assignment_of, keep_take
from trainer.homework import gathering
from trainer.homework.assignment import text_of
from trainer.homework.cache import Cache
from trainer.homework.folders import Opened
from trainer.homework.gathering import gathered, returned_of
from trainer.homework.line import line_digest
from trainer.homework.returned import take_digest
from trainer.take_notes import keep_note

NO_CACHE = Cache(None, "program")
OPENED = Opened(
    assignment_of(), text_of(assignment_of()).encode(), NOON.isoformat(), "0000000a", {line_digest(LINE): LINE.name}
)


def test_takes_count_from_the_very_second_at_which_the_homework_was_opened(tmp_path: Path) -> None:
    for seconds in (-1, 0, 1):
        keep_take(tmp_path, passes=1, when=NOON + timedelta(seconds=seconds))

    found = gathered(OPENED, tmp_path, "", NO_CACHE, with_simulated=False)

    assert [take.date for take in found.measured] == ["2026-03-14T12:00:00+01:00", "2026-03-14T12:00:01+01:00"]


def test_old_takes_are_not_even_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []
    take_in = gathering.take_in
    for days in (-400, -2, -1, 1):
        keep_take(tmp_path, passes=1, when=NOON + timedelta(days=days), input=f"{days}")

    def noting(data: bytes) -> object:
        take = take_in(data)
        read.append(take.header.input if take.header else "")
        return take

    monkeypatch.setattr(gathering, "take_in", noting)
    gathered(OPENED, tmp_path, "", NO_CACHE, with_simulated=False)

    assert read == ["-1", "1"]


def test_a_take_that_was_renamed_by_hand_is_found(tmp_path: Path) -> None:
    keep_take(tmp_path, passes=1).rename(tmp_path / "best.mid")

    assert len(gathered(OPENED, tmp_path, "", NO_CACHE, with_simulated=False).takes) == 1


def test_broken_takes_of_the_line_are_told_of(tmp_path: Path) -> None:
    keep_take(tmp_path, passes=1).write_bytes(b"MThd")

    found = gathered(OPENED, tmp_path, "", NO_CACHE, with_simulated=False)

    assert (found.takes, found.remarks) == ((), ("Left out: 1 take that cannot be read.",))


def test_what_was_noted_about_a_take_goes_along_and_nothing_that_was_noted_about_others(tmp_path: Path) -> None:
    noted = keep_take(tmp_path, passes=1)
    keep_take(tmp_path, passes=1, when=NOON + timedelta(seconds=30))
    older = keep_take(tmp_path, passes=1, when=NOON - timedelta(seconds=30))
    keep_note(noted, "The third finger comes late.")
    keep_note(older, "Cold hands.")

    found = gathered(OPENED, tmp_path, "", NO_CACHE, with_simulated=False)

    assert found.notes == {take_digest(noted.read_bytes()): "The third finger comes late."}
    assert returned_of(OPENED, found, "Ana", NOON.isoformat()).notes == found.notes
