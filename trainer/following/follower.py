"""The follower: which written note each heard note is, said at once and settled a little later.

Theory of operation
-------------------
`trainer.following.search` keeps the paths that explain what was heard. After every note the best path is read back
over the notes that are not yet settled, and whatever differs from what was said before is said again: that is a
revision. A heard note is settled when `Tolerance.revise_notes` later ones were received or `Tolerance.revise_ns` has
passed; paths that disagree with a settled verdict are dropped, so settled verdicts stand.

Heard notes are kept in the order of their onsets, each with the beam from before it. A note that becomes known late
(it arrived as a bend) is put in its place, and a note that turns out to be a slip of the pickup or a fret passed on
the way is taken out, by growing the beam again from there. Only taking a note out reopens settled verdicts.

Time passes only through the stamps: every method first does what is due by then (`advance`), in the order in which it
fell due, so verdicts do not depend on how often `advance` is called; it must not be called with a time past the
`known_ns` of a note that is still to be received.

What the deviation means
------------------------
In click pace it is played minus due. A player who goes on after a jump, or after a pause more than a beat late, has
left the click by some whole beats; from there on it is counted from the nearest beat. So a note in the right order is
matched however late it is, and the deviation says how late; `assessment` counts how many lie within the hit window.
At one's own pace it is played minus where the notes before led (`trainer.following.own_pace`), whatever tempo is
written, and None where these are too few: at the start, after a pause and after a jump. Bias is meaningless there.

In click pace a note is provisionally missed once it is overdue: half an interval, and 80 ms, after it was due or, when
the player drags, after it was expected. Only one note is given up like this without hearing anything: a player who has
stopped is not told so note by note. It is settled when the player goes on: taken back if the note comes after all, left
missed in that attempt if the player has jumped away.

What is said at once
--------------------
Each path's share of the likelihood says how certain a reading is, and on drawn takes that share is near the truth: of
the readings with a share of 0.5 about four in ten are revised. What is less likely than `LIKELY` is therefore not said
at once but with the next note, or when it is settled; mostly right after a jump. An overdue note can wait for the next
note better still: it is only given up where the place is nearly certain, and not if this player tends to wait.
"""

from collections import Counter
from statistics import median

from trainer.following.clock import expected_ns
from trainer.following.elsewhere import LONGEST_TRAIL, trails
from trainer.following.explaining import Account, Candidate, candidates, settled_first
from trainer.following.line import Line
from trainer.following.moment import NEIGHBOURS, Moment, is_slip
from trainer.following.paths import Beam, Path, Step, joined, likelihood, settle, unhurried, without
from trainer.following.search import MARGIN, Search
from trainer.following.telling import Telling
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Jump, Missed, Pace, Verdict
from trainer.following.waiting import Sound
from trainer.following.weighing import BEST_TIME_FIT
from trainer.playing.messages import NoteOnset, NotePassed, TechniqueHeard
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo

OVERDUE_NS = 80_000_000
"""In click pace a note is overdue this long, or half an interval, after it was due; the longer of the two."""
LIKELY = 0.6
LIKELY_PLACE = 0.9
SELDOM = 0.21
"""An overdue note is given up if the place is so certain, and if at most this share of them came after all."""
QUIET_SHARE = 0.6
"""Softer than this share of the usual velocity is quiet."""
VELOCITIES_KEPT = 16
DOUBTED_NOTES, DOUBT = 5, -9.0
DOUBT_NOW = -1.5
"""If so many notes in a row, and the last one of them, read worse than this, they are looked for elsewhere."""
MOMENTS_KEPT = 48
"""Notes that can still be taken out; a slide over a whole neck passes 24 frets."""


