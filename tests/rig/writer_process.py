"""Keeps a take as fast as it can, until it is killed: argument 1 is the path, argument 2 the ns between messages.

Standard output: how many messages have been kept and ticked, a line for every `SAID_EVERY`.
"""

import sys
from fractions import Fraction
from itertools import count
from pathlib import Path

from trainer.devices.recording import TakeWriter, quantised
from trainer.playing.messages import StampedMessage
from trainer.playing.take import TakeHeader

HEADER = TakeHeader(
    program="rig",
    date="2026-11-25T14:03:22",
    exercise_name="two-gates",
    exercise={"name": "two-gates"},
    pace="free",
    quarters_per_minute=Fraction(100),
)


SAID_EVERY = 8


def message(index: int, step_ns: int) -> StampedMessage:
    return StampedMessage(quantised(index * step_ns), bytes((0x90, index % 128, 1 + index // 128 % 127)))


def main() -> None:
    writer = TakeWriter(Path(sys.argv[1]), HEADER)
    step_ns = int(sys.argv[2])
    for index in count():
        writer.keep(message(index, step_ns))
        writer.tick(index * step_ns)
        if index % SAID_EVERY == 0:
            sys.stdout.write(f"{index + 1}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
