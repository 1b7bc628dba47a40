"""Call and answer: a phrase is played or demonstrated, another player answers it, and the answer is judged against it.

Theory of operation: turns follow by themselves. A phrase that is played is over when no note has begun for `silence_ns`
after its last one; it becomes a line (`capture.writing`), and from that moment on the other player's notes are an
answer, followed by a `Session` of that line at the player's own pace. The answer is over by the same silence; then the
next call may begin. Who begins before that silence is over is not cut off: what each plays after the other's last note
is kept and counts when the turn is theirs. A caller who plays on before anything was answered calls anew.

Conventions: stamps and `now_ns` are on one steady clock; time is told as late as messages can be on their way.
"""

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from itertools import pairwise

from trainer.capture.listening import PhraseListener, PhraseNote
from trainer.capture.writing import Asked, CaptureError, Writing, captured
from trainer.following.verdict import Pace
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.score.exercise import Exercise
from trainer.session import Session
from trainer.theory.tuning import Tuning

MOST_WAITING = 4096
"""So many messages of who is not yet asked to play are kept; older ones are let go."""


class Turn(Enum):
    """Whose turn it is."""

    CALL = "call"
    DEMONSTRATION = "demonstration"
    """The call is let sound."""
    ANSWER = "answer"


@dataclass(frozen=True, slots=True)
class Player:
    """One of the two, as they are heard."""

    profile: PickupProfile
    announced: tuple[StampedMessage, ...] = ()
    """What the device has said before and still holds, stamped 0."""


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer that is over."""

    line: Exercise
    """What was called."""
    session: Session


def line_of(phrase: Sequence[PhraseNote], tuning: Tuning) -> Exercise | str:
    """A call as a line, or a sentence why it is none."""
    try:
        return captured(phrase, Asked(tuning, title="The call")).exercise
    except CaptureError as error:
        return f"The call cannot be written down: {error}. Call again."


def written_at_once(phrase: Sequence[PhraseNote], tuning: Tuning) -> Writing:
    """The line of a call, without waiting for a better moment to work it out."""
    line = line_of(phrase, tuning)
    return lambda: line


class CallAndAnswer:
    """Feed what each player sends and tell the time; read whose turn it is, and the last answer.

    `answerer` None: both play on one input, whose messages go to `feed_caller`. `write` begins to make a line of a
    call; what is played before that is done belongs to the answer.
    """

    def __init__(
        self,
        caller: Player,
        answerer: Player | None,
        tuning: Tuning,
        silence_ns: int,
        write: Callable[[Sequence[PhraseNote], Tuning], Writing] = written_at_once,
    ) -> None:
        self._caller, self._answerer, self._tuning = caller, answerer or caller, tuning
        self._is_shared = answerer is None
        self.silence_ns = silence_ns
        """So long after the last note a phrase is over."""
        self.turn = Turn.CALL
        self.line: Exercise | None = None
        """What was called last."""
        self.answer: Answer | None = None
        """The last answer; None while it is called for and before."""
        self.remark = ""
        """Why a call could not be written down."""
        self._write = write
        self._writing: Writing | None = None
        self._session: Session | None = None
        self._zero_ns = self._sounds_until_ns = self._call_ended_ns = self._counted = 0
        self._waiting: deque[StampedMessage] = deque(maxlen=MOST_WAITING)
        """What the answerer played after the last note of the call, before the silence has ended it."""
        self._listener = self._new_listener()
        """Hears the call; while it is answered, what the caller has played after the last note of the answer."""

    @property
    def notes(self) -> int:
        """How many notes of this turn were heard."""
        match self.turn:
            case Turn.CALL:
                return self._listener.count
            case Turn.DEMONSTRATION:
                return 0
            case Turn.ANSWER:
                return 0 if self._session is None else len(self._session.onsets)

    def feed_caller(self, messages: Iterable[StampedMessage]) -> None:
        """What the caller's device sent."""
        if self._is_shared and self.turn is Turn.ANSWER:
            self._answered(messages)
        elif self._writing is not None:
            self._waiting.extend(messages if self._is_shared else ())
        elif self.turn is not Turn.DEMONSTRATION:
            for message in messages:
                self._listener.feed(message)

    def feed_answerer(self, messages: Iterable[StampedMessage]) -> None:
        """What the answerer's device sent."""
        if self.turn is Turn.ANSWER:
            self._answered(messages)
        else:
            self._waiting.extend(messages)

    def demonstrate(self, line: Exercise, ends_ns: int) -> None:
        """Take this line for the call; it sounds until `ends_ns`, and then the answer is waited for."""
        self._turn_to(Turn.DEMONSTRATION)
        self._sounds_until_ns, self.line, self.answer, self.remark = ends_ns, line, None, ""

    def advance(self, now_ns: int) -> None:
        """Time has passed, and nothing stamped before `now_ns` is to come."""
        if self._writing is not None:
            self._written(self._writing)
            return
        self._listener.advance(now_ns)
        if self._session is not None:
            self._session.advance(now_ns - self._zero_ns)
        self._note_beginnings()
        last_ns, silence_ns = self._last()
        if last_ns is not None and now_ns - last_ns > silence_ns:
            self.end_turn(now_ns)

    def end_turn(self, now_ns: int) -> None:
        """Go on to the next turn: a silence has said so, or somebody who does not want to wait for it."""
        match self.turn:
            case Turn.CALL if self._listener.count and self._writing is None:
                self._call_over(now_ns)
            case Turn.CALL:
                pass
            case Turn.DEMONSTRATION:
                self._begin_answer(min(now_ns, self._sounds_until_ns))
            case Turn.ANSWER:
                self._answer_over(now_ns)

    def _answered(self, messages: Iterable[StampedMessage]) -> None:
        if self._session is not None:
            for message in messages:
                if message.stamp_ns >= self._zero_ns:
                    self._session.feed(message._replace(stamp_ns=message.stamp_ns - self._zero_ns))

    def _note_beginnings(self) -> None:
        """What the other one has played before a note of this turn was no answer and no call."""
        if self.turn is Turn.ANSWER and not self.notes and self._listener.count and not self._is_shared:
            self._turn_to(Turn.CALL)
        elif self.notes > self._counted:
            self._counted = self.notes
            if self.turn is Turn.CALL:
                self._waiting.clear()
            else:
                self._listener = self._new_listener()

    def _last(self) -> tuple[int | None, int]:
        """When the last note of this turn began, if there was one, and how long a silence after it ends the turn."""
        match self.turn:
            case Turn.CALL:
                return self._listener.last_onset_ns, self.silence_ns
            case Turn.DEMONSTRATION:
                return self._sounds_until_ns, 0
            case Turn.ANSWER:
                onsets = [] if self._session is None else self._session.onsets
                last_ns = max((self._zero_ns + onset.onset_ns for onset in onsets), default=None)
                return last_ns, max(self.silence_ns, self._longest_gap_ns())

    def _longest_gap_ns(self) -> int:
        """No gap within the call, taken at two thirds of its tempo, ends its answer."""
        if self.line is None:
            return 0
        onsets = sorted({note.onset_quarters for note in self.line.notes})
        longest = max((after - before for before, after in pairwise(onsets)), default=Fraction(0))
        return self.line.tempo.ns(longest * Fraction(3, 2))

    def _turn_to(self, turn: Turn) -> None:
        self.turn, self._session, self._writing, self._counted = turn, None, None, 0
        self._waiting.clear()

    def _new_listener(self) -> PhraseListener:
        listener = PhraseListener(self._caller.profile, self._tuning)
        for message in self._caller.announced:
            listener.feed(message)
        return listener

    def _call_over(self, now_ns: int) -> None:
        last_ns = self._listener.last_onset_ns
        self._call_ended_ns = now_ns if self._is_shared or last_ns is None else last_ns
        self._writing = self._write(self._listener.finish(), self._tuning)
        self._written(self._writing)

    def _written(self, writing: Writing) -> None:
        line = writing()
        if isinstance(line, str):
            self.remark = line
            self._listener = self._new_listener()
            self._turn_to(Turn.CALL)
        elif line is not None:
            self.line, self.answer, self.remark = line, None, ""
            self._begin_answer(self._call_ended_ns)

    def _begin_answer(self, from_ns: int) -> None:
        if self.line is None:
            raise ValueError("nothing was called")
        waiting = list(self._waiting)
        self._turn_to(Turn.ANSWER)
        self._listener, self._zero_ns = self._new_listener(), from_ns
        profile = self._answerer.profile
        self._session = Session(self.line, pace=Pace.FREE, tempo=self.line.tempo, profile=profile)
        for message in self._answerer.announced:
            self._session.feed(message)
        self._answered(waiting)

    def _answer_over(self, now_ns: int) -> None:
        if self._session is not None and self.line is not None and self._session.onsets:
            self._session.finish(now_ns - self._zero_ns)
            self.answer = Answer(self.line, self._session)
        self._turn_to(Turn.CALL)
