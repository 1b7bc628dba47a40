"""A kept take on the screen, followed and judged again as it runs, and gone through like a recording.

Stopped, it can be walked over note by note, bar by bar and from slip to slip; it goes on from wherever it stands, with
everything before that judged as it was. What was heard of it sounds along, where there is a sound.
"""

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import partial
from pathlib import Path

from pygame import Surface

from trainer.devices.sound import Sound
from trainer.following.verdict import Pace
from trainer.history.judged import session_over
from trainer.judging import tempo_of
from trainer.other_takes import UNREADABLE, other_files, other_take
from trainer.playing.messages import StampedMessage
from trainer.playing.take import Take, TakeHeader, read_take
from trainer.practiceroom import tidy_memory
from trainer.run import Run, RunPlan
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_from_dict
from trainer.screens.other_takes import OtherTakes
from trainer.screens.parts import whole_bars
from trainer.screens.passage import Passage, Shown, passage_surface
from trainer.screens.practice import Outcome
from trainer.screens.result import ResultScreen
from trainer.screens.review import SPEED_WORDS, Recording, ReviewDoors, ReviewScreen
from trainer.screens.screen import Screen
from trainer.screens.take_note import TakeNote
from trainer.sounds.heard import HeardNote, heard_notes, render_heard
from trainer.sounds.samples import mixed
from trainer.tablature.state import state_of
from trainer.take_notes import keep_note, read_note
from trainer.take_pictures import picture_beside
from trainer.theory.tuning import Tuning
from trainer.tutor import advice_on

BEFORE_NS = 700_000_000
"""What is gone on from begins so much earlier, so that it is not missed."""
PICTURE_PX = 1600
"""How wide a picture is that is asked for by a key."""


def replay_screen(
    take: Take,
    header: TakeHeader,
    exercise: Exercise,
    leave: Callable[[], Screen] | None = None,
    *,
    sound: Sound | None = None,
    others: Sequence[Path] = (),
    shows_other: bool = False,
    path: Path | None = None,
    has_result: bool = True,
    note: str = "",
) -> Screen:
    """The screen of a kept take; its result, if it has one, leads back to it, or else to wherever `leave` does.

    `others` are files that can be laid under it, the first one from the start where `shows_other`. `path` is the take's
    own file: beside it lie the note about it and pictures of it; `note` is one about a take without a file.
    """
    replay = Replay(take, header, exercise.tuning, sound)
    plan = plan_of(header, exercise)
    doors = ReviewDoors(
        OtherTakes([partial(other_take, file, exercise) for file in others], is_shown=shows_other),
        TakeNote(note) if path is None else TakeNote(read_note(path), partial(keep_note, path)),
        None if path is None else partial(_keep_picture, path, plan, header),
    )

    def practice(again: RunPlan) -> Screen:
        return ReviewScreen(
            again,
            replay,
            status=lambda: f"Replay of a take of {take_words(header)}.",
            show_result=result if has_result or leave is None else lambda _outcome: leave(),
            leave_to=leave or (lambda: practice(plan)),
            doors=doors,
        )

    def result(outcome: Outcome) -> Screen:
        advice = advice_on(outcome, header.profile)
        return ResultScreen(
            outcome, play_again=lambda _: practice(plan), leave_to=leave or (lambda: practice(plan)), advice=advice
        )

    return practice(plan)


def review_of(path: Path, leave: Callable[[], Screen], sound: Sound) -> Screen | None:
    """A take that was just played, gone through and left again; None when it cannot be read."""
    try:
        take = read_take(path)
        if take.header is None:
            return None
        exercise = exercise_from_dict(dict(take.header.exercise))
    except UNREADABLE:
        return None
    others = other_files(exercise, path.parent, path)
    return replay_screen(take, take.header, exercise, leave, sound=sound, others=others, path=path, has_result=False)


def take_words(header: TakeHeader) -> str:
    """Which take it is."""
    whose = f"{header.player}, " if header.player else ""
    played_on = f", played on {header.input}" if header.input else ""
    return f"{whose}{header.date[:16].replace('T', ' ')}{played_on}"


def passage_of(path: Path, plan: RunPlan, header: TakeHeader, shown: Shown) -> Passage:
    """Some notes of a take, for a picture."""
    return Passage(plan.exercise.repeated(plan.passes), plan.tempo, shown, take_words(header), read_note(path))


def picture_of(
    path: Path,
    take: Take,
    header: TakeHeader,
    exercise: Exercise,
    second: Path | None,
    width_px: int,
    ends: tuple[int, int] | None,
) -> Surface:
    """A picture of a take, or of the bars of some of its notes, with another take below it.

    `ValueError` for what cannot be.
    """
    session = session_over(take, header)
    stretch_notes = len(session.exercise.notes)
    first, last = ends or (0, stretch_notes - 1)
    if not 0 <= first <= last < stretch_notes:
        raise ValueError(f"notes {first}-{last}: expected a first and a last one of 0 to {stretch_notes - 1}")
    plan = plan_of(header, exercise)
    first, last = whole_bars(session.exercise, first, last)
    states = {
        index: state_of(index, session.exercise, session.ledger, session.onsets) for index in range(first, last + 1)
    }
    other = None if second is None else other_take(second, exercise)
    beside = None if other is None else other.of_passes(session.pass_length, stretch_notes)
    shown = Shown(first, last, states, beside, "" if other is None else other.words)
    return passage_surface(passage_of(path, plan, header, shown), width_px)


