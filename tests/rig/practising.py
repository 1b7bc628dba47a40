"""The practise command without a window, with a player who begins with its count-in."""

import json
import re
import subprocess
import sys

from .jack import ROOT
from .player import Player


def practised(player: Player, exercise_name: str, count_in_ns: int) -> tuple[dict, str]:  # type: ignore[type-arg] # JSON
    """One pass at 160 on the player's port: the judgement, and the words that were said meanwhile."""
    command = [sys.executable, "-m", "trainer", "practise", exercise_name, "--tempo", "160", "--passes", "1"]
    command += ["--headless", "--json", "-", "--silent", "--input", player.port]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stderr is not None
    words = ""
    while not (start := re.search(r"Quarter 0 falls at (\d+) ns", words)):
        word = process.stderr.readline()
        assert word, f"the command ended early: {words}"
        words += word
    player.start(int(start[1]) - count_in_ns)
    output, rest = process.communicate(timeout=60)
    assert process.returncode == 0, words + rest
    return json.loads(output), words + rest
