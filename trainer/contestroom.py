"""The room of the contest: runs over a line or over the line of the day, alone or as a relay, and their tables."""

from collections.abc import Callable, Sequence
from datetime import datetime

from trainer.coaching.asking import within_limits
from trainer.coaching.contest import START_SHARE, Contest
from trainer.contests import standings
from trainer.practiceroom import Practiceroom
from trainer.run import RunPlan
from trainer.score.daily import line_of_the_day
from trainer.score.exercise import Exercise
from trainer.screens.contest import ContestDoors, ContestScreen, RelayDoors, TableRow
from trainer.screens.practice import Outcome
from trainer.screens.screen import Screen
from trainer.station import Station

SECOND_TURN = 2


class Contestroom:
    """Makes the screen; runs are played in the practice room and counted there since the last break."""

    def __init__(self, station: Station, practiceroom: Practiceroom, *, leave: Callable[[], Screen]) -> None:
        self._station = station
        self._practiceroom = practiceroom
        self._leave = leave

    def contest(self, exercise: Exercise | None) -> Screen:
        """A run over a line, or over the line of the day."""
        self._station.take_up_second()
        today = _contest(line_of_the_day(datetime.now().astimezone().date().isoformat()))
        lines = [today if exercise is None else _contest(exercise), today]

        def other_line() -> Contest:
            lines.reverse()
            return lines[0]

        return ContestScreen(
            lines[0],
            ContestDoors(
                practice=self._play,
                began=lambda: datetime.now().astimezone().isoformat(timespec="seconds"),
                table=self._table,
                other_line=other_line,
                leave_to=self._leave,
                status=lambda: self._station.status,
                rest=self._practiceroom.breaks.state,
                ghosting=self._practiceroom.ghosting,
                relay=RelayDoors(
                    names=lambda: self._station.names,
                    has_second=lambda: self._station.second is not None,
                    next_second=self._station.next_second,
                ),
            ),
        )

    def _play(self, plan: RunPlan, heard: Callable[[Outcome], Screen], back: Callable[[], Screen]) -> Screen:
        """One pass, on the input of whoever's turn it is."""
        station = self._station
        station.play_on(second=plan.turn == SECOND_TURN)

        def shown(outcome: Outcome) -> Screen:
            station.play_on(second=False)
            return heard(outcome)

        def left() -> Screen:
            station.play_on(second=False)
            return back()

        return self._practiceroom.playing(plan, shown, left)

    def _table(self, contest: Contest, name: str) -> Sequence[TableRow]:
        """The runs or relays over a line, figured from their takes."""
        folder = self._station.takes_folder
        if folder is None:
            return ()
        found = standings([folder]).of_line(contest.exercise)
        if contest.players > 1:
            return [
                TableRow(
                    team.points,
                    " + ".join(player or "you" for player in team.players),
                    max(one.qpm for one in team.bests),
                    team.slips,
                    team.began[:10],
                    team.began == name,
                )
                for team in found.relays
            ]
        return [
            TableRow(run.best.points, run.player, run.best.qpm, run.slips, run.began[:10], run.began == name)
            for run in found.runs
        ]


def _contest(exercise: Exercise) -> Contest:
    return Contest(exercise, within_limits(START_SHARE * float(exercise.tempo.quarters_per_minute)))
