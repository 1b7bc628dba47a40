"""Drawing the cases of one target, and what came of them."""

import shutil
import traceback
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, Verbosity, given, seed, settings
from hypothesis import strategies as st

from tests.fuzzing.bending import Edit
from tests.fuzzing.guarding import Guard
from tests.fuzzing.reading import Target

BATCH = 1000
"""Cases that hypothesis draws from one seed: its memory of what it drew grows with them."""
MOST_EDITS = 5
_NUMBER = st.integers(0, 0xFFFF)
CASES = st.tuples(_NUMBER, st.lists(st.builds(Edit, st.integers(0, 0xFFF), _NUMBER, _NUMBER), max_size=MOST_EDITS))
Case = tuple[int, list[Edit]]


@dataclass(slots=True)
class Tally:
    """What came of the cases of one target."""

    read: int = 0
    refused: int = 0
    found: Counter[str] = field(default_factory=Counter)
    """What should not have happened, by what and where."""
    smallest: dict[str, Case] = field(default_factory=dict)
    """For each of these the case that hypothesis came down to."""

    @property
    def cases(self) -> int:
        """All of them."""
        return self.read + self.refused + sum(self.found.values())


def bent(target: Target, case: Case) -> Any:
    """What a case reads."""
    seeds = target.seeds()
    value = seeds[case[0] % len(seeds)]
    for edit in case[1]:
        value = target.bend(value, edit, seeds)
    return value


def try_case(target: Target, case: Case, guard: Guard) -> bool:
    """Whether the bent value was read; False when it was refused. Anything else that happens is raised."""
    value = bent(target, case)
    shutil.rmtree(guard.folder, ignore_errors=True)
    guard.folder.mkdir()
    try:
        with guard.watching():
            target.read(value, guard.folder)
    except target.refusals as refusal:
        if not str(refusal).strip():
            raise AssertionError("a refusal that does not say why") from refusal
        return False
    return True


def run(target: Target, cases: int, first_seed: int, guard: Guard) -> Tally:
    """Draw that many cases, a batch from each seed; what is found once does not end the run."""
    tally = Tally()
    batch = 0
    while tally.cases < cases:
        before = tally.cases
        _run_batch(target, min(BATCH, cases - before), first_seed + batch, guard, tally)
        batch += 1
        if tally.cases == before:
            break  # nothing more can be drawn
    return tally


def _run_batch(target: Target, cases: int, number: int, guard: Guard, tally: Tally) -> None:
    known = frozenset(tally.found)

    def try_and_tell(case: Case) -> None:
        try:
            is_read = try_case(target, case, guard)
        except BaseException as error:
            if isinstance(error, KeyboardInterrupt | SystemExit):
                raise
            what = signature(error)
            tally.found[what] += 1
            if what in known:
                return
            tally.smallest[what] = case
            raise
        if is_read:
            tally.read += 1
        else:
            tally.refused += 1

    drawn = settings(
        max_examples=cases,
        database=None,
        deadline=None,
        phases=(Phase.generate, Phase.shrink),
        suppress_health_check=list(HealthCheck),
        verbosity=Verbosity.quiet,
    )(seed(number)(given(CASES)(try_and_tell)))
    try:
        drawn()
    except BaseException as error:
        if isinstance(error, KeyboardInterrupt | SystemExit):
            raise
        # It is in the tally, with the smallest case.


def signature(error: BaseException) -> str:
    """What happened and where in the program, or in the test when it was there."""
    frames = traceback.extract_tb(error.__traceback__)
    own = [frame for frame in frames if "/trainer/" in Path(frame.filename).as_posix()] or list(frames[-1:])
    place = own[-1]
    return f"{type(error).__name__} in {Path(place.filename).name}:{place.name}, line {place.lineno}"
