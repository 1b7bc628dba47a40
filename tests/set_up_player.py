"""A player who does what a set-up asks, on a simulated converter: a source of messages that watches the guide."""

import random
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, field

from trainer.devices import wire
from trainer.devices.converter import convert
from trainer.devices.converter_style import ConverterStyle
from trainer.devices.performer import Gesture
from trainer.playing.calibration.bend import BendStep
from trainer.playing.calibration.guide import Guide
from trainer.playing.calibration.latency import BEAT_NS, BEATS_A_BAR, COUNT_IN_BARS, LatencyStep
from trainer.playing.calibration.strings import StringStep
from trainer.playing.messages import StampedMessage
from trainer.theory.technique import Technique

MS = 1_000_000
TICK_NS = 10 * MS
PONDERS_NS = 500 * MS
LONGEST_NS = 400_000 * MS
TRICKY = ConverterStyle(
    channel_of_course=(16, 15, 14, 13, 12, 11),
    bend_range_semitones=24,
    announces_range=False,
    latency_ns=3 * MS,
    latency_cycles=2.0,
    latency_sd_ns=600_000,
)
"""A device that is like no profile: channels the other way round, another bend range, late by string."""


@dataclass(slots=True)
class SetUpPlayer:
    """Reads the guide's requests and answers them after a moment."""

    guide: Guide
    style: ConverterStyle
    seed: int = 1
    timing_sd_ns: int = 0
    bias_ns: int = 0
    drift_ns_a_beat: float = 0.0
    late_on_course_ns: dict[int, int] = field(default_factory=dict)
    status: str = "A simulated player is set up."
    _rng: random.Random = field(init=False)
    _waiting: list[StampedMessage] = field(default_factory=list)
    _ready_ns: int = 0
    _is_clicked: bool = False

    def __post_init__(self) -> None:
        self._rng = random.Random(f"set-up {self.seed}")

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """What has arrived by then."""
        until = bisect_right(self._waiting, now_ns, key=lambda message: message.stamp_ns)
        arrived, self._waiting = tuple(self._waiting[:until]), self._waiting[until:]
        if not self._waiting and now_ns >= self._ready_ns:
            self._play(self._asked(now_ns), now_ns)
        return arrived

    def _asked(self, now_ns: int) -> list[Gesture]:
        at_ns = now_ns + 200 * MS
        match self.guide.step:
            case StringStep(asked=(course, fret)):
                return [self._pluck(at_ns, at_ns + 600 * MS, course, fret)]
            case BendStep(fret=fret):
                arrives_ns = at_ns + 400 * MS
                return [
                    self._pluck(at_ns, arrives_ns, 5, 0),
                    Gesture(
                        arrives_ns, arrives_ns + 1000 * MS, 5, fret, Technique.HAMMER, self._velocity(), from_fret=0
                    ),
                ]
            case LatencyStep() as step if step.plan is not None and not self._is_clicked:
                self._is_clicked = True
                return [self._hit(step, beat) for beat in range(step.most_bars * BEATS_A_BAR)]
        return []

    def _hit(self, step: LatencyStep, beat: int) -> Gesture:
        assert step.plan is not None
        course = step.plan.course_of_beat(beat)
        habit_ns = self.bias_ns + self.late_on_course_ns.get(course, 0) + round(beat * self.drift_ns_a_beat)
        onset_ns = step.plan.starts_at_ns + beat * BEAT_NS + habit_ns + round(self._rng.gauss(0, 1) * self.timing_sd_ns)
        return self._pluck(onset_ns, onset_ns + 300 * MS, course, 0)

    def _pluck(self, onset_ns: int, release_ns: int, course: int, fret: int) -> Gesture:
        return Gesture(onset_ns, release_ns, course, fret, Technique.PICK, self._velocity())

    def _velocity(self) -> int:
        return self._rng.randint(70, 100)

    def _play(self, gestures: list[Gesture], now_ns: int) -> None:
        if gestures:
            messages = convert(gestures, self.guide.tuning, self.style, self._rng)
            last_ns = max(message.stamp_ns for message in messages)
            if self.style.sends_bends:  # each conversion starts from unbent strings
                channels = {self.style.channel_of_course[gesture.course - 1] for gesture in gestures}
                messages += tuple(StampedMessage(last_ns, wire.bend(c, wire.BEND_CENTRE)) for c in sorted(channels))
            self._waiting = [message._replace(stamp_ns=max(now_ns, message.stamp_ns)) for message in messages]
            self._ready_ns = max(message.stamp_ns for message in messages) + PONDERS_NS


def carry_through(guide: Guide, source: SetUpPlayer, watch: Callable[[int], None] = lambda _now_ns: None) -> int:
    """Let time pass until the guide has finished, starting the click when it is wanted; how long that took, in ns."""
    now_ns = 0
    while not guide.is_finished:
        now_ns += TICK_NS
        assert now_ns < LONGEST_NS, f"the set-up stands still at: {guide.prompt} {guide.remark}"
        if isinstance(guide.step, LatencyStep) and guide.step.wants_click:
            guide.step.start(now_ns + COUNT_IN_BARS * BEATS_A_BAR * BEAT_NS)
        for message in source.poll(now_ns):
            guide.feed(message)
        guide.advance(now_ns)
        watch(now_ns)
    return now_ns
