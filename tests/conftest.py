"""How the tests share the machine: unit tests run side by side, a test of the rig has the machine to itself.

Real ports and real windows are timed by the clock, so that whatever runs beside them would be measured with them.
"""

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

try:
    import fcntl
except ImportError:  # Windows, which has no rig either
    fcntl = None  # type: ignore[assignment]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The rig comes last, and one process runs it; the tests of a file stay together, for they share."""
    items.sort(key=_is_rig)
    for item in items:
        item.add_marker(pytest.mark.xdist_group("rig" if _is_rig(item) else item.path.stem))


def pytest_make_parametrize_id(val: object, argname: str) -> str | None:
    """Name a case of bytes by its place: packed bytes hold the time, so that two processes would see two cases."""
    return argname if isinstance(val, bytes) else None


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Hold the machine's lock during a test: shared with others, or alone."""
    run = getattr(item.config, "workerinput", {}).get("testrunuid")
    if run is None or fcntl is None:
        return (yield)
    with Path(tempfile.gettempdir(), f"boxwalk-tests-{run}.lock").open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX if _is_rig(item) else fcntl.LOCK_SH)
        return (yield)


def _is_rig(item: pytest.Item) -> bool:
    return item.get_closest_marker("rig") is not None
