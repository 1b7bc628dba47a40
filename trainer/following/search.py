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
the line, and what it took the last heard note for. Besides the state each path carries its own clock: a reference
onset, and how much slower than written it goes.

Faults are judged by how faulty the player has been so far (`paths.Usual`), so a messy take is not read as restarts.

Reference: Viterbi over skips and repeats, E. Nakamura et al. 2014 and T. Nakamura et al. 2016 (TASLP); the pauses, the
extra notes, the string and the clock per path are what lines that repeat themselves need in addition.
"""

from collections.abc import Sequence
from typing import NamedTuple

from trainer.following import likelihood as fit
from trainer.following.clock import SHORTEST_PAUSE_NS, entries, first_clock, is_early, is_with_click, ticked
from trainer.following.line import Line
from trainer.following.paths import Beam, Kind, Path, Step, Usual, unwritten
from trainer.following.waiting import (
    MINUS_INFINITY,
    NOODLING_STOP_NS,
    Sound,
    has_waited,
    leave_fits,
    paused_fit,
    stopped_fit,
)
from trainer.following.weighing import BEST_TIME_FIT, Weighing

WIDEST_BEAM = 16
"""Paths kept after each note; more did not read takes any better."""
MARGIN = 12.0
"""Paths this much less likely than the best (e**12) are dropped."""
LONGEST_GAP = 8
"""Written notes missed in a row; more is a skip."""
LONGEST_GARBLE = 16
"""Written notes that go by while something else is played in time."""
JUMPING_PATHS = 3
JUMPING_AFTER_PAUSE = 8
"""Only the best few paths jump; after a pause also those that may be in other copies of the passage."""
FURTHEST_BACK = 64
FURTHEST_ON = 48
"""How far jumps are looked for, in written notes."""
OTHER_PASS = -3.0
"""Jumps seldom lead into another pass over the line."""

MOST_WELCOME = 2.0
"""No place is more welcome than this after a pause, all things counted; saves looking where nothing can come of it."""


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


class Search:
    """Grows beams over one written line."""

    def __init__(self, line: Line) -> None:
        self._line = line
        self._moves: dict[tuple[int, tuple[int, ...], int, bool], _Move] = {}
        self.usual = Usual()

    def start(self) -> Beam:
        """The only path there is before anything is heard."""
        return (Path(first_clock(self._line)),)

    def grow(self, beam: Beam, sound: Sound, *, may_jump: bool = True, widest: int = WIDEST_BEAM) -> Beam:
        """The paths after one more heard note, `widest` of them at most."""
        self._begin(sound)
        jumping = 0
        if may_jump:
            jumping = JUMPING_AFTER_PAUSE if sound.since_ns >= SHORTEST_PAUSE_NS else JUMPING_PATHS
        for path in beam:
            if path.off_line:
                self._stay_off(path, sound)
                self._catch_up(path, sound)
                self._jump(path, sound)
                continue
            self._go_on(path, sound)
            self._fill(path, sound)
            paused = paused_fit(self._line, path, sound)
            self._add_extra(path, sound, paused)
            if jumping:
                jumping -= 1
                self._jump(path, sound)
                self._leave(path, sound, paused)
        return self._grown(sound, widest)

    def detour(self, path: Path, sound: Sound, index: int) -> Beam:
        """The path that jumps to a written note with this heard one, however unlikely that is; empty if it cannot."""
        self._begin(sound)
        self._jump(path, sound, (index,))
        return self._grown(sound, 1) if self._moves else ()

    def _begin(self, sound: Sound) -> None:
        """Nothing is known yet about the note at hand."""
        self._moves = {}
        self._floor = MINUS_INFINITY
        self._ease = self.usual.ease
        self._at_hand = Weighing(self._line, sound, self._ease, entries(self._line, self.usual.on_the_beat))

    def _grown(self, sound: Sound, widest: int) -> Beam:
        """The paths that the likely moves lead to."""
        floor = max(move.score for move in self._moves.values()) - MARGIN
        likely = [move for move in self._moves.values() if move.score >= floor]
        likely.sort(key=lambda move: move.score, reverse=True)
        return tuple(self._walked(move, sound) for move in likely[:widest])

    def _offer(self, move: _Move) -> None:
        """Keep a move if it is the best one into its state."""
        score = move.score
        if score < self._floor:
            return
        if score - MARGIN > self._floor:
            self._floor = score - MARGIN
        key = (move.front, move.open, move.taken, move.off_line)
        known = self._moves.get(key)
        if known is None or known.score < score:
            self._moves[key] = move

    def _go_on(self, path: Path, sound: Sound) -> None:
        """The next written note, or one further on, those between being missed or, in a chord, still open."""
        line, at_hand = self._line, self._at_hand
        front = path.front
        last = min(line.size - 1, front + 1 + LONGEST_GAP)
        # A wrong note after more than one missed note is not told from an extra one.
        for index in (
            *range(front + 1, min(front + 2, last) + 1),
            *line.places_of(sound.note.pitch, front + 3, last),
        ):
            score = path.score + at_hand.pitch_fit(index)
            still_open: tuple[int, ...] = ()
            missed: tuple[int, ...] = ()
            if index > front + 1 or path.open:
                between = (*path.open, *range(front + 1, index))
                moment = line.first_of_moment[index]
                if moment == index:  # no chord: saves looking at each
                    missed = between
                else:
                    still_open = tuple(other for other in between if other >= moment)
                    missed = tuple(other for other in between if other < moment)
                if missed:
                    score += fit.MISSED + self._ease + fit.MISSED_AGAIN * (len(missed) - 1)
            if score + BEST_TIME_FIT < self._floor:
                continue
            if missed and has_waited(line, path, sound, index):
                score += fit.MISSED_OVER_PAUSE
            score += at_hand.time_fit(path, index)
            if score >= self._floor:
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
            slot, time_fit = self._better_slot(path, early, late)
            score += self._at_hand.pitch_fit(late) + time_fit
            self._offer(_Move(score, path, Kind.WRITTEN, late, slot, late, (early,), missed))

    def _fill(self, path: Path, sound: Sound) -> None:
        """A note behind the front that was still open."""
        for index in path.open:
            if self._line.pitches[index] == sound.note.pitch:
                rest = tuple(other for other in path.open if other != index)
                slot, time_fit = self._better_slot(path, index, path.front)
                score = path.score + self._at_hand.pitch_fit(index) + time_fit
                self._offer(_Move(score, path, Kind.WRITTEN, index, slot, path.front, rest))

    def _better_slot(self, path: Path, one: int, other: int) -> tuple[int, float]:
        """Whose time a note that is out of order was played at, and how well it fits: its own, or its neighbour's."""
        one_fit = self._at_hand.time_fit(path, one)
        if self._line.due_ns[one] == self._line.due_ns[other]:
            return one, one_fit
        other_fit = self._at_hand.time_fit(path, other)
        return (one, one_fit) if one_fit >= other_fit else (other, other_fit)

    def _add_extra(self, path: Path, sound: Sound, paused: float) -> None:
        """A note that is not written, `paused` being what a pause before it costs; path and clock stay as they are."""
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
        score += path.score + paused
        if score >= self._floor:
            loose = path.clock.is_loose or paused < 0
            self._offer(_Move(score, path, kind, -1, -1, path.front, path.open, is_loose=loose))

    def _leave(self, path: Path, sound: Sound, paused: float) -> None:
        """The first note off the line, `paused` being what a pause before it costs."""
        score = path.score + fit.OFF_LINE_NOTE + (paused + fit.OFF_AFTER_PAUSE if paused < 0 else fit.OFF_LINE)
        if score >= self._floor:
            loose = path.clock.is_loose or (paused < 0 and sound.since_ns >= NOODLING_STOP_NS)
            self._offer(_Move(score, path, Kind.EXTRA, -1, -1, path.front, off_line=True, is_loose=loose))

    def _stay_off(self, path: Path, sound: Sound) -> None:
        """One more note off the line."""
        stopped = stopped_fit(self._line, path, sound)
        score = path.score + fit.OFF_LINE_NOTE + (stopped + fit.OFF_STILL if stopped < 0 else 0.0)
        loose = path.clock.is_loose or stopped < 0
        self._offer(_Move(score, path, Kind.EXTRA, -1, -1, path.front, off_line=True, is_loose=loose))

    def _catch_up(self, path: Path, sound: Sound) -> None:
        """Back on the line where its time has got to meanwhile: what was off the line was a garbled passage."""
        line = self._line
        if path.clock.is_loose:
            return
        following = path.front + 1
        last = min(line.size - 1, following + LONGEST_GARBLE)
        for index in line.places_of(sound.note.pitch, following, last):
            score = path.score + fit.CAUGHT_UP + self._at_hand.pitch_fit(index) + self._at_hand.time_fit(path, index)
            moment = line.first_of_moment[index]
            still_open = tuple(range(moment, index))
            missed = tuple(range(following, moment))
            self._offer(_Move(score, path, Kind.WRITTEN, index, index, index, still_open, missed, entered=True))

    def _jump(self, path: Path, sound: Sound, targets: Sequence[int] = ()) -> None:
        """A restart, repeat or skip, or the way back onto the line; only to notes of the pitch that was heard.

        Goes to the places that a player would go to, or to the `targets` whatever they are.
        """
        line = self._line
        following = path.front + 1
        in_time, paused = leave_fits(self._line, path, sound)
        if path.score + max(in_time, paused + MOST_WELCOME) < self._floor:
            return
        here = line.pass_of(max(path.front, 0))
        there = line.pass_of(min(following, line.size - 1)) + line.pass_length
        bar, phase = (line.bars[following], line.phases[following]) if following < line.size else (line.bars[-1] + 1, 0)
        expected = line.spots[following] if following < line.size else None
        for index in targets or self._near(sound.note.pitch, following, here):
            jumped = index != following
            if not (jumped or path.off_line):
                continue
            distance = fit.jump_fit(index - following) if jumped else fit.ON_AFTER_NOODLING - line.welcome[index]
            fits = in_time + fit.OUT_OF_BAR + distance if targets else MINUS_INFINITY
            if line.phases[index] == phase:
                fits = max(fits, in_time + fit.bars_fit(line.bars[index] - bar) - line.welcome[index])
            if line.spots[index] == expected:
                fits += fit.NO_NEED_TO_JUMP
            if paused > MINUS_INFINITY:
                ahead = 0.0
                if index > following:
                    with_click = is_with_click(path.clock, line, index, sound.at_ns)
                    ahead = fit.WITH_THE_CLICK if with_click else fit.AHEAD_AFTER_PAUSE
                fits = max(fits, paused + ahead + distance + self._at_hand.entry_fit(index))
            score = path.score + fits + self._at_hand.arrival_fit(index)
            if jumped and not here <= index < there:
                score += OTHER_PASS
            if score >= self._floor:
                still_open = tuple(range(line.first_of_moment[index], index))
                move = _Move(score, path, Kind.WRITTEN, index, index, index, still_open, entered=True, jumped=jumped)
                self._offer(move)

    def _near(self, pitch: int, following: int, here: int) -> list[int]:
        """The notes of this pitch round the one that would follow, and where the pass begins."""
        line = self._line
        first, last = max(0, following - FURTHEST_BACK), min(line.size - 1, following + FURTHEST_ON)
        places = line.places_of(pitch, first, last)
        return line.places_of(pitch, here, min(here + 2, first - 1)) + places if here < first else places

    def _walked(self, move: _Move, sound: Sound) -> Path:
        """The path that a move leads to."""
        path = move.path
        heard = sound.note.heard
        if move.kind is not Kind.WRITTEN:
            clock = path.clock._replace(is_loose=True) if move.is_loose and not path.clock.is_loose else path.clock
            # Positions, not names: paths are made by the dozen for each heard note.
            return Path(
                clock,
                move.score,
                move.front,
                move.open,
                move.off_line,
                path.is_rival,
                path.is_displaced,
                path.last_taken,
                path.last_heard,
                unwritten(path, heard, move.kind),
            )
        is_hasty = not move.entered and is_early(path.clock, self._line, sound.at_ns, move.slot)
        clock, deviation_ns = ticked(path.clock, self._line, sound.at_ns, move.taken, move.slot, is_entry=move.entered)
        step = Step(
            heard,
            path.step,
            Kind.WRITTEN,
            move.taken,
            path.last_taken,
            path.last_heard,
            deviation_ns,
            clock.trail,
            () if path.is_displaced else move.missed,
            move.taken != path.last_taken + 1 if path.is_displaced else move.jumped,
            self._at_hand.is_wrong(move.taken),
            is_hasty,
        )
        return Path(
            clock,
            move.score,
            move.front,
            move.open,
            is_rival=path.is_rival,
            last_taken=move.taken,
            last_heard=heard,
            step=step,
        )
