import sqlite3
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.homework.builders import LINE, measured_take, take_of
from trainer.coaching.played import Outcome, PlayedPass
from trainer.homework.cache import Cache, Entry
from trainer.homework.measuring import MeasuredTake, Unused
from trainer.homework.weakest import Weakest

TAKE = measured_take(LINE, take_of(faults="late 3 30, miss 7"))
ENTRIES: Mapping[str, Entry] = {
    "take": TAKE,
    "unused": Unused("ab", "is of another line"),
    "weakest": Weakest("string 2 fret 8 to string 1 fret 5: 31 ms late", 4, 5, 31.4, 9.7),
}


def file_in(folder: Path) -> Path:
    return folder / "homework" / "judged.sqlite"


def test_what_is_kept_is_known_again_exactly(tmp_path: Path) -> None:
    Cache(file_in(tmp_path), "one").keep(ENTRIES)

    assert Cache(file_in(tmp_path), "one").known(["weakest", "take", "nothing", "unused"]) == ENTRIES


def test_another_version_of_the_program_knows_nothing_of_it_and_takes_its_place(tmp_path: Path) -> None:
    Cache(file_in(tmp_path), "one").keep(ENTRIES)
    other = Cache(file_in(tmp_path), "other")

    assert other.known(ENTRIES) == {}
    other.keep({"take": TAKE})
    assert Cache(file_in(tmp_path), "one").known(ENTRIES) == {}
    assert other.known(ENTRIES) == {"take": TAKE}


def test_only_so_many_are_kept_and_the_oldest_go_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trainer.homework.cache.MOST_ENTRIES", 2)
    cache = Cache(file_in(tmp_path), "one")

    for key in ("a", "b", "c"):
        cache.keep({key: Unused(key, "")})

    assert set(cache.known(["a", "b", "c"])) == {"b", "c"}


@pytest.mark.parametrize("junk", [b"no database", b"SQLite format 3\0" + bytes(200), b""])
def test_a_damaged_file_is_begun_anew(junk: bytes, tmp_path: Path) -> None:
    file_in(tmp_path).parent.mkdir()
    file_in(tmp_path).write_bytes(junk)
    cache = Cache(file_in(tmp_path), "one")

    assert cache.known(ENTRIES) == {}
    cache.keep(ENTRIES)
    assert cache.known(ENTRIES) == ENTRIES


@pytest.mark.parametrize("share", [0.1, 0.4, 0.6, 0.9])
def test_a_file_with_a_stretch_of_it_overwritten_gives_nothing_that_was_not_kept(share: float, tmp_path: Path) -> None:
    cache = Cache(file_in(tmp_path), "one")
    cache.keep(ENTRIES)
    data = bytearray(file_in(tmp_path).read_bytes())
    first = int(len(data) * share)
    data[first : first + 300] = b"\x55" * 300
    file_in(tmp_path).write_bytes(data)

    found = cache.known(ENTRIES)

    assert found.items() <= ENTRIES.items()
    cache.keep(ENTRIES)
    assert cache.known(ENTRIES) == ENTRIES


def test_an_entry_that_is_not_whole_is_not_believed(tmp_path: Path) -> None:
    cache = Cache(file_in(tmp_path), "one")
    cache.keep(ENTRIES)
    with sqlite3.connect(file_in(tmp_path)) as file:
        (packed,) = file.execute("SELECT entry FROM entries WHERE key = 'take'").fetchone()
        file.execute("UPDATE entries SET entry = ? WHERE key = 'take'", (packed[:-3],))
        file.execute("UPDATE entries SET entry = x'00' WHERE key = 'unused'")
    file.close()

    assert cache.known(ENTRIES) == {"weakest": ENTRIES["weakest"]}


def test_a_file_that_is_locked_or_cannot_be_made_is_done_without(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trainer.homework.cache._WAIT_S", 0.01)
    cache = Cache(file_in(tmp_path), "one")
    cache.keep(ENTRIES)
    other = sqlite3.connect(file_in(tmp_path))
    other.execute("BEGIN EXCLUSIVE")

    assert cache.known(ENTRIES) == {}
    cache.keep({"take": TAKE})
    other.close()

    assert cache.known(ENTRIES) == ENTRIES
    (tmp_path / "file").write_text("a file stands where the folder should")
    nowhere = Cache(tmp_path / "file" / "judged.sqlite", "one")
    nowhere.keep(ENTRIES)
    assert nowhere.known(ENTRIES) == {}


def test_without_a_path_nothing_is_kept() -> None:
    cache = Cache(None, "one")
    cache.keep(ENTRIES)

    assert cache.known(ENTRIES) == {}


FLOATS = st.floats(allow_nan=False, allow_infinity=False)
OUTCOMES = st.sampled_from(Outcome)


@st.composite
def measured_takes(draw: st.DrawFn) -> MeasuredTake:
    length = draw(st.integers(1, 4))
    passes = st.builds(
        PlayedPass,
        st.tuples(*[FLOATS] * length),
        st.tuples(*[st.none() | FLOATS] * length),
        st.tuples(*[OUTCOMES] * length),
        st.frozensets(st.integers(0, length - 1)),
    )
    return replace(
        TAKE,
        quarters_per_minute=draw(st.fractions(Fraction(10), Fraction(400), max_denominator=10**9)),
        played_ms=draw(st.integers(0, 10**9)),
        is_simulated=draw(st.booleans()),
        clean=draw(st.lists(st.none() | st.booleans(), max_size=3).map(tuple)),
        passes=draw(st.lists(passes, max_size=2).map(tuple)),
    )


@given(entry=measured_takes())
def test_every_figure_of_a_take_comes_back_to_the_last_bit(
    entry: MeasuredTake, tmp_path_factory: pytest.TempPathFactory
) -> None:
    cache = Cache(tmp_path_factory.getbasetemp() / "bits" / "judged.sqlite", "one")

    cache.keep({"take": entry})

    assert cache.known(["take"]) == {"take": entry}
