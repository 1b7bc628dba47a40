"""Takes with a known truth: a player with faults of a given kind, and a pickup with faults of its own.

The tiers are those of the published comparison that the project aims at: clean 1 % of errors a written note, student
8 %, messy 20 % and 10 % slips of the pickup, practice = student with restarts, repeats, skips and hesitations. Several
habits of making these faults are kept, so that nothing is tuned to one of them.
"""

from bisect import bisect_right
from dataclasses import dataclass, field
from random import Random

from trainer.following.verdict import Pace
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise

MS = 1_000_000


@dataclass(frozen=True, slots=True)
class Tier:
    """How often things go wrong, a written note."""

    name: str
    errors: float
    slips: float = 0.0
    wanders: bool = False


TIERS = (
    Tier("clean", 0.01),
    Tier("student", 0.08),
    Tier("messy", 0.20, slips=0.10),
    Tier("practice", 0.08, wanders=True),
)


@dataclass(frozen=True, slots=True)
class Habit:
    """In which way they go wrong."""

    name: str
    jitter_share: float = 0.05
    jitter_ms: float = 4.0
    tail_share: float = 0.0
    """How often the jitter is four times as wide."""
    drift: float = 0.002
    """Random walk of the tempo a note, at one's own pace."""
    pace_range: float = 0.1
    mix: tuple[float, ...] = (0.3, 0.3, 0.1, 0.2, 0.1)
    """Shares of: left out, wrong pitch, wrong string, extra, swapped."""
    neighbour_share: float = 0.7
    """Wrong pitches a semitone or two off; the others are anything on the neck."""
    velocity_spread: float = 8.0
    quiet_slips: bool = True
    ghost_intervals: tuple[int, ...] = (12,)
    restarts: float = 0.02
    repeats: float = 0.006
    skips: float = 0.004
    hesitations: float = 0.015
    furthest_back: int = 16
    noodles: float = 0.0
    """How often a restart follows some noodling."""
    pause_ms: tuple[float, float] = (400.0, 1500.0)
    pause_gaps: float = 3.0
    to_starts: float = 0.5
    """How often a restart is at the start of a cell or bar."""
    on_the_beat: float = 0.5
    """With a click: how often entries after a pause are on a beat."""


PLAIN = Habit("plain")
TAILED = Habit(
    "tailed", jitter_share=0.07, jitter_ms=6.0, tail_share=0.1, drift=0.006, velocity_spread=30.0, quiet_slips=False
)
LOST = Habit(
    "off-model",
    jitter_share=0.06,
    jitter_ms=6.0,
    tail_share=0.12,
    drift=0.005,
    pace_range=0.25,
    mix=(0.25, 0.25, 0.1, 0.3, 0.1),
    neighbour_share=0.4,
    velocity_spread=35.0,
    quiet_slips=False,
    ghost_intervals=(7, 12, 19, -12, 5),
    furthest_back=40,
    noodles=0.4,
    pause_ms=(300.0, 3000.0),
    to_starts=0.2,
    on_the_beat=0.0,
)
BRISK = Habit(
    "brisk", restarts=0.03, pause_ms=(220.0, 600.0), pause_gaps=1.8, furthest_back=8, to_starts=0.9, on_the_beat=0.0
)


@dataclass(slots=True)
class Truth:
    """What was meant."""

    indices: list[int | None] = field(default_factory=list)
    """For each heard note the written note it was meant for."""
    words: list[str] = field(default_factory=list)
    """For each heard note `matched`, `wrong-pitch`, `wrong-string`, `extra` or `slip`."""
    written: dict[int, str] = field(default_factory=dict)
    """The verdict on the last attempt at each written note."""
    entries: list[int] = field(default_factory=list)
    """First heard note after each jump."""


@dataclass(frozen=True, slots=True)
class Take:
    """What was heard, in the order of the onsets, and the truth."""

    exercise: Exercise
    pace: Pace
    onsets: tuple[NoteOnset, ...]
    truth: Truth


