"""Plays given bytes into a virtual MIDI output port, on schedule: the pickup of the rig, a process of its own.

Standard input: one JSON line with `port` (its name) and `steps`, a list of [ns from the start, "903c40"] for a message
or [ns, null, name] for the port being given another name, null for taken away; then a line with the start on the
computer's steady clock in ns. Standard output: `ready` when the port exists, then one JSON line with the times at which
the messages were really sent. Then more of such pairs of lines may come, without `port`. The port stays until standard
input ends.
"""

import json
import signal
import sys
import time
from typing import Any

import rtmidi

CLIENT_NAME = "rig"
LIVES_AT_MOST_S = 120  # beside what it plays: a test that waits for this process must not wait for ever


def open_port(name: str | None) -> rtmidi.MidiOut | None:
    if name is None:
        return None
    out = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=CLIENT_NAME)
    out.open_virtual_port(name)
    return out


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def main() -> None:
    signal.alarm(LIVES_AT_MOST_S)
    order = json.loads(sys.stdin.readline())
    out = open_port(order["port"])
    say("ready")
    out = play(order["steps"], out)
    while line := sys.stdin.readline():
        out = play(json.loads(line)["steps"], out)
    if out is not None:
        out.delete()


def play(steps: list[list[Any]], out: rtmidi.MidiOut | None) -> rtmidi.MidiOut | None:
    lasts_s = max((step[0] for step in steps), default=0) / 1e9
    signal.alarm(LIVES_AT_MOST_S + round(lasts_s))
    starts_at_ns = int(sys.stdin.readline() or 0)
    sent_ns = []
    for at_ns, message, *names in steps:
        time.sleep(max(0, starts_at_ns + at_ns - time.perf_counter_ns()) / 1e9)
        if message is None:
            if out is not None:
                out.delete()
            out = open_port(names[0])
        elif out is not None:
            sent_ns.append(time.perf_counter_ns())
            out.send_message(bytes.fromhex(message))
    time.sleep(0.05)  # the server fetches what was sent last
    say(json.dumps(sent_ns))
    return out


if __name__ == "__main__":
    main()
