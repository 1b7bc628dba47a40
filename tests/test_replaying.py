import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

from pathlib import Path

from tests.kept_takes import keep_take
from trainer.following.verdict import Missed
from trainer.playing.take import Take, TakeHeader, read_take
from trainer.replaying import Replay
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command, Screen
from trainer.tablature.state import next_slip

LINE = load_exercise("two-gates")
FRAME_NS = 16_666_667


def kept(folder: Path) -> tuple[Take, TakeHeader]:
    keep_take(folder, "two-gates", tempo=60, passes=1, faults="miss 5")
    take = read_take(next(folder.glob("*.mid")))
    assert take.header is not None
    return take, take.header


class Watched:
    """A replay that is watched frame by frame."""

    def __init__(self, take: Take, header: TakeHeader) -> None:
        self.replay = Replay(take, header)
        self.now_ns = 5_000_000_000
        plan = RunPlan(LINE, LINE.tempo).at_tempo(header.quarters_per_minute)
        self.screen: Screen = PracticeScreen(
            plan,
            start_run=self.replay.start_run,
            status=lambda: "Replay",
            show_result=lambda _: self.screen,
            leave_to=lambda: self.screen,
            seek=self.replay.seek,
        )

    def watch(self, seconds: float) -> None:
        for _ in range(round(seconds * 60)):
            self.now_ns += FRAME_NS
            self.screen.update(self.replay.poll(self.now_ns), self.now_ns)

    @property
    def practice(self) -> PracticeScreen:
        assert isinstance(self.screen, PracticeScreen)
        return self.screen


def test_a_replay_goes_on_from_where_it_was_stopped_with_the_same_verdicts(tmp_path: Path) -> None:
    watched = Watched(*kept(tmp_path))
    watched.watch(14)
    watched.screen.handle(Command.PAUSE)
    before = watched.practice.view(watched.now_ns)
    settled = [before.ledger.of_written(index) for index in range(8)]

    for command in (Command.FIRST, Command.NEXT, Command.PAUSE):
        watched.screen.handle(command)
    watched.watch(0.05)
    resumed = watched.practice.view(watched.now_ns)
    watched.watch(6)
    later = watched.practice.view(watched.now_ns)

    assert isinstance(settled[5], Missed)
    assert next_slip(before.ledger, 8, 0) == 5
    at_slip = float(LINE.notes[5].onset_quarters)
    assert at_slip - 1 < resumed.now_quarters < at_slip
    assert [later.ledger.of_written(index) for index in range(8)] == settled


def test_a_replay_that_begins_anew_is_counted_once(tmp_path: Path) -> None:
    watched = Watched(*kept(tmp_path))
    watched.watch(6)

    watched.screen.handle(Command.RESTART)
    watched.watch(3)
    watched.screen.handle(Command.BACK)

    assert len(watched.practice._stretches) == 1
