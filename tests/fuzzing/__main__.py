"""The long run: a line for each target; the exit status is 1 when anything was found."""

import argparse
import sys
import tempfile
import time
from pathlib import Path

from tests.fuzzing.guarding import Guard, bounded_memory
from tests.fuzzing.reading import Target
from tests.fuzzing.running import Tally, bent, run
from tests.fuzzing.targets import TARGETS

MEMORY_FOLDER = Path("/dev/shm")  # noqa: S108 - only its speed is wanted; each run makes a folder of its own in it


def main() -> None:
    words = argparse.ArgumentParser(prog="python -m tests.fuzzing", description=__doc__)
    words.add_argument("--cases", type=int, default=200_000, help="in all (default: %(default)s)")
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--only", action="append", choices=[target.name for target in TARGETS], metavar="TARGET")
    asked = words.parse_args()
    targets = [target for target in TARGETS if not asked.only or target.name in asked.only]
    parts = sum(target.share for target in targets)
    say(f"{'target':12}{'cases':>9}{'read':>9}{'refused':>9}{'found':>7}{'seconds':>9}{'slowest ms':>12}")
    total = found = 0
    with tempfile.TemporaryDirectory(dir=MEMORY_FOLDER if MEMORY_FOLDER.is_dir() else None) as place:
        for target in targets:
            cases = -(-asked.cases * target.share // parts)
            tally = told(target, cases, asked.seed, Path(place).resolve() / target.name)
            total, found = total + tally.cases, found + len(tally.found)
    say(f"{total} cases, {found} findings")
    sys.exit(1 if found else 0)


def told(target: Target, cases: int, seed: int, folder: Path) -> Tally:
    """Run one target and say what came of it."""
    guard = Guard(folder)
    target.seeds()
    began_s = time.process_time()
    with bounded_memory():
        tally = run(target, cases, seed, guard)
    took_s = time.process_time() - began_s
    figures = f"{tally.cases:9}{tally.read:9}{tally.refused:9}{len(tally.found):7}{took_s:9.1f}"
    say(f"{target.name:12}{figures}{guard.slowest_s * 1000:12.0f}")
    for what, count in tally.found.most_common():
        case = tally.smallest[what]
        say(f"    {what}: {count} times; smallest: {case}")
        say(f"        {bent(target, case)!r:.600}")
    return tally


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