class _Hand:
    """The player at work."""

    def __init__(self, exercise: Exercise, pace: Pace, tier: Tier, habit: Habit, rng: Random) -> None:
        self.exercise, self.pace, self.tier, self.habit, self.rng = exercise, pace, tier, habit, rng
        self.sounds: list[tuple[int, int, int, int, int | None, str, bool]] = []
        self.written: dict[int, str] = {}
        self.due = [exercise.tempo.ns(note.onset_quarters) for note in exercise.notes]
        self.stretch = 1.0 if pace is Pace.CLICK else 1 + rng.uniform(-habit.pace_range, habit.pace_range)
        self.shift = 0.0
        self.entered = False
        self.usual_velocity = rng.randrange(60, 110)

    def gap_ns(self, index: int) -> int:
        other = index - 1 if index else 1
        return abs(self.due[index] - self.due[other])

    def sound(self, at: float, pitch: int, course: int, index: int | None, word: str, *, quiet: bool = False) -> None:
        velocity = round(self.rng.gauss(self.usual_velocity, self.habit.velocity_spread))
        if quiet and self.habit.quiet_slips:
            velocity = round(velocity * 0.35)
        self.sounds.append((round(at), len(self.sounds), pitch, course, index, word, self.entered))
        self.velocities.append(min(127, max(1, velocity)))
        self.entered = False

    velocities: list[int]

    def onset_of(self, slot: int) -> float:
        habit, rng = self.habit, self.rng
        spread = habit.jitter_ms * MS + habit.jitter_share * self.gap_ns(slot)
        if rng.random() < habit.tail_share:
            spread *= 4
        jitter = rng.gauss(0, spread) if rng.random() >= 0.0 else 0.0
        limit = 0.8 * self.gap_ns(slot)
        return self.shift + self.due[slot] * self.stretch + min(limit, max(-0.4 * limit, jitter))

    def wait(self, index: int, gap_scale: float, enter_at: int) -> float:
        """Pause after what was last due, and go on at `enter_at`: the shift of the clock changes."""
        habit, rng = self.habit, self.rng
        now = self.shift + self.due[max(0, index - 1)] * self.stretch
        pause = max(rng.uniform(*habit.pause_ms) * MS, gap_scale * self.gap_ns(index) * self.stretch)
        starts = now + pause
        beat = self.exercise.tempo.ns(self.exercise.meter.beat_quarters)
        if self.pace is Pace.CLICK and rng.random() < habit.on_the_beat:
            phase = self.due[enter_at] % beat
            starts = (int(starts // beat) + 1) * beat + phase
        self.shift = starts - self.due[enter_at] * self.stretch
        return now


def drawn_take(exercise: Exercise, pace: Pace, tier: Tier, habit: Habit, rng: Random) -> Take:
    """One take."""
    hand = _Hand(exercise, pace, tier, habit, rng)
    hand.velocities = []
    index, budget = 0, 4 * len(exercise.notes)
    played_since = 99
    while index < len(exercise.notes) and budget:
        budget -= 1
        if tier.wanders and index > 2 and played_since > 3:
            went = _wandered(hand, index)
            if went is not None:
                if went != index:
                    hand.entered = True
                index = went
                played_since = 0
        if pace is Pace.FREE:
            before = hand.due[index] * hand.stretch
            hand.stretch *= 1 + rng.gauss(0, habit.drift)
            hand.shift += before - hand.due[index] * hand.stretch
        index = _played(hand, index)
        played_since += 1
    return _sorted_take(hand)


def _wandered(hand: _Hand, index: int) -> int | None:
    """Where the player goes on instead, after whatever pause."""
    habit, rng, notes = hand.habit, hand.rng, hand.exercise.notes
    drawn = rng.random()
    bar = hand.exercise.meter.bar_quarters
    if drawn < habit.restarts:
        back = index - rng.randint(1, habit.furthest_back)
        if rng.random() < habit.to_starts:
            starts = [i for i in range(1, index) if notes[i].group != notes[i - 1].group] + [0]
            near = [i for i in starts if index - habit.furthest_back <= i < index]
            back = rng.choice(near) if near else back
        target = max(0, back)
        now = hand.wait(index, habit.pause_gaps, target)
        if rng.random() < habit.noodles:
            _noodle(hand, now, index, target)
        return target
    drawn -= habit.restarts
    at_bar = notes[index].onset_quarters % bar == 0
    onsets = [note.onset_quarters for note in notes]
    if drawn < habit.repeats * 8 and at_bar and notes[index].onset_quarters >= bar:
        target = bisect_right(onsets, notes[index].onset_quarters - bar) - 1
        hand.shift += (hand.due[index] - hand.due[target]) * hand.stretch
        return target
    drawn -= habit.repeats * 8 if at_bar else 0.0
    if 0 <= drawn < habit.skips * 8 and at_bar and notes[index].onset_quarters + bar < onsets[-1]:
        target = bisect_right(onsets, notes[index].onset_quarters + bar) - 1
        hand.shift += (hand.due[index] - hand.due[target]) * hand.stretch
        return target
    if rng.random() < habit.hesitations:
        hand.wait(index, 2.0, index)
        return index
    return None


def _noodle(hand: _Hand, now: float, index: int, target: int) -> None:
    """Some notes near the hand, after a short pause; the restart is put off accordingly."""
    rng = hand.rng
    at = now + rng.uniform(300, 800) * MS
    near = hand.exercise.notes[max(0, index - 8) : index + 4]
    for _ in range(rng.randint(2, 7)):
        note = rng.choice(near)
        hand.sound(at, note.pitch + rng.choice((-2, -1, 0, 0, 1, 2)), note.course, None, "extra")
        at += rng.uniform(80, 250) * MS
    starts = at + rng.uniform(300, 900) * MS
    hand.shift = max(hand.shift, starts - hand.due[target] * hand.stretch)


def _played(hand: _Hand, index: int) -> int:
    """Play one written note, or get it wrong; where the player is then."""
    rng, notes, habit = hand.rng, hand.exercise.notes, hand.habit
    note = notes[index]
    fault = None
    if rng.random() < hand.tier.errors:
        fault = rng.choices(("left-out", "wrong-pitch", "wrong-string", "extra", "swapped"), habit.mix)[0]
    at = hand.onset_of(index)
    swaps = index + 1 < len(notes) and notes[index + 1].pitch != note.pitch
    if fault == "left-out":
        hand.written[index] = "missed"
        return index + 1
    if fault == "swapped" and swaps:
        later = notes[index + 1]
        hand.sound(at, later.pitch, later.course, index + 1, "matched")
        hand.sound(max(at + 20 * MS, hand.onset_of(index + 1)), note.pitch, note.course, index, "matched")
        hand.written[index] = hand.written[index + 1] = "matched"
        return index + 2
    if fault == "wrong-pitch":
        steps = (
            rng.choice((-2, -1, 1, 2))
            if rng.random() < habit.neighbour_share
            else rng.choice((-7, -5, -4, -3, 3, 4, 5, 7))
        )
        hand.sound(at, note.pitch + steps, note.course, index, fault)
        hand.written[index] = fault
        return index + 1
    if fault == "wrong-string":
        other = note.course + (1 if note.course < 6 else -1)
        hand.sound(at, note.pitch, other, index, fault)
        hand.written[index] = fault
        return index + 1
    _with_slips(hand, note.pitch, note.course, at)
    hand.sound(at, note.pitch, note.course, index, "matched")
    hand.written[index] = "matched"
    if fault == "extra":
        near = rng.choice(notes[max(0, index - 3) : index + 4])
        wrong = rng.choice((near.pitch, near.pitch + 1, near.pitch - 1, near.pitch + 2))
        hand.sound(at + rng.uniform(0.35, 0.65) * hand.gap_ns(index) * hand.stretch, wrong, near.course, None, "extra")
    return index + 1


def _with_slips(hand: _Hand, pitch: int, course: int, at: float) -> None:
    """What the pickup makes up round a note."""
    rng = hand.rng
    if rng.random() >= hand.tier.slips:
        return
    match rng.choice(("octave", "duplicate", "sympathetic")):
        case "octave":
            late = rng.uniform(10, 30) * MS
            hand.sound(at + late, pitch + rng.choice(hand.habit.ghost_intervals), course, None, "slip", quiet=True)
        case "duplicate":
            hand.sound(at + rng.uniform(15, 45) * MS, pitch, course, None, "slip", quiet=True)
        case _:
            other = rng.choice([c for c in range(1, 7) if c != course])
            open_pitch = hand.exercise.tuning.open_pitches[other - 1]
            hand.sound(at + rng.uniform(5, 60) * MS, open_pitch, other, None, "slip", quiet=True)


def _sorted_take(hand: _Hand) -> Take:
    truth = Truth()
    onsets: list[NoteOnset] = []
    entered = False
    for heard, (at, order, pitch, course, index, word, entry) in enumerate(sorted(hand.sounds)):
        onsets.append(NoteOnset(heard, heard, at, at, course, pitch, hand.velocities[order]))
        truth.indices.append(index)
        truth.words.append(word)
        entered = entered or entry
        if entered and index is not None:
            truth.entries.append(heard)
            entered = False
    truth.written = {i: hand.written.get(i, "missed") for i in range(len(hand.exercise.notes))}
    return Take(hand.exercise, hand.pace, tuple(onsets), truth)
