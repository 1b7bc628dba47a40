"""Listens to a MIDI port as the program does, once a frame, until standard input ends; argument 1 names the port.

Standard output: one JSON line for each status when it changes, `{"status": "..."}`, for each message,
`{"stamp_ns": 1, "data": "903c40"}`, and at the end the ports that there are, `{"ports": []}`;
then it chooses the same port once more before it leaves the first one.
"""

import json
import signal
import sys
import threading
import time
from contextlib import suppress

from trainer.devices.midi_drivers import MidiInputError, input_names
from trainer.devices.midi_input import MidiInput

FRAME_S = 1 / 60
LIVES_AT_MOST_S = 120  # a test that waits for this process must not wait for ever


def say(**fields: object) -> None:
    sys.stdout.write(json.dumps(fields) + "\n")
    sys.stdout.flush()


def main() -> None:
    signal.alarm(LIVES_AT_MOST_S)
    midi_input = MidiInput(sys.argv[1])
    is_over = threading.Event()

    def wait_for_the_end() -> None:
        sys.stdin.read()
        is_over.set()

    threading.Thread(target=wait_for_the_end, daemon=True).start()
    status = ""
    while not is_over.is_set():
        messages = midi_input.poll(time.perf_counter_ns())
        for message in messages:
            say(stamp_ns=message.stamp_ns, data=message.data.hex())
        if midi_input.status != status:
            status = midi_input.status
            say(status=status)
        time.sleep(FRAME_S)
    say(ports=input_names())
    with suppress(MidiInputError):
        MidiInput(sys.argv[1]).close()
    midi_input.close()


if __name__ == "__main__":
    main()
