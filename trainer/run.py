"""A run: one take from the first click of the count-in to the last note of the last pass.

It joins a session to whatever gives messages, keeps them and makes the click, without knowing what these are. Stamps
and `now_ns` that come in are on the computer's steady clock; inside, times are ns from the start of the take.
"""

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Protocol

from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Jump, Match, Pace, WrongNote
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.playing.take import MOST_WRITTEN
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.session import Session, SessionEvent
from trainer.theory.naming import counted

# A message may carry a stamp this much older than the frame that sees it (a JACK period and its jitter: 2.8 ms were
# measured); time is told that much later, so that a verdict never depends on which frame a message fell into.
ON_ITS_WAY_NS = 6_000_000
AFTER_THE_END_NS = 600_000_000  # a last note held back by half a beat or tracked late still counts
FREE_END_NS = 2_000_000_000  # in free pace, this much silence after the last written note ends the run


@dataclass(frozen=True, slots=True)
class RunPlan:
    """What is going to be played, and how."""

    exercise: Exercise
    """One pass."""
    tempo: Tempo
    pace: Pace = Pace.CLICK
    passes: int = 1
    count_in_bars: int = 1
    hear_line: bool = False
    with_backing: bool = False
    stretch: tuple[int, int] | None = None
    """When `exercise` is an excerpt of a line written out pass after pass: its first and last note there."""
    contest: str = ""
    """When the run of a contest began that this is a pass of, ISO 8601; empty: it is of none."""
    turn: int = 0
    """Of a relay: which of its players plays this pass, counted from 1."""
    patience_ns: int = 120_000_000_000
    """In free pace, silence of this length before the last written note ends the run as well."""

    @property
    def count_in_ns(self) -> int:
        """How long the count-in lasts; in free pace there is none."""
        bars = self.count_in_bars if self.pace is Pace.CLICK else 0
        return self.tempo.ns(bars * self.exercise.meter.bar_quarters)

    def that_fits(self) -> "RunPlan":
        """The same, with no more passes than one take can hold; at least one."""
        most = max(1, MOST_WRITTEN // max(1, len(self.exercise.notes)))
        return self if self.passes <= most else replace(self, passes=most)

    def at_tempo(self, quarters_per_minute: Fraction) -> "RunPlan":
        """The same at another tempo."""
        return replace(self, tempo=Tempo(quarters_per_minute))


class Keeper(Protocol):
    """Keeps what arrives, e.g. a take file."""

    @property
    def path(self) -> Path | None:
        """Where it is kept."""
        ...

    @property
    def trouble(self) -> str | None:
        """A sentence when keeping fails; the run goes on."""
        ...

    def keep(self, message: StampedMessage) -> None:
        """Keep one message, stamped in ns from the start of the take."""
        ...

    def tick(self, now_ns: int) -> None:
        """Time passes: write what is waiting, if it is time to."""
        ...

    def close(self) -> None:
        """The take is over."""
        ...


class NoKeeper:
    """Keeps nothing: for replays."""

    path: Path | None = None
    trouble: str | None = None

    def keep(self, message: StampedMessage) -> None:
        """Let it pass."""

    def tick(self, now_ns: int) -> None:
        """Nothing waits."""

    def close(self) -> None:
        """Nothing is open."""


class Run:
    """One take in progress."""

    def __init__(
        self,
        plan: RunPlan,
        *,
        zero_ns: int,
        profile: PickupProfile,
        keeper: Keeper | None = None,
        preamble: tuple[StampedMessage, ...] = (),
        quantise: Callable[[int], int] = lambda stamp_ns: stamp_ns,
        stop_sound: Callable[[], None] = lambda: None,
        at_end: Callable[["Run"], None] = lambda run: None,  # noqa: ARG005 - whoever wants to know gets the run
        tolerance: Tolerance | None = None,
    ) -> None:
        self.plan = plan
        self.exercise = plan.exercise.repeated(plan.passes)
        self.pass_length = len(plan.exercise.notes)
        self.zero_ns = zero_ns
        self.starts_at_ns = zero_ns + plan.count_in_ns
        self.is_finished = False
        self._keeper = keeper or NoKeeper()
        self._quantise = quantise
        self._stop_sound = stop_sound
        self._at_end = at_end
        self._last_message_ns = 0
        self._followed_quarters = Fraction(0)
        self._followed_at_ns = 0
        self.session = Session(
            self.exercise,
            pace=plan.pace,
            tempo=plan.tempo,
            starts_at_ns=plan.count_in_ns,
            profile=profile,
            tolerance=tolerance,
            pass_length=self.pass_length,
            keeps_account=True,
        )
        for message in preamble:
            self._take_in(message._replace(stamp_ns=0))

    @property
    def take_path(self) -> Path | None:
        """Where the take is kept."""
        return self._keeper.path

    @property
    def trouble(self) -> str | None:
        """A sentence when the take cannot be kept, or the pickup sends what its profile does not name."""
        strange = self.session.oddities.get("note on an unknown channel", 0)
        if self._keeper.trouble is None and strange:
            notes = counted(strange, "note")
            return f"{notes} on channels that the pickup's profile does not name: set the pickup up (F2)."
        return self._keeper.trouble

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> tuple[SessionEvent, ...]:
        """What the new messages and the passing of time tell; ends the run when its line is over."""
        if self.is_finished:
            return ()
        events: list[SessionEvent] = []
        for message in messages:
            stamp_ns = self._quantise(message.stamp_ns - self.zero_ns)
            if stamp_ns >= 0:
                events.extend(self._take_in(message._replace(stamp_ns=max(stamp_ns, self._last_message_ns))))
        elapsed_ns = self._quantise(now_ns - self.zero_ns)
        events.extend(self._followed(self.session.advance(elapsed_ns - ON_ITS_WAY_NS)))
        self._keeper.tick(elapsed_ns)
        if elapsed_ns > self._end_ns():
            events.extend(self.session.stop(elapsed_ns))
            self._close()
        return tuple(events)

    def finish(self, now_ns: int) -> tuple[SessionEvent, ...]:
        """Stop here: settle what was played, leave open what was still ahead, keep the take, be silent."""
        if self.is_finished:
            return ()
        elapsed_ns = self._quantise(now_ns - self.zero_ns)
        events = self.session.stop(elapsed_ns)
        self._keeper.tick(elapsed_ns)
        self._close()
        return events

    def _close(self) -> None:
        self.is_finished = True
        self._keeper.close()
        self._stop_sound()
        self._at_end(self)

    def score_quarters(self, now_ns: int) -> float:
        """Where *now* stands on the written line, in quarters, negative in the count-in.

        With the click this is the clock; in free pace it is the last note followed, moving on at the written tempo up
        to the next written note and waiting there.
        """
        elapsed_ns = now_ns - self.zero_ns
        if self.plan.pace is Pace.CLICK:
            return float(self.session.score_quarters(elapsed_ns))
        moved = self._followed_quarters + self.plan.tempo.quarters(elapsed_ns - self._followed_at_ns)
        return float(min(moved, self._next_quarters()))

    def _take_in(self, message: StampedMessage) -> tuple[SessionEvent, ...]:
        self._last_message_ns = message.stamp_ns
        self._keeper.keep(message)
        return self._followed(self.session.feed(message))

    def _followed(self, events: tuple[SessionEvent, ...]) -> tuple[SessionEvent, ...]:
        for event in events:
            match event:
                case Match(index=index, onset_ns=onset_ns) | WrongNote(index=index, onset_ns=onset_ns):
                    if onset_ns >= self._followed_at_ns:
                        self._followed_quarters = self.exercise.notes[index].onset_quarters
                        self._followed_at_ns = onset_ns
                case Jump(to_index=index):
                    self._followed_quarters = self.exercise.notes[index].onset_quarters
                case _:
                    pass
        return events

    def _next_quarters(self) -> Fraction:
        notes = self.exercise.notes
        after = bisect_right(notes, self._followed_quarters, key=lambda note: note.onset_quarters)
        return notes[after].onset_quarters if after < len(notes) else self.exercise.length_quarters

    def _end_ns(self) -> int:
        last = self.exercise.notes[-1]
        if self.plan.pace is Pace.CLICK:
            end_quarters = max(self.exercise.length_quarters, last.onset_quarters + last.duration_quarters)
            return self.plan.count_in_ns + self.plan.tempo.ns(end_quarters) + AFTER_THE_END_NS
        is_through = self.session.ledger.of_written(len(self.exercise.notes) - 1) is not None
        return self._last_message_ns + (FREE_END_NS if is_through else self.plan.patience_ns)
