"""What the contest's runs came to: figured from their takes whenever it is asked, and kept nowhere.

A pass of a run is a take whose header names the run and whose file is named after the contest, so that no other file
need be opened. A relay's passes also say whose turn they were; relays have a table of their own. The tolerance is the
program's own and not the take's, or wider limits written into a take would make points.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from trainer.coaching.contest import Score, score, slips_of
from trainer.devices.recording import CONTEST
from trainer.following.tolerance import Tolerance
from trainer.judging import Asked, JudgingError, play_through, session_for, tempo_of
from trainer.playing.take import TakeError, read_take
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_from_dict

RELAY_PLAYERS = 2


@dataclass(frozen=True, slots=True)
class Standing:
    """What one run came to."""

    began: str
    """ISO 8601."""
    player: str
    exercise: Exercise
    passes: int
    best: Score
    slips: int
    """Of the best pass."""
    path: Path
    """The take of the best pass."""
    turn: int = 0
    """Of a relay: whose pass it is."""


@dataclass(frozen=True, slots=True)
class RelayStanding:
    """What one relay came to."""

    began: str
    players: tuple[str, ...]
    """In the order of their turns."""
    exercise: Exercise
    passes: int
    bests: tuple[Score, ...]
    """Of each player."""
    slips: int
    """Of the best passes."""
    paths: tuple[Path, ...]
    """The takes of the best passes."""

    @property
    def points(self) -> int:
        """Of the team."""
        return sum(one.points for one in self.bests)


@dataclass(frozen=True, slots=True)
class Standings:
    """The runs in some folders, most points first, and what cannot be read."""

    runs: tuple[Standing, ...]
    relays: tuple[RelayStanding, ...] = ()
    troubles: tuple[str, ...] = ()

    def of_line(self, line: Exercise) -> "Standings":
        """The runs over one line, whatever it is called."""
        return replace(
            self,
            runs=tuple(run for run in self.runs if run.exercise.notes == line.notes),
            relays=tuple(relay for relay in self.relays if relay.exercise.notes == line.notes),
        )


def standings(folders: Iterable[Path]) -> Standings:
    """Every run in folders of takes; a simulated player's are left out, for they are nobody's."""
    runs: dict[tuple[str, str, str], list[Standing]] = defaultdict(list)
    relays: dict[tuple[str, str], list[Standing]] = defaultdict(list)
    troubles: list[str] = []
    for path in sorted(path for folder in folders for path in folder.glob(f"*_{CONTEST}-*.mid")):
        try:
            found = _scored(path, path.stat().st_mtime_ns)
            if found is not None and found.turn:
                relays[found.began, found.exercise.name].append(found)
            elif found is not None:
                runs[found.began, found.player, found.exercise.name].append(found)
        except (OSError, TakeError, JudgingError, ValueError, KeyError, TypeError) as error:
            troubles.append(f"{path.name}: {str(error).partition(chr(10))[0]}")
    best = [replace(max(passes, key=lambda one: one.best.points), passes=len(passes)) for passes in runs.values()]
    teams = [team for passes in relays.values() if (team := _relay(passes)) is not None]
    return Standings(
        tuple(sorted(best, key=lambda run: (-run.best.points, run.began))),
        tuple(sorted(teams, key=lambda relay: (-relay.points, relay.began))),
        tuple(troubles),
    )


def _relay(passes: Sequence[Standing]) -> RelayStanding | None:
    """What the passes of a relay came to; None while one of the two has played none."""
    turns = [[one for one in passes if one.turn == turn] for turn in range(1, RELAY_PLAYERS + 1)]
    if not all(turns):
        return None
    best = [max(of_one, key=lambda one: one.best.points) for of_one in turns]
    return RelayStanding(
        began=best[0].began,
        players=tuple(one.player for one in best),
        exercise=best[0].exercise,
        passes=len(passes),
        bests=tuple(one.best for one in best),
        slips=sum(one.slips for one in best),
        paths=tuple(one.path for one in best),
    )


@lru_cache(maxsize=4096)
def _scored(path: Path, _changed_ns: int) -> Standing | None:
    """One pass; None when the take is none of a run, or was broken off, or played without the click."""
    take = read_take(path)
    header = take.header
    if header is None or not header.contest or header.seed is not None:
        return None
    line = exercise_from_dict(dict(header.exercise))
    own = replace(header, tolerance={})
    session = play_through(session_for(line, own, Asked()), take.messages)
    figures = session.assessment()
    is_whole = header.passes == 1 and header.first_note is None
    if header.pace != "click" or not is_whole or take.ends_at_ns < session.due_ns(len(line.notes) - 1):
        return None
    found = score(line, figures, tempo_of(header.quarters_per_minute), Tolerance())
    return Standing(header.contest, header.player, line, 1, found, slips_of(figures), path, header.turn)
