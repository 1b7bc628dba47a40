"""The same targets, with the cases chosen by which code they reach (atheris, where it installs).

    pip install atheris
    python -m tests.fuzzing.guided TARGET [-runs=N] [-max_total_time=SECONDS]     further options are libFuzzer's

A finding ends the run; libFuzzer prints it and keeps the case in a file `crash-...`.
"""

import sys
import tempfile
from pathlib import Path

import atheris  # type: ignore[import-not-found,import-untyped]  # installed only by whoever wants it

with atheris.instrument_imports(include=["trainer"]):
    from tests.fuzzing.bending import Edit
    from tests.fuzzing.guarding import Guard
    from tests.fuzzing.running import MOST_EDITS, Case, try_case
    from tests.fuzzing.targets import TARGETS


def case_of(data: bytes) -> Case:
    """A case out of whatever bytes."""
    drawn = atheris.FuzzedDataProvider(data)
    seed = drawn.ConsumeIntInRange(0, 0xFFFF)
    edits = [
        Edit(*(drawn.ConsumeIntInRange(0, most) for most in (0xFFF, 0xFFFF, 0xFFFF)))
        for _ in range(drawn.ConsumeIntInRange(0, MOST_EDITS))
    ]
    return seed, edits


def main() -> None:
    by_name = {target.name: target for target in TARGETS}
    if len(sys.argv) < 2 or sys.argv[1] not in by_name:
        sys.exit(f"expected one of {', '.join(by_name)}")
    target = by_name[sys.argv.pop(1)]
    target.seeds()
    with tempfile.TemporaryDirectory() as folder:
        guard = Guard(Path(folder).resolve() / target.name)
        atheris.Setup(sys.argv, lambda data: try_case(target, case_of(data), guard))
        atheris.Fuzz()


if __name__ == "__main__":
    main()
