"""Where in the line the player may be: a pruned set of paths, each a full reading of what was heard so far.

Theory of operation
-------------------
Every heard note extends every path by each move that could explain it: the next written note; one further on, those
between being missed; two neighbours the wrong way round; a note that is not written; a jump to another place; a note
played off the line altogether. A move is scored by what was heard (`likelihood.pitch_fit`), when (`time_fit`) and how
often players do such a thing. Paths that stand in the same state are merged, the best one surviving, which is Viterbi's
algorithm; paths far below the best are dropped, so the work per note does not depend on the length of the line. Jump
targets are looked up by pitch in a bounded neighbourhood for the same reason.

State of a path: `front`, the furthest written note that it has taken in this attempt; `open`, notes behind the front
that may still come (the other notes of a chord, or the outstanding one of two swapped neighbours); whether it is off
the line. Besides the state each path carries its own clock: a reference onset, and how much slower than written it
goes.

Paths are immutable and share their pasts: `Step`s are linked backwards. A beam can therefore be kept and continued from
again, which is how the follower takes a note back.

Reference: Viterbi over skips and repeats, E. Nakamura et al. 2014 and T. Nakamura et al. 2016 (TASLP); the pauses, the
extra notes, the string and the clock per path are what lines that repeat themselves need in addition.
"""

from enum import IntEnum
from math import log
from typing import NamedTuple

from trainer.following import likelihood as fit
from trainer.following.line import Line
from trainer.playing.messages import NoteOnset

MINUS_INFINITY = float("-inf")
WIDEST_BEAM = 20
"""Paths kept after each note; in clean playing about ten survive the margin below."""
MARGIN = 12.0
"""Paths this much less likely than the best (e**15) are dropped."""
LONGEST_GAP = 8
"""Written notes missed in a row; more is a skip."""
LONGEST_GARBLE = 16
"""Written notes that go by while something else is played in time."""
USUAL_FAULTS = 0.07
USUAL_NOTES = 20.0
USUAL_FADE = 0.97
HARDEST, EASIEST = 0.4, 1.2
"""Faults a note, expected before much is heard, how many notes that expectation is worth, and how far it bends."""
RIVAL = -2.0
"""What it costs a path to have been settled against: it may still turn out right, by way of a jump."""
RIVAL_MARGIN = 13.0
WIDEST_RIVALRY = 12
JUMPING_PATHS = 4
JUMPING_AFTER_PAUSE = 12
"""Only the best few paths jump; after a pause also those that may be in other copies of the passage."""
FURTHEST_BACK = 64
FURTHEST_ON = 48
"""How far jumps are looked for, in written notes."""
OTHER_PASS = -3.0
"""Jumps seldom lead into another pass over the line."""

MOST_WELCOME = 2.0
"""No place is more welcome than this after a pause, all things counted; saves looking where nothing can come of it."""

JITTER_NS = 5_000_000.0
JITTER_SHARE = 0.07
"""Spread of onsets in a sequence: 5 ms + 6 % of the interval, between published experts (3-4 %) and beginners."""
STEADIEST_DOUBT = 0.02
CLICK_DOUBT = 0.01
"""Share by which the tempo of a path may be off."""
DOUBTS = (0.40, 0.15, 0.08, 0.05, 0.035)
"""The same after 0, 1, 2... intervals at the player's own pace."""
PHASE_GAIN = 0.6
TEMPO_GAINS = (0.6, 0.45, 0.35, 0.3, 0.25, 0.2, 0.15, 0.12, 0.1)
TEMPO_RESIDUE = 0.3
"""One onset moves the tempo as if it were at most this share of an interval off."""
LEARNT_AFTER = 2
PAUSE_SHARE = 0.7
SHORTEST_PAUSE_NS = 200_000_000
"""Waiting longer than 1.7 expected intervals, and 200 ms, is a pause."""
ON_THE_BEAT_NS = 35_000_000.0
"""Spread of entries after a pause round the beats of the click."""


class Kind(IntEnum):
    """What a path takes a heard note for."""

    WRITTEN = 0
    EXTRA = 1
    SPURIOUS = 2
    """An extra note that is not charged to the player."""


class Step(NamedTuple):
    """How a path reads one heard note."""

    heard: int
    before: "Step | None"
    kind: Kind
    taken: int
    """The written note taken, -1 for none."""
    from_index: int
    """The last written note taken before, -1 at the start."""
    after_heard: int
    """The heard note that took it, -1 at the start."""
    deviation_ns: int | None = None
    missed: tuple[int, ...] = ()
    """Written notes passed over by this step."""
    jumped: bool = False
    is_wrong: bool = False
    """Another pitch or another string than written."""


