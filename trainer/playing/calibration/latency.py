"""The step that learns how late a pickup answers: quarter notes to the click, a bar on each open string.

The bars go from the lowest string to the highest and back, so that a player who slowly gets earlier or later does not
look like a difference between strings. Such rounds go on until the lateness of every string is known well enough, or
`MOST_ROUNDS` are over. A hit is the first note at the asked string's open pitch, on whatever channel, nearer to a beat
than to any other; one that the pickup first took for another note is left out.

Conventions: `late_ms` is message minus click, positive = after it. The limits include their edges.
"""

from dataclasses import dataclass, replace

from trainer.playing.calibration.latency_fit import LEAST_HITS, LatencyFit, compensation, fit_latency, frequency_hz
from trainer.playing.messages import StringEvent, StringOn
from trainer.playing.profile import PickupProfile
from trainer.theory.pitch import pitch_name
from trainer.theory.tuning import Tuning

QUARTERS_PER_MINUTE = 120
BEAT_NS = 60_000_000_000 // QUARTERS_PER_MINUTE
BEATS_A_BAR = 4
BAR_NS = BEATS_A_BAR * BEAT_NS
COUNT_IN_BARS = 2
MOST_ROUNDS = 6
GOOD_MS = 2.3
"""The 95 % interval of the lateness is at most this much to each side: then 99 % lie within 3 ms."""
USABLE_MS = 6.0
"""A lateness known less well than this is not taken off: 6 ms is what is just heard (Friberg and Sundberg 1995)."""
_CORRECTED_WITHIN_NS = 80_000_000  # a wrong octave on the attack is corrected within 20 to 60 ms, common practice
_NS_PER_MS = 1_000_000


