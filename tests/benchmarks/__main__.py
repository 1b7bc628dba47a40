"""`python -m tests.benchmarks [--json] [NAME...]`: what the house wants to reach, and what it reaches on this machine.

Each row is a name, a figure, its unit, the goal and whether it is met; nothing is asserted. Without a name all quick
rows are measured by short ways, in a couple of minutes; those that are named are measured at full length. What cannot
be measured here says why. `soak --minutes 20` plays in real time.

`python -m tests.benchmarks --takes N [--seed S] [--only WORD] [--live-only]` prints the table of the follower instead
(`tests.benchmarks.following`). Others of this folder print more of one thing each: `ear`, `beats`, `coach`, `tempo`,
`history`, `preview`, `sound`.
"""

import argparse
from difflib import get_close_matches
from functools import partial

from tests.benchmarks import coaching, drawing, following, judging, keeping, large, ports, soaking, starting
from tests.benchmarks.figures import Measurement, Way, report

MEASUREMENTS = (
    Measurement("library", "the library", judging.library),
    Measurement("event", "what an event costs", judging.event),
    Measurement("bends", "a flood of bends", judging.bends),
    Measurement("frame", "frames without a screen", drawing.frame),
    Measurement("start", "the command to its first frame", starting.first_frame),
    Measurement("judge", "boxwalk judge", starting.judge),
    Measurement("preview", "boxwalk new --hear", starting.preview),
    Measurement("ports", "a line over a JACK port", ports.ports),
    Measurement("port-bends", "bends over a JACK port", ports.port_bends, is_quick=False),
    Measurement("stamps", "stamps after two hours", ports.stamp_drift),
    Measurement("history", "the history", keeping.history),
    Measurement("rejudge", "judging again", keeping.rejudged),
    Measurement("collect", "homework collected", starting.collect),
    Measurement("long-line", "a line of 5,000 notes", large.long_exercise, is_quick=False),
    Measurement("large-library", "thousands of files", large.large_library, is_quick=False),
    Measurement("long-sitting", "hundreds of takes", large.long_sitting, is_quick=False),
    Measurement("day", "eight hours on an accelerated clock", soaking.day, is_quick=False),
    Measurement("coach", "the coach", coaching.coach),
    Measurement("tempo", "the working tempo", coaching.tempo),
    Measurement("follower", "the follower's shares", judging.follower),
)
SOAK = "soak"
BY_NAME = {measurement.name: measurement for measurement in MEASUREMENTS}


def main() -> None:
    """Measure what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join([*BY_NAME, SOAK]))
    parser.add_argument("--minutes", type=float, default=20.0, help="How long `soak` plays, in real time.")
    parser.add_argument("--json", action="store_true", help="All rows as JSON.")
    parser.add_argument("--takes", type=int, help="The table of the follower, with so many takes a row.")
    parser.add_argument("--seed", type=int, help="Of its takes.")
    parser.add_argument("--only", metavar="WORD", help="Its rows that have this word.")
    parser.add_argument("--live-only", action="store_true", help="Nothing beside the follower.")
    asked = parser.parse_args()
    by_name = BY_NAME | {SOAK: Measurement(SOAK, "a take in real time", partial(ports.soak, minutes=asked.minutes))}
    for name in asked.names:
        if name not in by_name:
            near = get_close_matches(name, by_name, n=1)
            parser.error(f"there is no row {name!r}; nearest: {near[0]}" if near else f"rows are {', '.join(by_name)}")
    if asked.live_only or any(option is not None for option in (asked.takes, asked.seed, asked.only)):
        following.table(asked.takes or 24, asked.seed or 1, asked.only or "", is_live_only=asked.live_only)
        return
    chosen = [by_name[name] for name in asked.names] or [one for one in MEASUREMENTS if one.is_quick]
    report(chosen, Way.WHOLE if asked.names else Way.SHORT, as_json=asked.json)


if __name__ == "__main__":
    main()
