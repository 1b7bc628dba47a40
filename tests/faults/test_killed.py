import subprocess
import sys
from pathlib import Path

import pytest

KILLS = 5


@pytest.mark.skipif(not hasattr(sys, "getdlopenflags"), reason="needs a Unix: the process is forked")
def test_a_save_and_a_migration_that_are_killed_leave_what_is_whole() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.killed", "--kills", str(KILLS)],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )

    assert done.stderr == ""
    assert done.stdout.splitlines() == [f"{name}: {KILLS} kills, whole after {KILLS}" for name in ("save", "migration")]