class Path(NamedTuple):
    """One reading of all that was heard; see the module's theory of operation."""

    ref_ns: float | None
    """When the written time `ref_due_ns` came, by this path's clock; None before the first note at one's own pace."""
    score: float = 0.0
    front: int = -1
    open: tuple[int, ...] = ()
    off_line: bool = False
    ref_due_ns: int = 0
    stretch: float = 1.0
    """Played time per written time."""
    intervals: int = 0
    """How many intervals the stretch has been learnt from."""
    shift_ns: int = 0
    """By how many whole beats the player has left the click."""
    is_rival: bool = False
    """It was settled against, and jumps from the settled past."""
    is_loose: bool = False
    """Something else than the line was played after a pause, so the next note may come at any time."""
    last_taken: int = -1
    last_heard: int = -1
    """The written note last taken and the heard note that took it."""
    step: Step | None = None


class Sound(NamedTuple):
    """A heard note with what can be said about it without the written line."""

    note: NoteOnset
    at_ns: int
    """Onset from the origin of the search."""
    is_ghost: bool
    """Its place among its neighbours says that the pickup made it up."""
    is_quiet: bool
    since_ns: int
    """How long after the heard note before it; 0 for the first."""


class _Move(NamedTuple):
    score: float
    path: Path
    kind: Kind
    taken: int
    slot: int
    """The written note whose time this is; differs from `taken` when neighbours are swapped."""
    front: int
    open: tuple[int, ...] = ()
    missed: tuple[int, ...] = ()
    entered: bool = False
    """The clock of the path starts anew here: after a jump or noodling."""
    jumped: bool = False
    off_line: bool = False
    is_loose: bool = False


class Usual:
    """How many faults this player makes, from what was settled; faults of a faulty player surprise less."""

    def __init__(self) -> None:
        self._notes = USUAL_NOTES
        self._faults = USUAL_NOTES * USUAL_FAULTS

    def count(self, step: Step) -> None:
        """Let one settled step count."""
        is_swapped = step.taken >= 0 and step.taken < step.from_index and not step.jumped
        self._notes = self._notes * USUAL_FADE + 1
        faults = len(step.missed) + (step.kind is Kind.EXTRA) + is_swapped + step.is_wrong
        self._faults = self._faults * USUAL_FADE + faults

    @property
    def ease(self) -> float:
        """What is added to the logarithm of a fault."""
        return min(max(log(self._faults / self._notes / USUAL_FAULTS), -HARDEST), EASIEST)


Beam = tuple[Path, ...]
"""Paths, the likeliest first."""