@dataclass(frozen=True, slots=True)
class ClickPlan:
    """Which string is due when, once the click runs."""

    courses: tuple[int, ...]
    """One for each bar of a round."""
    starts_at_ns: int
    """When the first beat after the count-in is heard."""

    def course_at(self, moment_ns: int) -> int:
        """The string of the bar that a moment belongs to, from half a beat before the bar's first beat."""
        return self.course_of_beat(self.beat_at(moment_ns))

    def course_of_beat(self, beat: int) -> int:
        """The string that a beat is for."""
        return self.courses[max(0, beat) // BEATS_A_BAR % len(self.courses)]

    def beat_at(self, moment_ns: int) -> int:
        """The nearest beat; negative in the count-in."""
        return (moment_ns - self.starts_at_ns + BEAT_NS // 2) // BEAT_NS

    def late_ns(self, moment_ns: int) -> int:
        """How far after its nearest beat a moment lies."""
        return moment_ns - self.starts_at_ns - self.beat_at(moment_ns) * BEAT_NS

    def rounds_over(self, moment_ns: int) -> int:
        """How many rounds have been played."""
        return self.beat_at(moment_ns - BEAT_NS) // (BEATS_A_BAR * len(self.courses))


class LatencyStep:
    """Waits for its click, then collects hits; `start` says when the first beat after the count-in is heard."""

    def __init__(self, tuning: Tuning) -> None:
        self.is_finished = False
        self.remark = ""
        self.late_ms: dict[int, list[float]] = {course: [] for course in tuning.courses}
        """Course -> lateness of its hits, in the order in which they came."""
        self.plan: ClickPlan | None = None
        """None: the click does not run yet."""
        self._tuning = tuning
        self._now_ns = 0
        self._taken: set[int] = set()
        self._last_on_ns: dict[int, int] = {}
        self._round = 0

    @property
    def most_bars(self) -> int:
        """How many bars of click may be needed, without the count-in."""
        return MOST_ROUNDS * 2 * len(self._tuning.open_pitches)

    @property
    def wants_click(self) -> bool:
        """Whether it waits for the click to be started."""
        return self.plan is None and not self.is_finished

    @property
    def course(self) -> int | None:
        """The string that is due now; None while no click runs."""
        return None if self.plan is None else self.plan.course_at(self._now_ns)

    @property
    def prompt(self) -> str:
        """What to do now."""
        if self.plan is None:
            return (
                f"Play quarter notes to the click, one bar on each open string, from string {len(self.late_ms)} to "
                "string 1 and back. Listen to the strings, not to a synthesizer."
            )
        course = self.plan.course_at(self._now_ns)
        following = self.plan.course_at(self._now_ns + BAR_NS)
        name = f"string {course}, open ({pitch_name(self._tuning.open_pitches[course - 1])})"
        if self.plan.beat_at(self._now_ns) < 0:
            return f"After the count-in: {name}."
        return f"Now {name}." + ("" if following == course else f" Then string {following}.")

    @property
    def fit(self) -> LatencyFit | None:
        """What the hits say so far; None when they are not enough yet."""
        if any(len(late_ms) < LEAST_HITS for late_ms in self.late_ms.values()):
            return None
        by_pitch: dict[int, list[float]] = {}
        for course, late_ms in self.late_ms.items():
            by_pitch.setdefault(self._tuning.open_pitches[course - 1], []).extend(late_ms)
        return fit_latency(by_pitch)

    @property
    def has_learned(self) -> bool:
        """Whether the lateness is known well enough to be taken off."""
        return (fit := self.fit) is not None and fit.uncertainty_ms <= USABLE_MS

    def start(self, first_beat_ns: int) -> None:
        """The click runs; the first beat after its count-in is heard at `first_beat_ns`."""
        self.plan = ClickPlan((*reversed(self._tuning.courses), *self._tuning.courses), first_beat_ns)

    def feed(self, event: StringEvent) -> None:
        """Take in what one string did."""
        self.advance(event.stamp_ns)
        if isinstance(event, StringOn) and self.plan is not None and not self.is_finished:
            before_ns = self._last_on_ns.get(event.channel)
            self._last_on_ns[event.channel] = event.stamp_ns
            is_corrected = before_ns is not None and event.stamp_ns - before_ns <= _CORRECTED_WITHIN_NS
            self._hit(event, self.plan, is_corrected=is_corrected)

    def advance(self, now_ns: int) -> None:
        """Time passes; at the end of a round it is decided whether another is needed."""
        self._now_ns = max(self._now_ns, now_ns)
        if self.plan is None or self.is_finished or self.plan.rounds_over(self._now_ns) <= self._round:
            return
        self._round = self.plan.rounds_over(self._now_ns)
        fit = self.fit
        self.is_finished = self._round >= MOST_ROUNDS or (fit is not None and fit.uncertainty_ms <= GOOD_MS)
        if not self.is_finished:
            self.remark = f"{self._shortage(fit)} Once more through the strings."

    def enough(self) -> None:
        """Go on with the hits that there are."""
        self.is_finished = True

    def applied_to(self, profile: PickupProfile) -> PickupProfile:
        """The profile with the latency learned; the same one when it could not be."""
        fit = self.fit
        if fit is None or not self.has_learned:
            return profile
        constant_ms, cycles = compensation(fit)
        return replace(profile, latency_ns=round(constant_ms * _NS_PER_MS), latency_cycles=round(cycles, 3))

    @property
    def findings(self) -> tuple[str, ...]:
        """What was learned, in sentences."""
        fit = self.fit
        if fit is None or not self.has_learned:
            return (f"Latency: {self._shortage(fit)} It stays as it was.",)
        return latency_words(fit, self._tuning)

    def _hit(self, event: StringOn, plan: ClickPlan, *, is_corrected: bool) -> None:
        beat = plan.beat_at(event.stamp_ns)
        course = plan.course_of_beat(beat)
        if beat < 0 or beat in self._taken:
            return
        pitches = self._tuning.open_pitches
        if event.pitch != pitches[course - 1]:
            if event.pitch in pitches:
                self.remark = f"That was string {pitches.index(event.pitch) + 1}; this bar is for string {course}."
            return
        self._taken.add(beat)
        self.remark = ""
        if not is_corrected:
            self.late_ms[course].append(plan.late_ns(event.stamp_ns) / _NS_PER_MS)

    def _shortage(self, fit: LatencyFit | None) -> str:
        """Why more hits are wanted."""
        if fit is None:
            counts = ", ".join(f"{len(self.late_ms[course])} on string {course}" for course in reversed(self.late_ms))
            return f"not enough yet: {LEAST_HITS} hits on each string are needed, there are {counts}."
        return (
            f"the hits scatter by {fit.spread_ms:.0f} ms, so that it is known only to within "
            f"{fit.uncertainty_ms:.1f} ms."
        )


def latency_words(fit: LatencyFit, tuning: Tuning) -> tuple[str, ...]:
    """What a fit says, and what it cannot say."""
    constant_ms, cycles = compensation(fit)
    low, high = max(0.0, fit.cycles_interval.low), max(0.0, fit.cycles_interval.high)
    ends = ", ".join(
        f"{round(constant_ms + 1000 * cycles / frequency_hz(tuning.open_pitches[course - 1]))} ms on string {course}"
        for course in (len(tuning.open_pitches), 1)
    )
    learned = (
        f"Latency: {constant_ms:.1f} ms and {cycles:.2f} cycles of the string (between {low:.2f} and {high:.2f}), that "
        f"is {ends}. It is taken off from now on, known to within {fit.uncertainty_ms:.1f} ms; the hits scatter by "
        f"{fit.spread_ms:.0f} ms."
    )
    if fit.constant_interval_ms.high < 0:
        return learned, (
            f"The notes came about {-fit.constant_ms:.0f} ms before a device could have sent them: that much, or more, "
            "you play before the click. It is yours, and stays to be seen as rush."
        )
    return learned, (
        "The cycles come from the differences between strings and are the pickup's. The constant part may hold a habit "
        "of playing before or after the click, or a loudspeaker that is late: a click cannot tell these apart."
    )
