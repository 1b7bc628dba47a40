"""A JACK server without hardware, for tests that need real MIDI ports; its own name keeps it apart from any other."""

import os
import shutil
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Self

import pytest

ROOT = Path(__file__).parents[2]
STARTS_WITHIN_S = 10.0


def need(program: str) -> None:
    """Skip the test when a program is not installed; where everything must run (CI=true), fail."""
    if shutil.which(program) is None:
        message = f"{program} is not installed; .ci/run names the system packages"
        if os.environ.get("CI") == "true":
            pytest.fail(message)
        pytest.skip(message)


class JackServer:
    """Runs while its `with` block does; `environment` makes a process use it."""

    def __init__(self, name: str, log: Path) -> None:
        self.name = name
        self.environment = {"JACK_DEFAULT_SERVER": name, "JACK_NO_START_SERVER": "1"}
        self._log = log
        self._process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.stop()

    def start(self) -> None:
        """Start the server and wait until it takes clients."""
        need("jackd")
        with self._log.open("ab") as log:
            # -R and -S: without real time and synchronous mode some messages are lost
            command = ["jackd", "--name", self.name, "-R", "-S", "-d", "dummy", "-r", "48000", "-p", "128"]
            self._process = subprocess.Popen(command, stdout=log, stderr=log)
        deadline = time.monotonic() + STARTS_WITHIN_S
        while not self._takes_clients():
            if self._process.poll() is not None or time.monotonic() > deadline:
                self.stop()
                pytest.fail(f"jackd did not start:\n{self._log.read_text(errors='replace')}")
            time.sleep(0.05)

    def stop(self) -> None:
        """Stop the server, as a crash of it would."""
        if self._process is not None:
            self._process.terminate()
            with suppress(subprocess.TimeoutExpired):
                self._process.wait(5)
            if self._process.returncode is None:
                self._process.kill()
                self._process.wait()
            self._process = None

    def kill(self) -> None:
        """End the server without a word."""
        assert self._process is not None
        self._process.kill()
        self._process.wait()
        self._process = None

    def _takes_clients(self) -> bool:
        """Asked in a process of its own: a refused client harms the older ones of its process."""
        probe = [sys.executable, "-c", "import rtmidi; rtmidi.MidiIn(rtmidi.API_UNIX_JACK)"]
        return (
            subprocess.run(probe, env=os.environ | self.environment, capture_output=True, check=False).returncode == 0
        )


def run_python(arguments: list[str], environment: dict[str, str]) -> subprocess.Popen[str]:
    """A second Python process with pipes to write to and read from."""
    return subprocess.Popen(
        [sys.executable, *arguments],
        cwd=ROOT,
        env=os.environ | environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
