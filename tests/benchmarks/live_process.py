"""The program's window on a real port, watched: what a guitarist has in front of them, with a stop watch inside.

Standard input: one JSON line with `exercise` (a path), `tempo`, `passes`, `port`, `size`, `folder` and `lives_s`.
Standard output: a JSON line `{"zero_ns": ...}` when the take begins, one for each minute with what the process holds,
and at the end one with all that was measured, in ns: `latencies` (driver stamp -> the first verdict can be had, of each
note heard by a note-on), `computing` (processor time of each call of `Run.update` with messages), `stamps` of all
messages with their bytes, `work`, `processor` and `gaps` of the frames; and how many notes were `matched` of those
`written`.
"""

import json
import signal
import sys
import time
from fractions import Fraction
from pathlib import Path

from tests.benchmarks.drawing import Frames, watched
from tests.benchmarks.figures import resident_mb
from trainer import station as stations
from trainer.app import Rooms
from trainer.devices.converter_style import STYLES
from trainer.devices.sound import SilentSound
from trainer.following.verdict import Extra, Match, WrongNote
from trainer.playing.messages import StampedMessage
from trainer.run import Run, RunPlan
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.session import SessionEvent
from trainer.window import show

A_MINUTE_NS = 60_000_000_000
AFTER_NS = 1_000_000_000
"""The window stays open so long after the last note."""


class Watched:
    """What was measured of the take that is played."""

    def __init__(self) -> None:
        self.frames = Frames()
        self.latencies: list[int] = []
        self.computing: list[int] = []
        self.stamps: list[tuple[int, str]] = []
        self.run: Run | None = None
        self.ended_ns = 0
        self._told_ns = 0
        self._heard = 0
        self._is_laid_out = False

    def ends(self) -> bool:
        """Whether the take is long over; tells what the process holds once a minute."""
        now_ns = time.perf_counter_ns()
        if now_ns - self._told_ns >= A_MINUTE_NS:
            self._told_ns = now_ns
            say(minutes=now_ns / A_MINUTE_NS, resident_mb=resident_mb())
        if self.run is not None and self.run.is_finished and not self.ended_ns:
            self.ended_ns = now_ns
            self.frames.is_counting = False  # the result is another screen
        return bool(self.ended_ns) and now_ns - self.ended_ns > AFTER_NS

    def follow(self, run: Run, messages: tuple[StampedMessage, ...], now_ns: int) -> tuple[SessionEvent, ...]:
        """`Run.update`, timed."""
        if self.run is not run:
            self.run = run
            say(zero_ns=run.zero_ns)
        elif not self._is_laid_out:
            self._is_laid_out = True
            self.frames.clear()  # the frame in which the whole line is laid out is no frame of playing
        self.stamps += [(message.stamp_ns, message.data.hex()) for message in messages]
        began = time.thread_time_ns()
        events = Run.update(run, messages, now_ns)
        spent, known_ns = time.thread_time_ns() - began, time.perf_counter_ns()
        if messages:
            self.computing.append(spent)
        for event in events:
            # The first verdict on each heard note, in the order in which they were heard.
            if isinstance(event, Match | WrongNote | Extra) and event.heard >= self._heard:
                self._heard = event.heard + 1
                onset = run.session.onsets[event.heard]
                if not onset.arrived_as_bend:
                    stamp_ns = run.session.note_ons[onset.event].stamp_ns
                    self.latencies.append(known_ns - run.zero_ns - stamp_ns)
        return events


def say(**fields: object) -> None:
    """One line of the answer."""
    sys.stdout.write(json.dumps(fields) + "\n")
    sys.stdout.flush()


def main() -> None:
    """Open the window, play through, answer."""
    order = json.loads(sys.stdin.readline())
    signal.alarm(order["lives_s"])
    found = Watched()

    class WatchedRun(Run):
        """The program's run, followed through the watch."""

        def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> tuple[SessionEvent, ...]:
            return found.follow(self, messages, now_ns)

    stations.Run = WatchedRun  # type: ignore[misc] # this process watches its own runs
    exercise = load_exercise(order["exercise"])
    plan = RunPlan(exercise, Tempo(Fraction(order["tempo"])), passes=order["passes"])
    station = stations.Station(
        order["port"],
        SilentSound("it is measured"),
        profile=STYLES["bend"].profile,
        takes_folder=Path(order["folder"]),
    )
    with watched(found.frames, found.ends):
        show(Rooms(station).practice(plan), station.poll, tuple(order["size"]))
    station.close()
    assert found.run is not None
    say(
        latencies=found.latencies,
        computing=found.computing,
        stamps=found.stamps,
        work=list(found.frames.work),
        processor=list(found.frames.processor),
        gaps=list(found.frames.gaps),
        matched=found.run.session.assessment().matched,
        written=len(found.run.exercise.notes),
        status=station.status,
    )


if __name__ == "__main__":
    main()
