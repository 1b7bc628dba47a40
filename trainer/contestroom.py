"""The room of the contest: runs over a line or over the line of the day, and the table of the takes that are kept."""

from collections.abc import Callable, Sequence
from datetime import datetime

from trainer.coaching.asking import within_limits
from trainer.coaching.contest import START_SHARE, Contest
from trainer.contests import standings
from trainer.practiceroom import Practiceroom
from trainer.score.daily import line_of_the_day
from trainer.score.exercise import Exercise
from trainer.screens.contest import ContestDoors, ContestScreen, TableRow
from trainer.screens.screen import Screen
from trainer.station import Station


class Contestroom:
    """Makes the screen; runs are played in the practice room and counted there since the last break."""

    def __init__(self, station: Station, practiceroom: Practiceroom, *, leave: Callable[[], Screen]) -> None:
        self._station = station
        self._practiceroom = practiceroom
        self._leave = leave

    def contest(self, exercise: Exercise | None) -> Screen:
        """A run over a line, or over the line of the day."""
        today = _contest(line_of_the_day(datetime.now().astimezone().date().isoformat()))
        lines = [today if exercise is None else _contest(exercise), today]

        def other_line() -> Contest:
            lines.reverse()
            return lines[0]

        return ContestScreen(
            lines[0],
            ContestDoors(
                practice=self._practiceroom.playing,
                began=lambda: datetime.now().astimezone().isoformat(timespec="seconds"),
                table=self._table,
                other_line=other_line,
                leave_to=self._leave,
                status=lambda: self._station.status,
                rest=self._practiceroom.breaks.state,
                ghosting=self._practiceroom.ghosting,
            ),
        )

    def _table(self, contest: Contest, name: str) -> Sequence[TableRow]:
        """The runs over a line, figured from their takes."""
        folder = self._station.takes_folder
        if folder is None:
            return ()
        return [
            TableRow(run.best.points, run.player, run.best.qpm, run.slips, run.began[:10], run.began == name)
            for run in standings([folder]).of_line(contest.exercise).runs
        ]


def _contest(exercise: Exercise) -> Contest:
    return Contest(exercise, within_limits(START_SHARE * float(exercise.tempo.quarters_per_minute)))