class Follower:
    """Follows one take of one line; all methods return what is newly said, in order."""

    def __init__(
        self,
        exercise: Exercise,
        pace: Pace,
        tempo: Tempo,
        starts_at_ns: int,
        tolerance: Tolerance,
        pass_length: int | None = None,
        *,
        keeps_account: bool = False,
    ) -> None:
        self._tolerance = tolerance
        self._line = Line(exercise, pace, tempo, pass_length)
        self._search = Search(self._line)
        self._found: tuple[Moment, int] | None = None
        """Where the last notes would read better: a heard note, and the written one that it would be."""
        self._beam = self._search.start()
        self._origin_ns: int | None = starts_at_ns if self._line.is_timed else None
        self._moments: list[Moment] = []
        self._settled_count = 0
        self._received = 0
        self._velocities: list[int] = []
        self._overdue: list[Missed] = []
        self._silent_after: int | None = None
        """The heard note after which a note was last overdue."""
        self._telling = Telling(exercise)
        self._attempted: Counter[int] = Counter()
        self._jumps_said: set[int] = set()
        self._keeps_account = keeps_account
        self._at_once: dict[int, tuple[Candidate, ...]] = {}
        self.accounts: dict[int, Account] = {}
        """How each heard note was read, by its ordinal; empty unless asked for."""

    def receive(self, onset: NoteOnset) -> tuple[Verdict, ...]:
        """A note was heard."""
        said = self._expire(onset.known_ns)
        if self._origin_ns is None:
            self._origin_ns = onset.onset_ns
        place = len(self._moments)
        while place > self._settled_count and self._moments[place - 1].sound.note.onset_ns > onset.onset_ns:
            place -= 1
        self._moments.insert(place, Moment(self._sound_of(onset, place), self._received))
        self._received += 1
        self._velocities = [*self._velocities[-VELOCITIES_KEPT + 1 :], onset.velocity]
        self._grow_from(place)
        if self._keeps_account:
            self._at_once[onset.heard] = candidates(self._beam, onset.heard)
        said += self._settle_by_count()
        said += self._tell(onset.known_ns)
        return tuple(said)

    def passed(self, passed: NotePassed) -> tuple[Verdict, ...]:
        """A heard note was no note of the player's: it is not charged, and the written note that it took is free."""
        said = self._expire(passed.known_ns)
        for place in range(len(self._moments) - 1, -1, -1):
            moment = self._moments[place]
            if moment.sound.note.heard == passed.heard:
                break
        else:
            return tuple(said)
        if moment.is_passed:
            return tuple(said)
        moment.is_passed = True
        if moment.before:
            self._reopen(place)
            self._grow_from(place)
        said += self._settle_by_count()
        said += self._expire(passed.known_ns)
        said += self._tell(passed.known_ns)
        return tuple(said)

    def technique(self, told: TechniqueHeard) -> tuple[Verdict, ...]:
        """How a heard note was begun has become known."""
        said = self._expire(told.known_ns)
        return (*said, *self._telling.technique(told))

    def advance(self, now_ns: int) -> tuple[Verdict, ...]:
        """Time has passed: what is overdue is missed, what was said long enough ago is settled."""
        return tuple(self._expire(now_ns))

    def finish(self, now_ns: int) -> tuple[Verdict, ...]:
        """The take is over: everything is settled, and what was never played is missed."""
        said = self._expire(now_ns)
        self._overdue = []
        if self._settled_count < len(self._moments):
            self._beam = unhurried(self._beam, self._moments[-1].sound.note.heard)
        while self._settled_count < len(self._moments):
            said += self._settle_next()
        said += self._tell(now_ns)
        after = self._beam[0].last_heard
        for index in range(self._line.size):
            if not self._attempted[index]:
                self._attempted[index] += 1
                said.append(Missed(index, after, now_ns, settled=True))
        return tuple(said)

    def _sound_of(self, onset: NoteOnset, place: int) -> Sound:
        """A heard note with what can be said about it without the line."""
        is_quiet = bool(self._velocities) and onset.velocity < QUIET_SHARE * median(self._velocities)
        before = self._moments[max(0, place - NEIGHBOURS) : place]
        since_ns = onset.onset_ns - before[-1].sound.note.onset_ns if before else 0
        is_open_string = onset.course is not None and onset.pitch == self._line.open_pitches.get(onset.course)
        is_ghost = is_slip(onset, before) or (is_quiet and is_open_string)
        return Sound(onset, onset.onset_ns - (self._origin_ns or 0), is_ghost, is_quiet, since_ns)

    def _grow_from(self, place: int) -> None:
        """Read the notes from `place` on anew."""
        moments = self._moments
        anew = moments[place] if moments[place].before else moments[min(place + 1, len(moments) - 1)]
        beam = self._agreeing(anew.before) if anew.before else self._beam
        for at, moment in enumerate(moments[place:], start=place):
            moment.before = beam
            beam = self._read(moment, beam)
            if not moment.is_passed:
                beam = self._looked_elsewhere(at, beam)
        self._beam = beam
        stale = len(moments) - MOMENTS_KEPT
        if stale > 0:
            moments[stale - 1].before = ()

    def _read(self, moment: Moment, beam: Beam) -> Beam:
        """The paths after one more moment."""
        if moment.is_passed:
            return without(beam, moment.sound.note.heard)
        return self._search.grow(beam, moment.sound)

    def _read_straight(self, moment: Moment, beam: Beam) -> Beam:
        """The best path after one more moment without jumping."""
        if moment.is_passed:
            return without(beam, moment.sound.note.heard)
        return self._search.grow(beam, moment.sound, may_jump=False, widest=1)

    def _looked_elsewhere(self, place: int, beam: Beam) -> Beam:
        """The paths after the moment at `place`, and where it reads badly such as jump to where it would read well.

        Looking a place up and reading it anew each cost as much as a note, so the one is done with one note and the
        other with the next.
        """
        score = beam[0].score
        doubted = self._moments[max(0, place + 1 - DOUBTED_NOTES)].before
        if not doubted or score > doubted[0].score + DOUBT or score > self._moments[place].before[0].score + DOUBT_NOW:
            return beam
        moments = [m for m in self._moments[max(0, place + 1 - LONGEST_TRAIL) : place + 1] if m.before]
        found, self._found = self._found, None
        if found is None:
            self._found = self._looked_up(moments, beam)
        elif found[0] in moments:
            return self._read_anew(*found, moments, beam)
        return beam

    def _looked_up(self, moments: list[Moment], beam: Beam) -> tuple[Moment, int] | None:
        """The heard note and the written one from which the last notes read best, if no path is there already."""
        readable = [m for m in moments if not (m.is_passed or m.sound.is_ghost)]
        reached = {path.front for path in beam if path.step is not None and path.step.taken == path.front}
        for trail in trails(self._line, [m.sound.note for m in readable], beam[0].front + 1):
            if trail.last_index not in reached:
                return readable[trail.first_heard], trail.first_index
        return None

    def _read_anew(self, first: Moment, index: int, moments: list[Moment], beam: Beam) -> Beam:
        """The paths, and the one that jumped to written note `index` at the moment `first`, if it is likely enough."""
        score = beam[0].score
        detour = self._search.detour(first.before[0], first.sound, index)
        rest = moments[moments.index(first) + 1 :]
        for read, moment in enumerate(rest):
            if not detour or detour[0].score + (len(rest) - read) * BEST_TIME_FIT < score - MARGIN:
                return beam
            detour = self._read_straight(moment, detour)
        return joined(beam, self._agreeing(detour)) if detour else beam

    def _agreeing(self, beam: Beam) -> Beam:
        """A beam from before, with what has been settled since."""
        first = max(0, self._settled_count - 2 * self._tolerance.revise_notes)
        for moment in self._moments[first : self._settled_count]:
            if moment.step is not None:
                beam = settle(beam, moment.step)
        return beam

    def _reopen(self, place: int) -> None:
        """Let the verdicts from `place` on be unsettled again."""
        for moment in self._moments[place : self._settled_count]:
            if moment.step is not None:
                self._count_attempts(moment, -1)
                self._telling.reopen(moment.step, moment.sound.note, moment.missed)
            moment.step, moment.missed = None, ()
        self._settled_count = min(self._settled_count, place)

    def _count_attempts(self, moment: Moment, by: int) -> None:
        if moment.step is not None and moment.step.taken >= 0:
            self._attempted[moment.step.taken] += by
        for index in moment.missed:
            self._attempted[index] += by

    def _left_behind(self, step: Step) -> tuple[int, ...]:
        """The notes that a step passes over, or what was overdue when the player jumped away."""
        if not step.jumped:
            return step.missed
        return tuple(m.index for m in self._overdue if m.after_heard == step.after_heard and m.index != step.taken)

    def _expire(self, now_ns: int) -> list[Verdict]:
        """What falls due until `now_ns`, in the order in which it does."""
        said: list[Verdict] = []
        while True:
            settles_ns = self._settles_ns()
            overdue = self._next_overdue()
            limit_ns = now_ns if settles_ns is None else min(now_ns, settles_ns)
            if overdue is not None and overdue.known_ns < limit_ns:
                self._silent_after = overdue.after_heard
                if self._is_worth_saying_overdue():
                    self._overdue.append(overdue)
                    said += self._tell(overdue.known_ns)
            elif settles_ns is not None and settles_ns <= now_ns:
                if self._settled_count == len(self._moments) - 1:
                    self._beam = unhurried(self._beam, self._moments[-1].sound.note.heard)
                said += self._settle_next()
                said += self._tell(settles_ns)
            else:
                return said

    def _settles_ns(self) -> int | None:
        """When the next verdict is settled by the passing of time."""
        if self._settled_count == len(self._moments):
            return None
        return self._moments[self._settled_count].sound.note.known_ns + self._tolerance.revise_ns

    def _next_overdue(self) -> Missed | None:
        """The next written note that is given up if nothing is heard, known at the time when it is."""
        path, line = self._beam[0], self._line
        if not line.is_timed or path.off_line or path.last_heard == self._silent_after:
            return None
        index = path.front + 1
        expected = expected_ns(path.clock, line, index) if index < line.size else None
        if expected is None or self._origin_ns is None:
            return None
        overdue_ns = round(expected) + max(line.gaps_ns[index] // 2, OVERDUE_NS) + self._origin_ns
        return Missed(index, path.last_heard, overdue_ns, settled=False)

    def _is_worth_saying_overdue(self) -> bool:
        """Whether an overdue note is likely to stay missed: the place is certain, and the player seldom waits."""
        step = self._beam[0].step
        return self._search.usual.waits <= SELDOM and (step is None or likelihood(self._beam, step) >= LIKELY_PLACE)

    def _settle_by_count(self) -> list[Verdict]:
        """Settle the notes that enough later ones have followed."""
        said: list[Verdict] = []
        while self._settled_count < len(self._moments):
            moment = self._moments[self._settled_count]
            if self._received - moment.ordinal - 1 < self._tolerance.revise_notes:
                break
            said += self._settle_next()
        return said

    def _settle_next(self) -> list[Verdict]:
        """Settle the oldest open verdict as the best path reads it."""
        moment = self._moments[self._settled_count]
        step = self._beam[0].step
        while step is not None and step.heard != moment.sound.note.heard:
            step = step.before
        assert step is not None, "every path reads every note"  # noqa: S101 - an invariant of the search
        missed = self._left_behind(step)
        if step.jumped:
            # A note that was skipped and never attempted is missed; one that was played before keeps its verdict.
            skipped = range(step.from_index + 1, step.taken)
            missed += tuple(index for index in skipped if index not in missed and not self._attempted[index])
        moment.step, moment.missed = step, missed
        if self._keeps_account:
            found = settled_first(candidates(self._beam, step.heard), step)
            self.accounts[step.heard] = Account(step.heard, self._at_once[step.heard], found)
        self._settled_count += 1
        self._beam = settle(self._beam, step)
        self._search.usual.count(step, was_overdue=step.after_heard == self._silent_after)
        self._count_attempts(moment, 1)
        said = self._telling.step(step, moment.sound.note, missed, settled=True)
        if step.jumped and step.heard not in self._jumps_said:
            self._jumps_said.add(step.heard)
            said.append(Jump(step.heard, step.from_index, step.taken))
        return said

    def _tell(self, now_ns: int) -> list[Verdict]:
        """What the best path says about the open notes, as far as it was not said before."""
        path = self._beam[0]
        steps: list[Step] = []
        step = path.step
        for _ in range(len(self._moments) - self._settled_count):
            assert step is not None, "every path reads every note"  # noqa: S101 - an invariant of the search
            steps.append(step)
            step = step.before
        jumped_from = {step.after_heard for step in steps if step.jumped}
        self._overdue = [m for m in self._overdue if _stands(m, path) or m.after_heard in jumped_from]
        overdue = [missed for missed in self._overdue if _stands(missed, path)]
        standing = {(missed.index, missed.after_heard) for missed in overdue}
        standing.update((index, step.after_heard) for step in steps for index in self._left_behind(step))
        said = self._telling.take_back(standing, now_ns)
        for moment, step in zip(self._moments[self._settled_count :], reversed(steps), strict=True):
            if not self._telling.has_told(step.heard) and likelihood(self._beam, step) < LIKELY:
                continue
            said += self._telling.step(step, moment.sound.note, self._left_behind(step), settled=False)
        for missed in overdue:
            said += self._telling.overdue(missed)
        return said


def _stands(missed: Missed, path: Path) -> bool:
    """Whether a note given up while nothing was heard is still ahead of a path."""
    return missed.after_heard == path.last_heard and missed.index > path.front
