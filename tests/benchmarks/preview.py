"""From the command to the first sound: `python -m tests.benchmarks.preview`.

`boxwalk new LINE --hear` is started as a process of its own and timed, by the wall clock, up to the moment at which the
rendered line has been handed to the sound card; SDL's dummy driver stands for the card. Prints, asserts nothing.
"""

import os
import subprocess
import sys
import tempfile
import time
from statistics import median

LINES = (
    "A minor pentatonic, strings 1-2, positions 1 2 3 4 5, fours down",
    "E dorian, strings 1-6, positions 1, three notes a string, sixths up, sixteenths",
)
RUNS = 7
STARTED_S = "BOXWALK_STARTED_S"

_TIMED = """
import os, sys, time
from trainer.station import Station
hear = Station.hear
def timed(*arguments, **named):
    sounds = hear(*arguments, **named)
    print(f"{time.time() - float(os.environ['BOXWALK_STARTED_S']):.4f} {arguments[0].sound.is_audible}", flush=True)
    os._exit(0)
Station.hear = timed
from trainer.cli import main
main()
"""


def first_sound_s(line: str, folder: str) -> tuple[float, bool]:
    """How long it took, and whether something was rendered and played."""
    environment = os.environ | {"BOXWALK_DATA": folder, "SDL_AUDIODRIVER": "dummy", STARTED_S: str(time.time())}
    command = [sys.executable, "-c", _TIMED, "new", line, "--hear"]
    result = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stderr
    seconds, is_audible = result.stdout.split()[-2:]
    return float(seconds), is_audible == "True"


def main() -> None:
    """Print a line for each exercise."""
    with tempfile.TemporaryDirectory() as folder:
        for line in LINES:
            timed = [first_sound_s(line, folder) for _ in range(RUNS)]
            seconds = sorted(one for one, _ in timed)
            how = "played" if all(played for _, played in timed) else "no sound could be opened"
            figures = f"median {median(seconds):.2f} s, worst {seconds[-1]:.2f} s"
            sys.stdout.write(f"{line}: {figures} ({how})\n")


if __name__ == "__main__":
    main()