def plan_of(header: TakeHeader, exercise: Exercise) -> RunPlan:
    """How a kept take was played."""
    tempo = tempo_of(header.quarters_per_minute)
    bars = Fraction(header.starts_at_ns, max(1, tempo.ns(exercise.meter.bar_quarters)))
    return RunPlan(exercise, tempo, pace=Pace(header.pace), passes=header.passes, count_in_bars=round(bars))


def _keep_picture(path: Path, plan: RunPlan, header: TakeHeader, shown: Shown) -> str:
    return picture_beside(passage_surface(passage_of(path, plan, header, shown), PICTURE_PX), path)


class Replay(Recording):
    """Gives the messages of a kept take again, at the times at which they came, and lets what was heard sound.

    Its own clock is the steady one until the speed changes; from then on it runs faster or slower than that. What
    sounds is begun anew whenever the take is begun, sought, or changes its speed.
    """

    speeds = tuple(sorted(SPEED_WORDS))

    def __init__(self, take: Take, header: TakeHeader, tuning: Tuning, sound: Sound | None = None) -> None:
        self._take = take
        self._header = header
        self._tuning = tuning
        self._sound = sound if sound is not None and sound.is_audible else None
        self._notes: tuple[HeardNote, ...] | None = None
        self._is_heard = True
        self._steady_ns = self._own_ns = 0
        """A time of the steady clock, and the own clock's time then."""
        self._latest_ns = 0
        """The time of the steady clock that was asked for last."""
        self._run: Run | None = None
        self._from_ns = 0
        self._zero_ns = 0
        self._given = 0

    @property
    def is_heard(self) -> bool | None:
        """Whether it sounds; None: nothing can."""
        return None if self._sound is None else self._is_heard

    def clock(self, steady_ns: int) -> int:
        """The own clock's time; it stands until what was begun last is heard."""
        self._latest_ns = steady_ns
        return self._own_ns + max(0, int((steady_ns - self._steady_ns) * self.speed))

    def change_speed(self, steps: int) -> None:
        """Faster or slower, as far as it goes."""
        place = self.speeds.index(self.speed) + steps
        now_ns = self.clock(self._latest_ns)
        self._steady_ns, self._own_ns = self._latest_ns, now_ns
        self.speed = self.speeds[max(0, min(len(self.speeds) - 1, place))]
        self._let_sound(now_ns)

    def turn_sound(self) -> None:
        """Let it be heard, or not."""
        self._is_heard = not self._is_heard
        if self._is_heard:
            self._let_sound(self.clock(self._latest_ns))
        elif self._sound is not None:
            self._sound.stop()

    def seek(self, from_ns: int) -> None:
        """Let the next run begin there in the take; what came before is given at once."""
        self._from_ns = max(0, from_ns - BEFORE_NS)

    def start_run(self, plan: RunPlan, now_ns: int) -> Run:
        """Begin where it was sought, else at the take's beginning."""
        self._zero_ns, self._given, self._from_ns = now_ns - self._from_ns, 0, 0
        tidy_memory()
        self._run = Run(plan, zero_ns=self._zero_ns, profile=self._header.profile, stop_sound=self._hush)
        self._let_sound(now_ns)
        return self._run

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """What had arrived by then."""
        first = self._given
        messages = self._take.messages
        while self._given < len(messages) and messages[self._given].stamp_ns + self._zero_ns <= now_ns:
            self._given += 1
        return tuple(m._replace(stamp_ns=m.stamp_ns + self._zero_ns) for m in messages[first : self._given])

    def rest(self, now_ns: int) -> tuple[tuple[StampedMessage, ...], int]:
        """All that had not arrived by then, and when the take is over."""
        messages = self._take.messages
        over_ns = max([self._take.ends_at_ns, *(message.stamp_ns for message in messages[-1:])])
        end_ns = max(now_ns, self._zero_ns + over_ns)
        return self.poll(end_ns), end_ns

    def _let_sound(self, now_ns: int) -> None:
        """Let the run that is open be heard from here on; the own clock goes on when its first sample is heard."""
        if self._sound is None or not self._is_heard or self._run is None or self._run.is_finished:
            return
        if self._notes is None:
            self._notes = heard_notes(self._take.messages, self._header.profile, self._tuning)
        samples = mixed(render_heard(self._notes, now_ns - self._zero_ns, self.speed))
        self._steady_ns, self._own_ns = self._sound.start(samples), now_ns

    def _hush(self) -> None:
        if self._sound is not None:
            self._sound.stop()
