import re
import tomllib

import pytest

from tests.dependencies.lock import LICENCES, LOCK, ROOT, Pinned, pinned

LIBRARIES = tuple(pinned(LOCK.read_text(encoding="utf-8")))


def test_every_line_of_the_lock_is_understood() -> None:
    names = re.findall(r"^([a-z0-9.-]+)==", LOCK.read_text(encoding="utf-8"), re.MULTILINE)

    assert [library.name for library in LIBRARIES] == names


@pytest.mark.parametrize("library", LIBRARIES, ids=lambda library: f"{library.name} {library.version}")
def test_every_library_is_pinned_by_hashes(library: Pinned) -> None:
    assert library.hashes
    assert re.fullmatch(r"[0-9]+(\.[0-9a-z]+)*", library.version)


def test_the_lock_holds_all_that_the_project_depends_on() -> None:
    with (ROOT / "pyproject.toml").open("rb") as file:
        wanted = tomllib.load(file)["project"]["dependencies"]

    assert {re.split(r"[<>=!\[; ]", each)[0].lower() for each in wanted} <= {library.name for library in LIBRARIES}


def test_a_library_that_is_pinned_twice_is_so_for_different_pythons() -> None:
    conditions: dict[str, list[str]] = {}
    for library in LIBRARIES:
        conditions.setdefault(library.name, []).append(library.where)

    assert all(len(set(where)) == len(where) for where in conditions.values())


def test_every_library_of_the_lock_has_its_licence_listed() -> None:
    rows = re.findall(r"^\| ([a-z][a-z0-9.-]*) \| .+ \| (.+) \|$", LICENCES.read_text(encoding="utf-8"), re.MULTILINE)
    listed = {name: licence for name, licence in rows if name != "library"}

    assert set(listed) == {library.name for library in LIBRARIES}
    assert not {name for name, licence in listed.items() if licence in ("not said", "not installed here")}
