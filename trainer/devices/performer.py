"""What a player's hands do with a written line: gestures, before any pickup hears them.

Theory of operation: the *way* through the line comes first (which written note after which, with restarts, repeats and
skips), then each step of it becomes one gesture (or none, when missed), then strings are released: a string sounds
until the next gesture of the line; into a slur it sounds without a gap. A jump rejoins the click: it moves the rest of
the line by a whole number of beats; the note that it lands on is picked, whatever is written.

Every gesture carries the truth about itself (which written note it was meant for, how it was really begun, what was
wrong), so that a test can tell what a listener ought to say. All randomness comes from `rng`.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.devices.faults import JUMPS, Fault, FaultKind, Faults, same_pitch_elsewhere
from trainer.devices.skill import Skill
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique

_MS = 1_000_000
_TRAVEL_NS = 45 * _MS  # a slide takes this long ...
_TRAVEL_PER_FRET_NS = 20 * _MS  # ... and this much more a fret: 65-150 ms in all, common practice, no source
_TRAVEL_SHARE = 0.5  # the note before keeps at least half of its time
_DAMPING_NS = 12 * _MS  # the pick rests on a sounding string before it strikes again, from memory
_CLOSEST_NS = 5 * _MS  # two strokes are never closer than this, however late the first one came
_SLUR_VELOCITY = 0.62  # hammer-ons, pull-offs and slides are softer than picked notes, from memory
_ACCENT_VELOCITY = 18
_LAG_KEPT = 0.5  # of a hesitation, at each following note, by a player who keeps to the click
_NEIGHBOURS = 2  # a planted wrong note must not be the right one of a neighbour this near


@dataclass(frozen=True, slots=True)
class Gesture:
    """One thing that the hands did, with the truth about it."""

    onset_ns: int
    """When it sounds; for a slide, when the finger arrives."""
    release_ns: int
    course: int
    fret: int
    technique: Technique
    """How it was really begun."""
    velocity: int
    index: int | None = None
    """The written note it was meant for; None for an extra, or for the fret where a slide as a grace begins."""
    faults: tuple[FaultKind, ...] = ()
    from_fret: int | None = None
    """The fret that sounded until then, when it was slurred; None when it was picked or hammered on out of silence."""
    travel_ns: int = 0
    """For a slide: how long before `onset_ns` the finger leaves `from_fret`."""


@dataclass(frozen=True, slots=True)
class _Step:
    """One attempt at a written note; `moved_quarters` is how far jumps have moved its time."""

    index: int
    moved_quarters: Fraction
    is_first_attempt: bool
    is_landing: bool = False


def perform(
    exercise: Exercise, tempo: Tempo, starts_at_ns: int, skill: Skill, faults: Faults, rng: random.Random
) -> tuple[Gesture, ...]:
    """The gestures of one run, sorted by onset; written quarter 0 is due at `starts_at_ns`.

    `FaultError` when a planted fault has no place in the exercise.
    """
    faults.check(exercise)
    hands = _Hands(exercise, tempo, starts_at_ns, skill, faults, rng)
    for step in _way(exercise, skill, faults, rng):
        hands.play(step)
    return _released(hands.gestures, exercise, tempo)


def _way(exercise: Exercise, skill: Skill, faults: Faults, rng: random.Random) -> Iterator[_Step]:
    attempted: set[int] = set()
    index, moved, landing = 0, Fraction(0), False
    while index < len(exercise.notes):
        is_first = index not in attempted
        attempted.add(index)
        yield _Step(index, moved, is_first, landing)
        jump = _jump_after(index, exercise, skill, faults, rng) if is_first else None
        landing = jump is not None
        if jump is None or jump.to_index is None:
            index += 1
            continue
        left, reached = exercise.notes[index], exercise.notes[jump.to_index]
        beat = exercise.meter.beat_quarters
        free = left.onset_quarters + left.duration_quarters + moved + (beat if jump.kind is FaultKind.RESTART else 0)
        moved = -((reached.onset_quarters - free) // beat) * beat
        index = jump.to_index


def _jump_after(index: int, exercise: Exercise, skill: Skill, faults: Faults, rng: random.Random) -> Fault | None:
    planted = [fault for kind, fault in faults.at(index).items() if kind in JUMPS]
    if planted:
        return planted[0]
    draw = rng.random()
    if draw <= skill.restart_rate:
        return Fault(FaultKind.RESTART, index, to_index=max(0, index - rng.randint(0, 12)))
    if draw <= skill.restart_rate + skill.repeat_rate:
        bar = exercise.meter.bar_quarters
        bar_start = exercise.notes[index].onset_quarters // bar * bar
        first = next(i for i, note in enumerate(exercise.notes) if note.onset_quarters >= bar_start)
        return Fault(FaultKind.REPEAT, index, to_index=first)
    last = len(exercise.notes) - 1
    if draw <= skill.restart_rate + skill.repeat_rate + skill.skip_rate and index + 2 <= last:
        return Fault(FaultKind.SKIP, index, to_index=min(last, index + rng.randint(2, 8)))
    return None


class _Hands:
    """Both hands on the way through a line; they remember what sounds and how far they lag."""

    def __init__(
        self, exercise: Exercise, tempo: Tempo, starts_at_ns: int, skill: Skill, faults: Faults, rng: random.Random
    ) -> None:
        self.gestures: list[Gesture] = []
        self._exercise = exercise
        self._tempo = tempo
        self._starts_at_ns = starts_at_ns
        self._skill = skill
        self._faults = faults
        self._rng = rng
        self._lag_ns = 0.0
        self._sounding: dict[int, int] = {}
        """Fret of each string that still sounds."""
        self._written_before: ScoreNote | None = None
        self._last_onset_ns = 0

    def play(self, step: _Step) -> None:
        """One attempt at one written note."""
        written = self._exercise.notes[step.index]
        planted = self._faults.at(step.index) if step.is_first_attempt else {}
        kinds = self._drawn(planted, written)
        is_chord = (
            self._written_before is not None
            and not step.is_landing
            and self._written_before.onset_quarters == written.onset_quarters
        )
        onset_ns = self._onset_ns(step, written, planted, kinds, is_chord=is_chord)
        self._written_before = written
        if FaultKind.MISS not in kinds:
            self._sound(step, written, onset_ns, kinds, is_chord=is_chord)
        if FaultKind.EXTRA in kinds:
            self._add_extra(step.index, onset_ns)

    def _drawn(self, planted: dict[FaultKind, Fault], written: ScoreNote) -> tuple[FaultKind, ...]:
        """The faults of this attempt: those planted, and those that the skill brings."""
        skill, draw = self._skill, self._rng.random()
        kinds = [kind for kind in planted if kind not in JUMPS]
        limit = 0.0
        if not kinds:
            for kind, rate in (
                (FaultKind.MISS, skill.miss_rate),
                (FaultKind.FRET, skill.wrong_fret_rate),
                (FaultKind.STRING, skill.wrong_string_rate),
                (FaultKind.EXTRA, skill.extra_rate),
                (FaultKind.PAUSE, skill.hesitation_rate),
            ):
                if limit <= draw < limit + rate:
                    kinds.append(kind)
                limit += rate
        slips = self._rng.random() < skill.picked_again_rate
        if slips and not planted and written.technique is not Technique.PICK:
            kinds.append(FaultKind.UNSLID if written.technique is Technique.SLIDE else FaultKind.PICKED)
        return tuple(kinds)

    def _onset_ns(
        self,
        step: _Step,
        written: ScoreNote,
        planted: dict[FaultKind, Fault],
        kinds: tuple[FaultKind, ...],
        *,
        is_chord: bool,
    ) -> int:
        skill, rng, before = self._skill, self._rng, self._written_before
        if is_chord:
            return self._last_onset_ns + round(rng.random() * skill.strum_ns)
        if FaultKind.PAUSE in kinds:
            pause = planted.get(FaultKind.PAUSE)
            self._lag_ns += pause.amount_ns if pause else skill.hesitation_ns * (0.5 + rng.random())
        elif skill.keeps_to_click:
            self._lag_ns = 0.0 if step.is_landing else self._lag_ns * _LAG_KEPT
        late_ns = self._lag_ns + skill.bias_ns + rng.gauss(0, 1) * skill.timing_sd_ns
        late_ns += dict(skill.late_on_course_ns).get(written.course, 0)
        if before and before.course != written.course:
            late_ns += skill.late_at_crossing_ns
        if before and before.position != written.position:
            late_ns += skill.late_at_shift_ns
        late_ns += sum(fault.amount_ns for fault in (planted.get(FaultKind.LATE),) if fault)
        late_ns -= sum(fault.amount_ns for fault in (planted.get(FaultKind.EARLY),) if fault)
        due_ns = self._tempo.ns(written.onset_quarters + step.moved_quarters)
        onset_ns = self._starts_at_ns + due_ns + round(due_ns * skill.drift + late_ns)
        floor_ns = self._last_onset_ns + _CLOSEST_NS if self.gestures else 0
        return max(onset_ns, floor_ns)

    def _sound(
        self, step: _Step, written: ScoreNote, onset_ns: int, kinds: tuple[FaultKind, ...], *, is_chord: bool
    ) -> None:
        course, fret = self._place(step.index, written, kinds)
        is_picked_anyway = step.is_landing or FaultKind.UNSLID in kinds or FaultKind.PICKED in kinds
        technique = Technique.PICK if is_picked_anyway else written.technique
        travel_ns = 0
        start = self._sounding.get(course)
        if technique is Technique.SLIDE:
            grace = written.slide_from if course == written.course else None
            start = grace.fret if grace else start
            travel_ns = self._travel_ns(onset_ns, start, fret)
            if grace and grace.fret != fret:
                self._approach(onset_ns - travel_ns, grace, accent=written.accent)
        technique = _possible(technique, start, fret)
        self.gestures.append(
            Gesture(
                onset_ns,
                onset_ns,
                course,
                fret,
                technique,
                self._velocity(technique, accent=written.accent),
                step.index,
                kinds,
                from_fret=None if technique is Technique.PICK else start,
                travel_ns=travel_ns if technique is Technique.SLIDE else 0,
            )
        )
        self._sounding = (self._sounding if is_chord else {}) | {course: fret}
        self._last_onset_ns = onset_ns

    def _approach(self, onset_ns: int, grace: Location, *, accent: bool) -> None:
        """The picked note from which a slide as a grace leaves at once."""
        velocity = self._velocity(Technique.PICK, accent=accent)
        self.gestures.append(Gesture(onset_ns, onset_ns, grace.course, grace.fret, Technique.PICK, velocity))

    def _place(self, index: int, written: ScoreNote, kinds: tuple[FaultKind, ...]) -> tuple[int, int]:
        if FaultKind.STRING in kinds:
            elsewhere = same_pitch_elsewhere(self._exercise, index)
            if elsewhere:
                return elsewhere[0]
        if FaultKind.FRET in kinds or FaultKind.STRING in kinds:
            steps = self._rng.choice([(1, -1, 2, -2, 3), (-1, 1, -2, 2, -3)])
            places = [(written.course, written.fret + step) for step in steps]
            return self._unwritten(index, places)
        return written.course, written.fret

    def _unwritten(self, index: int, places: list[tuple[int, int]]) -> tuple[int, int]:
        """The first of `places` on the neck whose pitch no written note nearby has, or the first on the neck."""
        exercise = self._exercise
        near = {note.pitch for note in exercise.notes[max(0, index - _NEIGHBOURS) : index + _NEIGHBOURS + 1]}
        on_neck = [
            (course, fret)
            for course, fret in places
            if course in exercise.tuning.courses and 0 <= fret <= exercise.last_fret
        ]
        free = [(c, f) for c, f in on_neck if exercise.tuning.open_pitches[c - 1] + f not in near]
        return (free or on_neck)[0]

    def _travel_ns(self, onset_ns: int, start: int | None, fret: int) -> int:
        if start is None:
            return 0
        wanted_ns = _TRAVEL_NS + abs(fret - start) * _TRAVEL_PER_FRET_NS
        room_ns = round((onset_ns - self._last_onset_ns) * _TRAVEL_SHARE) if self.gestures else onset_ns
        return max(0, min(wanted_ns, room_ns))

    def _add_extra(self, index: int, onset_ns: int) -> None:
        """A brush against a neighbouring string, half-way to the next note."""
        notes = self._exercise.notes
        written = notes[index]
        following = notes[index + 1].onset_quarters if index + 1 < len(notes) else None
        span_quarters = (
            following - written.onset_quarters if following is not None else written.duration_quarters
        ) or written.duration_quarters
        half_ns = self._tempo.ns(span_quarters) // 2
        aside = [written.course - 1, written.course + 1]
        self._rng.shuffle(aside)
        places = [(course, written.fret + step) for step in (0, 1, -1, 2) for course in aside]
        course, fret = self._unwritten(index, [*places, (written.course, written.fret + 1), (written.course, 0)])
        start_ns = onset_ns + half_ns
        velocity = self._velocity(Technique.HAMMER, accent=False)
        self.gestures.append(
            Gesture(start_ns, start_ns + half_ns // 2, course, fret, Technique.PICK, velocity, None, (FaultKind.EXTRA,))
        )

    def _velocity(self, technique: Technique, *, accent: bool) -> int:
        skill = self._skill
        velocity = skill.velocity + self._rng.gauss(0, 1) * skill.velocity_sd + (_ACCENT_VELOCITY if accent else 0)
        softening = 1 if technique is Technique.PICK else _SLUR_VELOCITY
        return min(127, max(1, round(velocity * softening)))


def _possible(technique: Technique, start: int | None, fret: int) -> Technique:
    """How a note really begins when `start` (a fret, None = silence) sounds on its string as it is reached."""
    if start == fret or technique is Technique.PICK:
        return Technique.PICK
    if start is None:  # only a hammer-on makes a silent string sound
        return Technique.HAMMER if technique is Technique.HAMMER else Technique.PICK
    if technique is Technique.SLIDE:
        return Technique.SLIDE
    return Technique.HAMMER if start < fret else Technique.PULL


def _released(gestures: list[Gesture], exercise: Exercise, tempo: Tempo) -> tuple[Gesture, ...]:
    """The same gestures, sorted, each with the moment at which its string stops."""
    released: list[Gesture] = []
    following: Gesture | None = None  # the next gesture of the line that sounds later
    chord: Gesture | None = None  # the last one seen, which may sound at the same moment
    ordered = sorted(gestures, key=lambda gesture: gesture.onset_ns)
    for gesture in reversed(ordered):
        if gesture.index is None and gesture.faults:
            released.append(gesture)
            continue
        if chord and chord.onset_ns > gesture.onset_ns:
            following = chord
        chord = gesture
        released.append(replace(gesture, release_ns=_release_ns(gesture, following, exercise, tempo)))
    return tuple(reversed(released))


def _release_ns(gesture: Gesture, following: Gesture | None, exercise: Exercise, tempo: Tempo) -> int:
    is_followed_here = following is not None and following.course == gesture.course
    if following and is_followed_here and following.from_fret is not None:
        return following.onset_ns
    ends_ns: list[int] = []
    if following:
        span_ns = following.onset_ns - gesture.onset_ns
        ends_ns.append(following.onset_ns - (min(_DAMPING_NS, span_ns // 4) if is_followed_here else 0))
    if gesture.index is not None:
        ends_ns.append(gesture.onset_ns + tempo.ns(exercise.notes[gesture.index].duration_quarters))
    return min(ends_ns, default=gesture.onset_ns)
