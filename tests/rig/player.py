"""The handle by which a test holds the player process."""

import json
import subprocess
import time
from collections.abc import Sequence
from typing import NamedTuple

from trainer.playing.messages import StampedMessage

from .jack import JackServer, run_python
from .player_process import CLIENT_NAME


class PortChange(NamedTuple):
    """The port is taken away (None) or given back, perhaps under another name."""

    stamp_ns: int
    port_name: str | None


class Player:
    """A second process with a real port; the port exists when this is made, and nothing is played before `start`."""

    def __init__(self, server: JackServer, steps: Sequence[StampedMessage | PortChange], port_name: str) -> None:
        self.port = f"{CLIENT_NAME}:{port_name}"
        """The name by which others see the port."""
        self._process: subprocess.Popen[str] = run_python(["-m", "tests.rig.player_process"], server.environment)
        self._say({"port": port_name, "steps": [_step(step) for step in steps]})
        assert self._hear() == "ready"

    def start(self, at_ns: int | None = None) -> int:
        """Begin to play at a time on the steady clock (`time.perf_counter_ns`), by default now; tells that time."""
        starts_at_ns = time.perf_counter_ns() if at_ns is None else at_ns
        self._say(starts_at_ns)
        return starts_at_ns

    def play(self, steps: Sequence[StampedMessage | PortChange], at_ns: int | None = None) -> None:
        """Play something more, when what came before has been waited for."""
        self._say({"steps": [_step(step) for step in steps]})
        self.start(at_ns)
        self.sent_ns()

    def sent_ns(self) -> tuple[int, ...]:
        """Wait until all is played; when each message was really sent, on the steady clock."""
        return tuple(json.loads(self._hear()))

    def stop(self) -> None:
        """Take the port away for good."""
        try:
            self._process.communicate(timeout=5)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.communicate()

    def _say(self, order: object) -> None:
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(order) + "\n")
        self._process.stdin.flush()

    def _hear(self) -> str:
        assert self._process.stdout is not None
        line = self._process.stdout.readline().strip()
        assert line, f"the player process ended with {self._process.wait()}"
        return line


def _step(step: StampedMessage | PortChange) -> list[object]:
    if isinstance(step, PortChange):
        return [step.stamp_ns, None, step.port_name]
    return [step.stamp_ns, step.data.hex()]
