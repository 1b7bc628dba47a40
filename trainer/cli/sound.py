"""`boxwalk sound`: where the sound is heard, and how late."""

import time
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import click

from trainer.cli.complaint import Complaint
from trainer.cli.source import source_named

if TYPE_CHECKING:
    from trainer.devices.outputs import Outlet
    from trainer.devices.remembered import Memory
    from trainer.devices.seat import Source
    from trainer.playing.calibration.output_offset import OffsetTaps
    from trainer.playing.profile import PickupProfile

POLL_S = 0.005
FIRST = "first"
HABIT = (
    "Most people play 10 to 50 ms ahead of a click: an output may be that much later still. By ear: F3 on its screen."
)


@click.command()
@click.option("--output", metavar="NAME", help=f"Be heard there from now on; `{FIRST}`: the first that opens.")
@click.option("--offset", type=float, metavar="MS", help="It is heard so much later than the system knows.")
@click.option("--tap", is_flag=True, help="Find the offset: play a note on each click, on any string.")
@click.option("--input", "input_name", metavar="PORT", help="With --tap: which MIDI port. Default: the first.")
def sound(output: str | None, offset: float | None, input_name: str | None, *, tap: bool) -> None:
    """Name the outputs; choose one and say, or find, how late it is heard. All of it is remembered."""
    from trainer.devices.outputs import output_named, remembered_sound
    from trainer.devices.remembered import Memory
    from trainer.devices.sound_desk import SoundDesk

    memory = Memory()
    if memory.trouble:
        click.echo(memory.trouble, err=True)
    try:
        name = None if output is None else "" if output == FIRST else output_named(output)
    except ValueError as error:
        raise Complaint(str(error)) from error
    if name is not None:
        memory.keep_sound(replace(memory.sound, output=name))
    outlet = remembered_sound(memory)
    try:
        desk = SoundDesk(outlet, memory)
        if offset is not None:
            if not outlet.is_audible:
                raise Complaint(f"{outlet.status}. There is nothing to correct.")
            desk.keep_offset(offset)
        if tap:
            found_ms = _tap(outlet, input_name, memory)
            if found_ms is not None:
                desk.keep_offset(found_ms)
    except ValueError as error:
        raise Complaint(str(error)) from error
    finally:
        outlet.close()
    for line in status_lines(outlet, memory):
        click.echo(line)


def status_lines(outlet: "Outlet", memory: "Memory") -> list[str]:
    """The outputs, the chosen one marked, and how things stand."""
    from trainer.devices.outputs import FIRST_THAT_OPENS, output_names

    chosen = memory.sound.output
    names = ("", *output_names(), *((chosen,) if chosen and chosen not in output_names() else ()))
    lines = ["outputs"]
    for name in names:
        offset_ms = memory.sound.offsets_ms.get(name)
        known = "" if offset_ms is None else f", {offset_ms:+g} ms"
        absent = "" if name in ("", *output_names()) else ", not there now"
        lines.append(f"{'*' if name == chosen else ' '} {name or FIRST_THAT_OPENS}{known}{absent}")
    return [*lines, f"{outlet.status}.", *([memory.trouble] if memory.trouble else [])]


def _tap(outlet: "Outlet", input_name: str | None, memory: "Memory") -> float | None:
    """The offset that the taps say; None when they were left off."""
    from trainer.playing.profile import PickupProfile

    if not outlet.is_audible:
        raise Complaint(f"{outlet.status}. There is nothing to play to.")
    source = source_named(input_name)
    try:
        return tapped_offset(outlet, source, memory.profile_of(source.name) or PickupProfile(), click.echo)
    finally:
        source.close()


def tapped_offset(
    outlet: "Outlet",
    source: "Source",
    profile: "PickupProfile",
    say: Callable[[str], None],
    *,
    clock_ns: Callable[[], int] = time.perf_counter_ns,
    sleep: Callable[[float], None] = time.sleep,
) -> float | None:
    """Let the click sound, listen until the taps say enough; the offset, or None when it was left off (Ctrl C)."""
    from trainer.devices.tap_click import start_tap_click
    from trainer.playing.calibration.output_offset import OffsetTaps
    from trainer.theory.tuning import TUNINGS

    source.poll(clock_ns())  # what was played before is no tap
    taps = OffsetTaps(profile, TUNINGS["standard"], start_tap_click(outlet))
    said = ""
    try:
        while not taps.is_finished:
            for message in source.poll(clock_ns()):
                taps.feed(message)
            if taps.words != said:
                said = taps.words
                say(said)
            sleep(POLL_S)
    except KeyboardInterrupt:
        say("Left off; nothing was changed.")
        return None
    finally:
        outlet.stop()
    return _offset_of(taps, outlet, say)


def _offset_of(taps: "OffsetTaps", outlet: "Outlet", say: Callable[[str], None]) -> float | None:
    from trainer.devices.remembered import MOST_OFFSET_MS

    fit = taps.fit
    if fit is None:
        return None
    offset_ms = float(round(outlet.offset_ms + fit.median_ms))
    if abs(offset_ms) > MOST_OFFSET_MS:
        say(f"{offset_ms:+.0f} ms is more than can be; nothing was changed.")
        return None
    say(f"{outlet.name}: {offset_ms:+.0f} ms from now on. {HABIT}")
    return offset_ms
