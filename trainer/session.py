"""One run: decoder, note tracker, follower and ledger, joined.

A run played live, a run replayed from a saved take, a simulated one and a run judged from the command line all go
through this one object, event by event, in time order. It knows no clock: `feed` takes what arrived, `advance` says
what time it is. Times are ns from the start of the take.
"""

from fractions import Fraction

from trainer.following.assessment import Assessment, assess
from trainer.following.explaining import Explanation, explained
from trainer.following.follower import Follower
from trainer.following.ledger import Ledger
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Extra, Match, Missed, Pace, Verdict, WrongNote
from trainer.playing.decoding import Decoder
from trainer.playing.messages import (
    Inflection,
    NoteEnd,
    NoteOnset,
    NotePassed,
    PlayedEvent,
    StampedMessage,
    StringEvent,
    StringOn,
    TechniqueHeard,
)
from trainer.playing.notes import NoteTracker
from trainer.playing.profile import PickupProfile
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo

# A technique is told up to 100 ms after its onset (`playing.gestures`); twice that, so that the last one is not lost.
TOLD_WITHIN_NS = 200_000_000

SessionEvent = StringEvent | PlayedEvent | Verdict


class Session:
    """Listens to one take of one line and says what it hears and how that compares."""

    def __init__(
        self,
        exercise: Exercise,
        *,
        pace: Pace,
        tempo: Tempo,
        starts_at_ns: int = 0,
        profile: PickupProfile | None = None,
        tolerance: Tolerance | None = None,
        pass_length: int | None = None,
        keeps_account: bool = False,
    ) -> None:
        self.exercise = exercise
        self.pace = pace
        self.tempo = tempo
        self.starts_at_ns = starts_at_ns
        self.profile = profile or PickupProfile()
        self.tolerance = tolerance or Tolerance()
        self.pass_length = pass_length or len(exercise.notes)
        self.ledger = Ledger()
        self.onsets: list[NoteOnset] = []
        self.note_ons: list[StringOn] = []
        self.techniques: dict[int, TechniqueHeard] = {}
        self.inflections: dict[int, Inflection] = {}
        self._carried: dict[int, list[int]] = {}
        self._settled_at_count: dict[int, int] = {}
        self._decoder = Decoder(self.profile)
        self._tracker = NoteTracker(self.profile, exercise.tuning)
        self._follower = Follower(
            exercise, pace, tempo, starts_at_ns, self.tolerance, self.pass_length, keeps_account=keeps_account
        )

    def feed(self, message: StampedMessage) -> tuple[SessionEvent, ...]:
        """What one message tells, after what time alone had told by its stamp."""
        events = list(self.advance(message.stamp_ns))
        for string_event in self._decoder.feed(message):
            events.extend(self._hear(string_event))
        return tuple(events)

    def advance(self, now_ns: int) -> tuple[SessionEvent, ...]:
        """What has become known because time has passed, without a new message."""
        events: list[SessionEvent] = []
        for string_event in self._decoder.advance(now_ns):
            events.extend(self._hear(string_event))
        for played in self._tracker.advance(now_ns):
            events.append(played)
            events.extend(self._follow(played))
        events.extend(self._noted(self._follower.advance(now_ns)))
        return tuple(events)

    def finish(self, now_ns: int) -> tuple[SessionEvent, ...]:
        """Nothing more will come: every heard and every written note now gets its settled verdict."""
        events = self._last_told(now_ns)
        events.extend(self._noted(self._follower.finish(now_ns)))
        return tuple(events)

    def stop(self, now_ns: int) -> tuple[SessionEvent, ...]:
        """The player stops here: as `finish`, but what was still ahead is left open and not called missed."""
        events = self._last_told(now_ns)
        reached = max((v.index for v in self.ledger.heard if isinstance(v, Match | WrongNote)), default=-1)
        for verdict in self._follower.finish(now_ns):
            if not (isinstance(verdict, Missed) and self._is_ahead(verdict.index, now_ns, reached)):
                events.extend(self._noted((verdict,)))
        return tuple(events)

    def due_ns(self, index: int) -> int:
        """When written note `index` is due by the click."""
        return self.starts_at_ns + self.tempo.ns(self.exercise.notes[index].onset_quarters)

    def score_quarters(self, now_ns: int) -> Fraction:
        """Where the click stands on the written line, in quarters; negative during the count-in."""
        return self.tempo.quarters(now_ns - self.starts_at_ns)

    @property
    def is_timed(self) -> bool:
        """Whether each written note is due at a time."""
        return self.pace is Pace.CLICK

    def carried_by(self, event: int) -> tuple[int, ...]:
        """The heard notes that a note-on carries: its own, then those that arrived as bends."""
        return tuple(self._carried.get(event, ()))

    def settled_after(self, heard: int) -> int | None:
        """How many later note-ons had been received when the verdict on a heard note became final."""
        count = self._settled_at_count.get(heard)
        return None if count is None else max(0, count - self.onsets[heard].event - 1)

    @property
    def oddities(self) -> dict[str, int]:
        """What arrived that was not music: unknown channels, broken messages, and so on, counted by name."""
        return dict(self._decoder.counts)

    def assessment(self) -> Assessment:
        """The figures of the run so far."""
        return assess(
            self.exercise,
            self.ledger,
            tempo=self.tempo,
            tolerance=self.tolerance,
            pass_length=self.pass_length,
            is_timed=self.is_timed,
        )

    def explained(self, index: int) -> Explanation:
        """Why a written note got its verdict; with what else it might have been if the session keeps account."""
        return explained(
            index,
            self.exercise,
            self.ledger,
            accounts=self._follower.accounts,
            onsets=self.onsets,
            techniques=self.techniques,
            inflections=self.inflections,
            tempo=self.tempo,
            tolerance=self.tolerance,
            starts_at_ns=self.starts_at_ns if self.is_timed else None,
        )

    def _last_told(self, now_ns: int) -> list[SessionEvent]:
        """What is still to be said about notes that have begun by now, without letting further notes come due."""
        events: list[SessionEvent] = list(self.advance(now_ns))
        for played in self._tracker.advance(now_ns + TOLD_WITHIN_NS):
            events.append(played)
            events.extend(self._follow(played))
        return events

    def _hear(self, string_event: StringEvent) -> list[SessionEvent]:
        events: list[SessionEvent] = [string_event]
        if isinstance(string_event, StringOn):
            self.note_ons.append(string_event)
        for played in self._tracker.feed(string_event):
            events.append(played)
            events.extend(self._follow(played))
        return events

    def _is_ahead(self, index: int, now_ns: int, reached: int) -> bool:
        return self.due_ns(index) > now_ns if self.is_timed else index > reached

    def _follow(self, played: PlayedEvent) -> tuple[Verdict, ...]:
        match played:
            case NoteOnset():
                self.onsets.append(played)
                self._carried.setdefault(played.event, []).append(played.heard)
                return self._noted(self._follower.receive(played))
            case NotePassed():
                return self._noted(self._follower.passed(played))
            case TechniqueHeard():
                self.techniques[played.heard] = played
                return self._noted(self._follower.technique(played))
            case NoteEnd():
                self.inflections[played.heard] = played.inflection
                return ()

    def _noted(self, verdicts: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
        for verdict in verdicts:
            self.ledger.fold(verdict)
            if isinstance(verdict, Match | WrongNote | Extra) and verdict.settled:
                self._settled_at_count.setdefault(verdict.heard, len(self.note_ons))
        return verdicts