class Search:
    """Grows beams over one written line."""

    def __init__(self, line: Line) -> None:
        self._line = line
        self._moves: dict[tuple[int, tuple[int, ...], bool], _Move] = {}
        self._fits: dict[tuple[int, int], float] = {}
        self._entries: dict[int, float] = {}
        self._floor = 0.0
        self._usual = Usual()
        self._ease = 0.0

    def start(self) -> Beam:
        """The only path there is before anything is heard."""
        ref_ns = 0.0 if self._line.is_timed else None
        return (Path(ref_ns),)

    def grow(self, beam: Beam, sound: Sound) -> Beam:
        """The paths after one more heard note."""
        self._moves = {}
        self._fits = {}
        self._entries = {}
        self._floor = MINUS_INFINITY
        self._ease = self._usual.ease
        waited = sound.since_ns >= SHORTEST_PAUSE_NS
        jumping = JUMPING_AFTER_PAUSE if waited else JUMPING_PATHS
        for path in beam:
            if path.off_line:
                self._stay_off(path)
                self._catch_up(path, sound)
                self._jump(path, sound)
                continue
            self._go_on(path, sound)
            self._fill(path, sound)
            self._add_extra(path, sound)
            if jumping:
                jumping -= 1
                self._jump(path, sound)
                self._leave(path, sound)
        floor = max(move.score for move in self._moves.values()) - MARGIN
        kept = sorted((move for move in self._moves.values() if move.score >= floor), key=_score, reverse=True)
        return tuple(self._walked(move, sound) for move in kept[:WIDEST_BEAM])

    def without(self, beam: Beam, heard: int) -> Beam:
        """The paths after a heard note that is known to be a slip of the pickup or a fret passed on the way."""
        return tuple(path._replace(step=_unwritten(path, heard, Kind.SPURIOUS)) for path in beam)

    def learn(self, step: Step) -> None:
        """Let a step that was settled count for how many faults this player makes."""
        self._usual.count(step)

    def settled(self, beam: Beam, settled: Step) -> Beam:
        """The paths after one more step was settled; those that read it otherwise go on as rivals, at a cost.

        A rival takes over the settled past and jumps from there to where it was, so that what was settled stands even
        if the rival turns out to be right in the end, as happens among copies of one passage.
        """
        kept: list[Path] = []
        rivals = 0
        best = beam[0].score
        for path in beam:
            steps: list[Step] = []
            step = path.step
            while step is not None and step.heard != settled.heard:
                steps.append(step)
                step = step.before
            if step is settled:
                kept.append(path._replace(is_rival=False) if path.is_rival else path)
            elif step is not None and (step.kind, step.taken) == (settled.kind, settled.taken):
                kept.append(path)
            elif rivals < WIDEST_RIVALRY and path.score >= best - RIVAL_MARGIN:
                rival = _rerooted(path, settled, steps)
                if rival is not None:
                    rivals += 1
                    kept.append(rival)
        kept.sort(key=_path_score, reverse=True)
        return tuple(kept)

    def expected_ns(self, path: Path, index: int) -> float | None:
        """When a path expects a written note, from the origin of the search; never before it is due by the click."""
        if path.ref_ns is None:
            return None
        line = self._line
        own = path.ref_ns + (line.due_ns[index] - path.ref_due_ns) * path.stretch
        return max(own, line.due_ns[index] + path.shift_ns) if line.is_timed else own

    def _offer(self, move: _Move) -> None:
        """Keep a move if it is the best one into its state."""
        score = move.score
        if score < self._floor:
            return
        if score - MARGIN > self._floor:
            self._floor = score - MARGIN
        key = (move.front, move.open, move.off_line)
        known = self._moves.get(key)
        if known is None or known.score < score:
            self._moves[key] = move

    def _go_on(self, path: Path, sound: Sound) -> None:
        """The next written note, or one further on, those between being missed or, in a chord, still open."""
        line = self._line
        pitch = sound.note.pitch
        front = path.front
        last = min(line.size - 1, front + 1 + LONGEST_GAP)
        for index in range(front + 1, last + 1):
            # A wrong note after more than one missed note is not told from an extra one.
            if index > front + 2 and line.pitches[index] != pitch:
                continue
            moment = line.first_of_moment[index]
            if index == front + 1 and not path.open:
                still_open = missed = ()
            else:
                between = (*path.open, *range(front + 1, index))
                still_open = tuple(other for other in between if other >= moment)
                missed = tuple(other for other in between if other < moment)
            score = path.score + self._pitch_fit(index, sound) + self._time_fit(path, index, sound)
            if missed:
                score += fit.MISSED + self._ease + fit.MISSED_AGAIN * (len(missed) - 1)
            self._offer(_Move(score, path, Kind.WRITTEN, index, index, index, still_open, missed))
        self._swap(path, sound)

    def _swap(self, path: Path, sound: Sound) -> None:
        """The first of two neighbours that come the wrong way round, perhaps after one missed note."""
        line = self._line
        if path.open:
            return
        for early in (path.front + 1, path.front + 2):
            late = early + 1
            if late >= line.size or line.pitches[late] != sound.note.pitch:
                continue
            if line.first_of_moment[early] != early or line.first_of_moment[late] != late:
                continue
            missed = tuple(range(path.front + 1, early))
            score = path.score + fit.SWAPPED + self._ease + (fit.MISSED + self._ease) * len(missed)
            slot, time_fit = self._better_slot(path, early, late, sound)
            score += self._pitch_fit(late, sound) + time_fit
            self._offer(_Move(score, path, Kind.WRITTEN, late, slot, late, (early,), missed))

    def _fill(self, path: Path, sound: Sound) -> None:
        """A note behind the front that was still open."""
        for index in path.open:
            if self._line.pitches[index] == sound.note.pitch:
                rest = tuple(other for other in path.open if other != index)
                slot, time_fit = self._better_slot(path, index, path.front, sound)
                score = path.score + self._pitch_fit(index, sound) + time_fit
                self._offer(_Move(score, path, Kind.WRITTEN, index, slot, path.front, rest))

    def _better_slot(self, path: Path, one: int, other: int, sound: Sound) -> tuple[int, float]:
        """Whose time a note that is out of order was played at, and how well it fits: its own, or its neighbour's."""
        one_fit = self._time_fit(path, one, sound)
        if self._line.due_ns[one] == self._line.due_ns[other]:
            return one, one_fit
        other_fit = self._time_fit(path, other, sound)
        return (one, one_fit) if one_fit >= other_fit else (other, other_fit)

    def _add_extra(self, path: Path, sound: Sound) -> None:
        """A note that is not written; the path and its clock stay where they are."""
        line = self._line
        kind, score = Kind.EXTRA, fit.EXTRA
        following = path.front + 1
        if sound.is_ghost:
            kind, score = Kind.SPURIOUS, fit.GHOST
        elif following < line.size:
            note = sound.note
            grace = line.graces[following]
            if grace is not None and grace[1] == note.pitch and note.course in (None, grace[0]):
                kind, score = Kind.SPURIOUS, fit.APPROACH
            elif note.pitch == line.pitches[following] + 12 and note.course == line.courses[following]:
                kind, score = Kind.SPURIOUS, fit.OCTAVE_ATTACK
        if kind is Kind.EXTRA:
            score += self._ease
        if sound.is_quiet:
            score += fit.QUIET
        paused = self._paused_fit(path, sound)
        loose = path.is_loose or paused < 0
        self._offer(_Move(path.score + score + paused, path, kind, -1, -1, path.front, path.open, is_loose=loose))

    def _paused_fit(self, path: Path, sound: Sound) -> float:
        """What it costs that nothing at all was heard for so long before a note off the line; 0 without a pause."""
        line = self._line
        gap = line.gaps_ns[min(path.front + 1, line.size - 1)] * path.stretch
        late = sound.since_ns - gap
        return fit.pause_fit(late, gap) if _is_pause(late, gap) else 0.0

    def _leave(self, path: Path, sound: Sound) -> None:
        """The first note off the line."""
        paused = self._paused_fit(path, sound)
        score = path.score + fit.OFF_LINE_NOTE + (paused + fit.OFF_AFTER_PAUSE if paused < 0 else fit.OFF_LINE)
        self._offer(_Move(score, path, Kind.EXTRA, -1, -1, path.front, off_line=True))

    def _stay_off(self, path: Path) -> None:
        """One more note off the line."""
        score = path.score + fit.OFF_LINE_NOTE
        self._offer(_Move(score, path, Kind.EXTRA, -1, -1, path.front, off_line=True))

    def _catch_up(self, path: Path, sound: Sound) -> None:
        """Back on the line where its time has got to meanwhile: what was off the line was a garbled passage."""
        line = self._line
        following = path.front + 1
        last = min(line.size - 1, following + LONGEST_GARBLE)
        for index in line.places_of(sound.note.pitch, following, last):
            score = path.score + fit.CAUGHT_UP + self._pitch_fit(index, sound) + self._time_fit(path, index, sound)
            moment = line.first_of_moment[index]
            still_open = tuple(range(moment, index))
            missed = tuple(range(following, moment))
            self._offer(_Move(score, path, Kind.WRITTEN, index, index, index, still_open, missed, entered=True))

    def _jump(self, path: Path, sound: Sound) -> None:
        """A restart, repeat or skip, or the way back onto the line; only to notes of the pitch that was heard."""
        line = self._line
        following = path.front + 1
        in_time, paused = self._leave_fits(path, sound)
        if path.score + max(in_time + fit.SAME_PLACE_IN_BAR, paused + MOST_WELCOME) < self._floor:
            return
        here = line.pass_of(max(path.front, 0))
        there = line.pass_of(min(following, line.size - 1))
        first, last = max(0, following - FURTHEST_BACK), min(line.size - 1, following + FURTHEST_ON)
        places = line.places_of(sound.note.pitch, first, last)
        if here < first:
            places = line.places_of(sound.note.pitch, here, min(here + 2, first - 1)) + places
        phase = line.phases[following] if following < line.size else 0
        for index in places:
            # In time, whole bars are repeated or left out; after a pause anything may come.
            fits = in_time + fit.SAME_PLACE_IN_BAR if line.phases[index] == phase else MINUS_INFINITY
            if paused > MINUS_INFINITY:
                fits = max(fits, paused + self._entry_fit(index, sound))
            score = path.score + fits
            if index != following:
                score += fit.jump_fit(index - following) + line.welcome[index]
                if not here <= index < there + line.pass_length:
                    score += OTHER_PASS
            elif not path.off_line:
                continue
            if score >= self._floor:
                score += self._pitch_fit(index, sound)
                jumped = index != following
                self._offer(_Move(score, path, Kind.WRITTEN, index, index, index, entered=True, jumped=jumped))

    def _leave_fits(self, path: Path, sound: Sound) -> tuple[float, float]:
        """How well leaving the line fits here, in time and after a pause; minus infinity where it does not."""
        line = self._line
        if path.off_line:
            return MINUS_INFINITY, fit.BACK_ON_LINE
        if path.is_loose:
            return MINUS_INFINITY, fit.JUMP_AFTER_PAUSE
        if path.ref_ns is None or path.step is None:
            return MINUS_INFINITY, fit.JUMP_AFTER_PAUSE + fit.PAUSE
        slot = min(path.front + 1, line.size - 1)
        gap = line.gaps_ns[slot] * path.stretch
        since = sound.at_ns - path.ref_ns
        late = since - gap
        in_time = fit.JUMP_IN_TIME + fit.time_fit(late, gap, self._sigma_ns(path, gap, gap))
        if _is_pause(late, gap):
            return in_time, fit.JUMP_AFTER_PAUSE + fit.pause_fit(late, gap)
        return in_time, MINUS_INFINITY

    def _entry_fit(self, index: int, sound: Sound) -> float:
        """How well entering at a written note fits the beats of the click; 0 where there is no click."""
        line = self._line
        if not line.is_timed:
            return 0.0
        known = self._entries.get(index)
        if known is None:
            late = sound.at_ns - line.due_ns[index]
            off_beat = (late - round(late / line.beat_ns) * line.beat_ns) / ON_THE_BEAT_NS
            aligned = log(max(0.5 * line.beat_ns / (2.5 * ON_THE_BEAT_NS), 0.5)) - off_beat * off_beat / 2
            with_click = fit.WITH_THE_CLICK if abs(late) < line.beat_ns / 2 else 0.0
            known = self._entries[index] = max(aligned + with_click, log(0.5))
        return known

    def _pitch_fit(self, index: int, sound: Sound) -> float:
        """What was heard against what is written, remembered for the note at hand."""
        line = self._line
        course = sound.note.course
        key = line.spots[index]
        known = self._fits.get(key)
        if known is None:
            known = fit.pitch_fit(sound.note.pitch - key[0], same_string=course is None or course == key[1])
            if known < fit.EXACT:
                known += self._ease
            if sound.is_quiet:
                known -= fit.QUIET / 2
            self._fits[key] = known
        return known

    def _sigma_ns(self, path: Path, gap_ns: float, span_ns: float) -> float:
        if self._line.is_timed:
            doubt = CLICK_DOUBT
        else:
            doubt = DOUBTS[path.intervals] if path.intervals < len(DOUBTS) else STEADIEST_DOUBT
        return JITTER_NS + JITTER_SHARE * gap_ns + doubt * abs(span_ns)

    def _time_fit(self, path: Path, slot: int, sound: Sound) -> float:
        """When it was heard against when this path expects it, by its own clock or by the click."""
        if path.ref_ns is None or path.is_loose:
            return 0.0
        line = self._line
        gap = line.gaps_ns[slot] * path.stretch
        span = (line.due_ns[slot] - path.ref_due_ns) * path.stretch
        sigma = self._sigma_ns(path, gap, span)
        late = sound.at_ns - path.ref_ns - span
        score = fit.time_fit(late, gap, sigma)
        if line.is_timed:
            if _is_pause(late, gap):
                score += self._entry_fit(slot, sound)
            by_click = fit.time_fit(sound.at_ns - line.due_ns[slot] - path.shift_ns, gap, sigma) + fit.BACK_WITH_CLICK
            return max(score, by_click)
        return score

    def _walked(self, move: _Move, sound: Sound) -> Path:
        """The path that a move leads to."""
        path = move.path
        heard = sound.note.heard
        if move.kind is not Kind.WRITTEN:
            step = _unwritten(path, heard, move.kind)
            return path._replace(
                score=move.score,
                front=move.front,
                open=move.open,
                off_line=move.off_line,
                is_loose=move.is_loose,
                step=step,
            )
        ref_ns, stretch, intervals, shift_ns, deviation_ns = self._clock(move, sound)
        step = Step(
            heard=heard,
            before=path.step,
            kind=Kind.WRITTEN,
            taken=move.taken,
            from_index=path.last_taken,
            after_heard=path.last_heard,
            deviation_ns=deviation_ns,
            missed=move.missed,
            jumped=move.jumped,
            is_wrong=self._fits[self._line.spots[move.taken]] < fit.EXACT - fit.QUIET,
        )
        return Path(
            ref_ns=ref_ns,
            score=move.score,
            front=move.front,
            open=move.open,
            ref_due_ns=self._line.due_ns[move.slot],
            stretch=stretch,
            intervals=intervals,
            shift_ns=shift_ns,
            is_rival=path.is_rival,
            last_taken=move.taken,
            last_heard=heard,
            step=step,
        )

    def _clock(self, move: _Move, sound: Sound) -> tuple[float, float, int, int, int | None]:
        """Reference, stretch, intervals, shift and deviation after a written note was taken."""
        line, path = self._line, move.path
        at_ns = sound.at_ns
        due_ns = line.due_ns[move.taken]
        shift_ns = path.shift_ns
        deviation_ns: int | None = None
        if path.ref_ns is None:
            return float(at_ns), path.stretch, 0, shift_ns, None
        gap = line.gaps_ns[move.slot] * path.stretch
        written = line.due_ns[move.slot] - path.ref_due_ns
        late = at_ns - path.ref_ns - written * path.stretch
        entered = move.entered or path.is_loose or self._is_entry(path, late, gap)
        if line.is_timed:
            late_on_click = at_ns - due_ns - shift_ns
            if move.entered or (entered and abs(late_on_click) > line.beat_ns):
                shift_ns = round((at_ns - due_ns) / line.beat_ns) * line.beat_ns
            deviation_ns = at_ns - due_ns - shift_ns
        elif not entered:
            expected = path.ref_ns + (due_ns - path.ref_due_ns) * path.stretch
            deviation_ns = round((at_ns - expected) / 1000) * 1000
        if entered:
            return float(at_ns), path.stretch, min(path.intervals, 2), shift_ns, deviation_ns
        stretch, intervals = path.stretch, path.intervals
        if not line.is_timed and written > 0:
            gain = TEMPO_GAINS[min(intervals, len(TEMPO_GAINS) - 1)]
            most = TEMPO_RESIDUE * gap if intervals > 1 else abs(late)
            stretch = min(max(stretch + gain * min(max(late, -most), most) / written, 0.2), 5.0)
            intervals += 1
        ref_ns = at_ns - (1 - PHASE_GAIN) * late if abs(late) <= 0.5 * gap else float(at_ns)
        return ref_ns, stretch, intervals, shift_ns, deviation_ns

    def _is_entry(self, path: Path, late_ns: float, gap_ns: float) -> bool:
        """Whether a written note comes after a pause; while the tempo is being learnt, only after a long one."""
        learning = not self._line.is_timed and path.intervals <= LEARNT_AFTER
        return late_ns > 3 * gap_ns if learning else _is_pause(late_ns, gap_ns)


