"""A phrase played into a real port by another process, written down by the command."""

import re
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.builders import line, played
from trainer.score.library import load_exercise

from .conftest import PlayThrough
from .jack import ROOT, JackServer

pytestmark = pytest.mark.rig


def test_a_phrase_played_freely_over_a_port_is_written_down(
    jack_server: JackServer,  # noqa: ARG001 - the command finds it by its environment
    play_through: PlayThrough,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    exercise = line("two-gates", tempo=160)
    player = play_through(played(exercise))
    command = [sys.executable, "-m", "trainer", "capture", "--input", player.port, "--tempo", "160", "--save", "caught"]

    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stderr is not None
        words = ""
        while "Play;" not in words:
            word = process.stderr.readline()
            assert word, f"the command ended early: {words}"
            words += word
        player.start(time.perf_counter_ns())
        output, rest = process.communicate(timeout=60)

    assert process.returncode == 0, words + rest
    assert re.search(r"Tempo: 1(59|60)\.\d quarters a minute", output)
    found = load_exercise(str(tmp_path / "exercises" / "caught.toml"))
    assert [(note.onset_quarters, note.location) for note in found.notes] == [
        (note.onset_quarters, note.location) for note in exercise.notes
    ]
    (take,) = (tmp_path / "takes").glob("*.mid")
    again = subprocess.run(
        [sys.executable, "-m", "trainer", "capture", "--from", take.stem, "--tempo", "160", "--save", "again"],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    assert b"Kept as" in again.stdout
    assert load_exercise(str(tmp_path / "exercises" / "again.toml")).notes == found.notes
