"""A phrase played now, without a window: messages from a port until the player has finished.

Times inside are ns from the start of the capture, which is the first click of the count-in or, played freely, the
moment at which the port was opened. All that arrives is kept as a take while it is played, before anything is written
down, so that nothing is lost when the program is killed or the phrase is read by the wrong beat; a phrase has no line
that was to be played, so the one in its take holds no notes.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from math import ceil
from pathlib import Path
from typing import Protocol

from trainer import __version__
from trainer.capture.listening import PhraseListener, PhraseNote
from trainer.devices.recording import TakeWriter, quantised, take_path
from trainer.devices.sound import Sound
from trainer.following.verdict import Pace
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.playing.take import TakeHeader
from trainer.run import ON_ITS_WAY_NS, Keeper, NoKeeper
from trainer.score.exercise import Exercise
from trainer.score.limits import DEFAULT_QUARTERS_PER_MINUTE
from trainer.score.meter import Meter
from trainer.score.serial import exercise_to_dict
from trainer.score.tempo import Tempo
from trainer.sounds.click import render_click
from trainer.sounds.samples import mixed
from trainer.theory.tuning import Tuning

POLL_S = 0.002
NS_PER_SECOND = 1_000_000_000


class Input(Protocol):
    """What a phrase is heard through, e.g. a `Station`."""

    sound: Sound

    @property
    def profile(self) -> PickupProfile:
        """How it is read."""
        ...

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """What has arrived since the last poll, on the steady clock."""
        ...

    def announced(self) -> tuple[StampedMessage, ...]:
        """What the device has said before and still holds, stamped 0."""
        ...


@dataclass(frozen=True, slots=True)
class CapturePlan:
    """How a phrase is going to be played."""

    tuning: Tuning
    meter: Meter
    click: Tempo | None = None
    """None: it is played freely."""
    count_in_bars: int = 1
    longest_ns: int = 120 * NS_PER_SECOND
    """After the count-in."""
    silence_ns: int = 3 * NS_PER_SECOND
    """So long after the last note the phrase is over."""

    @property
    def starts_at_ns(self) -> int | None:
        """When the first beat after the count-in is due; None without a click."""
        return None if self.click is None else self.click.ns(self.count_in_bars * self.meter.bar_quarters)


def capture_phrase(
    source: Input,
    plan: CapturePlan,
    say: Callable[[str], None],
    *,
    keeper: Keeper | None = None,
    now_ns: Callable[[], int] = time.perf_counter_ns,
    rest: Callable[[float], None] = time.sleep,
) -> tuple[PhraseNote, ...]:
    """Listen until silence follows the last note, the time is up, or the player interrupts (Ctrl C).

    `keeper` is given all that is heard while it is heard, and closed at the end, whatever ends the phrase.
    """
    keeper = keeper or NoKeeper()
    source.poll(now_ns())  # what was played before does not belong to the phrase
    zero_ns = _start_click(source, plan, now_ns)
    listener = PhraseListener(source.profile, plan.tuning)
    for message in source.announced():
        keeper.keep(message._replace(stamp_ns=0))
        listener.feed(message._replace(stamp_ns=0))
    count_in_ns = plan.starts_at_ns or 0
    say("Play; Ctrl C or a silence ends." if plan.click is None else "Listen to the count-in, then play.")
    last_ns = elapsed_ns = 0
    try:
        while elapsed_ns < count_in_ns + plan.longest_ns and not _is_over(listener, elapsed_ns, plan):
            elapsed_ns = now_ns() - zero_ns
            for message in source.poll(now_ns()):
                stamp_ns = quantised(message.stamp_ns - zero_ns)
                if stamp_ns >= 0:
                    last_ns = max(last_ns, stamp_ns)
                    keeper.keep(message._replace(stamp_ns=last_ns))
                    listener.feed(message._replace(stamp_ns=last_ns))
            listener.advance(elapsed_ns - ON_ITS_WAY_NS)
            keeper.tick(elapsed_ns)
            rest(POLL_S)
    except KeyboardInterrupt:
        say("Interrupted; what was played by then is written down.")
    finally:
        source.sound.stop()
        keeper.close()
    return listener.finish()


def phrase_keeper(
    folder: Path, plan: CapturePlan, name: str, source: Input, input_name: str, when: datetime
) -> TakeWriter:
    """Keeps a phrase as a take in `folder`, with how it is played and no note that was to be played."""
    tempo = plan.click or Tempo(DEFAULT_QUARTERS_PER_MINUTE)
    line = Exercise(name=name, title=name, tuning=plan.tuning, tempo=tempo, notes=(), meter=plan.meter)
    header = TakeHeader(
        program=f"boxwalk {__version__}",
        date=when.isoformat(timespec="seconds"),
        exercise_name=name,
        exercise=exercise_to_dict(line),
        pace=(Pace.FREE if plan.click is None else Pace.CLICK).value,
        quarters_per_minute=tempo.quarters_per_minute,
        starts_at_ns=plan.starts_at_ns or 0,
        profile=source.profile,
        input=input_name,
    )
    return TakeWriter(take_path(folder, when, name), header)


def _start_click(source: Input, plan: CapturePlan, now_ns: Callable[[], int]) -> int:
    """Start what is to be heard; the moment at which the capture begins."""
    if plan.click is None or not source.sound.is_audible:
        return now_ns()
    length = Fraction(ceil(plan.click.quarters(plan.longest_ns)))
    click = render_click(plan.click, plan.meter, count_in_bars=plan.count_in_bars, length_quarters=length)
    return source.sound.start(mixed(click))


def _is_over(listener: PhraseListener, elapsed_ns: int, plan: CapturePlan) -> bool:
    last_ns = listener.last_onset_ns
    return last_ns is not None and elapsed_ns - max(last_ns, plan.starts_at_ns or 0) > plan.silence_ns
