"""Targets: what is played. MIDI as a driver hands it over, and takes."""

import json
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

from tests.builders import played
from tests.fuzzing.bending import Edit, bent_json
from tests.fuzzing.bending_midi import Driven, bent_midi_file
from tests.fuzzing.reading import lines
from tests.homework.builders import LINE, take_of
from trainer.devices.converter_style import STYLES
from trainer.devices.recording import list_takes, quantised
from trainer.history.judged import heard_over
from trainer.history.store import take_file_of
from trainer.judging import judgement
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.playing.stamps import StampAnchor
from trainer.run import Run, RunPlan

NS_PER_SECOND = 1_000_000_000
ZERO_NS = 77 * NS_PER_SECOND


# MIDI as a driver hands it over, from the stamps to what is said of the take.


@cache
def streams() -> tuple[tuple[Driven, ...], ...]:
    """A short line through several converters."""
    short = replace(lines()[0], name="short").excerpt(0, 11)
    found = []
    for style in ("bend", "mpe", "one-channel", *sorted(STYLES)[:3]):
        if style in STYLES:
            messages = played(short, "string 3, miss 7" if style == "mpe" else "", style=STYLES[style])
            found.append(_driven(messages))
    return tuple(found)


def _driven(messages: Sequence[StampedMessage]) -> tuple[Driven, ...]:
    before_ns = 0
    driven = []
    for message in messages:
        driven.append(Driven(1_000_000, (message.stamp_ns - before_ns) / NS_PER_SECOND, message.data))
        before_ns = message.stamp_ns
    return tuple(driven)


def hear(stream: tuple[Driven, ...], _folder: Path) -> None:
    """What a run does with it: nothing may be raised, and the judgement is JSON whatever came."""
    anchor, counted_ns = StampAnchor(), ZERO_NS
    exercise = lines()[0]
    run = Run(RunPlan(exercise, exercise.tempo), zero_ns=ZERO_NS, profile=PickupProfile(), quantise=quantised)
    before_ns = ZERO_NS
    for late_ns, delta_s, data in stream:
        if 0 <= delta_s < 1e6:
            counted_ns += round(delta_s * NS_PER_SECOND)
        now_ns = max(before_ns, counted_ns + late_ns)
        stamp_ns = anchor.stamp(now_ns, delta_s)
        assert stamp_ns <= now_ns
        run.update((StampedMessage(stamp_ns, data),) if data else (), now_ns)
        before_ns = now_ns
    run.finish(before_ns + NS_PER_SECOND)
    json.dumps(judgement(run.session), allow_nan=False)


# Takes: a file of ours with its header, judged as the history judges it.


@cache
def takes() -> tuple[bytes, ...]:
    """Takes of a short line, whole, a stretch, at the player's own pace."""
    short = LINE.excerpt(0, 9)
    return (
        take_of(short, passes=1),
        take_of(short, passes=2, faults="miss 3, late 5 40"),
        take_of(short, passes=1, pace="free", player="Ana", seed=None),
        take_of(short, passes=1, first_note=0, last_note=9),
    )


def bent_take(data: bytes, edit: Edit, seeds: Sequence[bytes]) -> bytes:
    """The header's JSON, or the events."""
    start = data.find(b'{"boxwalk_take"')
    if edit.kind % 2 or start < 0:
        return bent_midi_file(data, edit._replace(kind=edit.kind // 2), seeds)
    try:
        _, length = json.JSONDecoder().raw_decode(data[start:].decode("latin-1"))
    except ValueError:
        return bent_midi_file(data, edit._replace(kind=edit.kind // 2), seeds)
    header = data[start : start + length].decode("latin-1")
    bent = bent_json(header, edit._replace(kind=edit.kind // 2), [header]).replace(
        '"boxwalk_take": ', '"boxwalk_take":'
    )
    text = bent.encode("utf-8", "surrogatepass")
    body = data[22:start].rstrip(bytes(range(0x80, 0x100)))
    body = body[: body.rfind(b"\xff\x01") + 2] + _quantity(len(text)) + text + data[start + length :]
    return data[:18] + len(body).to_bytes(4) + body


def _quantity(value: int) -> bytes:
    """A variable-length quantity of four bytes."""
    return bytes((value >> shift & 0x7F) | (0x80 if shift else 0) for shift in (21, 14, 7, 0))


def judge(data: bytes, folder: Path) -> None:
    """What the history and the list of takes do with a file that lies in the folder of takes."""
    path = folder / "take.mid"
    path.write_bytes(data)
    assert len(list_takes(folder)) == 1
    kept = take_file_of("take.mid", data)
    heard_over(kept.take, kept.header)
