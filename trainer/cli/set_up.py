"""`boxwalk set-up`: learn what a pickup sends, one step after the other, and remember it."""

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from trainer.cli.complaint import Complaint
from trainer.cli.source import source_named

if TYPE_CHECKING:
    from trainer.devices.remembered import Memory
    from trainer.devices.seat import Source
    from trainer.devices.sound import Sound
    from trainer.playing.calibration.guide import Guide

POLL_S = 0.005
NO_SOUND = "Latency is learned from notes played to a click, and none can be heard. {} The latency stays as it was."
CLICK_KEYS = "Ctrl C, once every string has had its two bars: that will do."


@click.command("set-up")
@click.option("--input", "input_name", metavar="PORT", help="Which MIDI port. Default: the first.")
@click.option(
    "--steps", default="strings,bend,latency", show_default=True, help="What to learn; the rest stays as it was."
)
@click.option("--tuning", "tuning_name", default="standard", show_default=True, help="How the strings are tuned.")
def set_up(input_name: str | None, steps: str, tuning_name: str) -> None:
    """Learn what a pickup sends: its channels, its bend range and how late it is.

    Takes a minute or two, and is remembered for the device. Tune first; listen to the guitar and to the click, not to
    a synthesizer.
    """
    from trainer.devices.outputs import remembered_sound
    from trainer.devices.remembered import Memory
    from trainer.devices.sound import SilentSound
    from trainer.playing.calibration.guide import Guide, StepName, steps_named
    from trainer.theory.tuning import tuning_named

    try:
        wanted, tuning = steps_named(steps), tuning_named(tuning_name)
    except ValueError as error:
        raise Complaint(str(error)) from error
    source = source_named(input_name)
    memory = Memory()
    sound = remembered_sound() if StepName.LATENCY in wanted else SilentSound("it is not needed")
    guide = Guide(tuning, memory.profile_of(source.name), wanted)
    try:
        lead(guide, source, sound, click.echo)
        keep(guide, source.name, memory, click.echo)
    except KeyboardInterrupt:
        click.echo("\nLeft off; nothing was changed.")
    finally:
        source.close()
        sound.close()


def lead(
    guide: "Guide",
    source: "Source",
    sound: "Sound",
    say: Callable[[str], None],
    *,
    clock_ns: Callable[[], int] = time.perf_counter_ns,
    sleep: Callable[[float], None] = time.sleep,
) -> None:
    """Go through the steps; `KeyboardInterrupt` leaves the guide unfinished, except when the hits are enough."""
    teller = _Teller(say)
    while not guide.is_finished:
        try:
            now_ns = clock_ns()
            for message in source.poll(now_ns):
                guide.feed(message)
            guide.advance(now_ns)
            teller.tell(guide, source.status)
            _let_click(guide, sound, say)
            sleep(POLL_S)
        except KeyboardInterrupt:
            from trainer.playing.calibration.latency import LatencyStep

            if not isinstance(guide.step, LatencyStep) or guide.step.fit is None:
                raise
            guide.enough()
    sound.stop()
    teller.tell(guide, source.status)


def keep(guide: "Guide", device: str, memory: "Memory", say: Callable[[str], None]) -> None:
    """Remember what was learned, if anything was."""
    from trainer.devices.remembered import learned_by

    if not guide.learned:
        say(f"Nothing was learned of {device}; nothing was changed.")
        return
    memory.keep_device(device, learned_by(guide))
    if memory.trouble:
        say(memory.trouble)
    else:
        say(f"Kept for {device}, and used from now on whenever it is chosen. `boxwalk listen` shows what it does.")


def _let_click(guide: "Guide", sound: "Sound", say: Callable[[str], None]) -> None:
    from trainer.devices.latency_click import start_latency_click
    from trainer.playing.calibration.latency import LatencyStep

    if not isinstance(guide.step, LatencyStep) or not guide.step.wants_click:
        return
    if not sound.is_audible:
        say(NO_SOUND.format(sound.status + "."))
        guide.enough()
        return
    say(f"{sound.status}. {CLICK_KEYS}")
    guide.step.start(start_latency_click(sound, guide.step.most_bars))


class _Teller:
    """Says what is new, once."""

    def __init__(self, say: Callable[[str], None]) -> None:
        self._say = say
        self._said: dict[str, str] = {}
        self._told = 0

    def tell(self, guide: "Guide", status: str) -> None:
        """Say the input's status, what was heard, what was learned and what to do now, where they have changed."""
        self._new("status", status)
        self._new("remark", guide.remark, indent="    ")
        sentences = [sentence for findings in guide.findings.values() for sentence in findings]
        for sentence in sentences[self._told :]:
            self._say(f"  * {sentence}")
        self._told = len(sentences)
        self._new("prompt", guide.prompt)

    def _new(self, kind: str, words: str, indent: str = "") -> None:
        if words != self._said.get(kind):
            self._said[kind] = words
            if words:
                self._say(indent + words)