def _is_pause(late_ns: float, gap_ns: float) -> bool:
    """Whether something so much later than the expected gap was waited for."""
    return late_ns >= PAUSE_SHARE * gap_ns and late_ns + gap_ns >= SHORTEST_PAUSE_NS


def _rerooted(path: Path, settled: Step, steps: list[Step]) -> Path | None:
    """A path that reads the open notes like `path`, newest step first in `steps`, but has the settled past."""
    last_taken = settled.taken if settled.kind is Kind.WRITTEN else settled.from_index
    last_heard = settled.heard if settled.kind is Kind.WRITTEN else settled.after_heard
    before = settled
    is_back = False
    for step in reversed(steps):
        if step.kind is not Kind.WRITTEN or is_back:
            before = step._replace(before=before)
            if not is_back:
                before = before._replace(from_index=last_taken, after_heard=last_heard)
        else:
            jumped = step.taken != last_taken + 1
            before = step._replace(
                before=before, from_index=last_taken, after_heard=last_heard, missed=(), jumped=jumped
            )
            is_back = True
    if not is_back:
        return None
    score = path.score if path.is_rival else path.score + RIVAL
    return path._replace(score=score, step=before, is_rival=True)


def _path_score(path: Path) -> float:
    return path.score


def _unwritten(path: Path, heard: int, kind: Kind) -> Step:
    """A step that takes no written note."""
    return Step(heard, path.step, kind, -1, path.last_taken, path.last_heard)


def _score(move: _Move) -> float:
    return move.score
