"""One heard note, from its onset to the last word about it."""

from dataclasses import dataclass

from trainer.playing.ear import Attack, Ear
from trainer.playing.gestures import Glide
from trainer.playing.inflection import TAIL_NS, Contour
from trainer.playing.messages import NoteEnd, NotePassed, PlayedEvent, TechniqueHeard
from trainer.theory.technique import Technique


@dataclass(slots=True)
class Sounding:
    """A heard note; what it says of itself is numbered with `heard`."""

    pitch: int
    began_ns: int
    """The stamp at which it began; `onset_ns` is this without the latency."""
    onset_ns: int
    attack: Attack
    contour: Contour
    glide: Glide | None = None
    heard: int = -1
    event: int = -1
    velocity: int = 0
    arrived_as_bend: bool = False
    since_other_ns: int | None = None
    """How long before it a note began on another string."""
    ended_ns: int | None = None
    is_astray: bool = False
    """It arrived just before its key was let go; unless it turns out to be a fret on the way, it was never played."""
    verdict_due_ns: int | None = None
    """When its technique will be said; None: it has been, or need not."""

    def end(self, stamp_ns: int, move_ns: int = 0) -> list[PlayedEvent]:
        """It stops now, after having moved away for `move_ns`; nothing when it had stopped before."""
        if self.ended_ns is not None:
            return []
        self.ended_ns = stamp_ns
        inflection = self.contour.inflection(stamp_ns - max(TAIL_NS, move_ns))
        latency_ns = self.began_ns - self.onset_ns
        return [NoteEnd(self.heard, max(self.onset_ns, stamp_ns - latency_ns), inflection)]

    def passed(self, reason: str, known_ns: int) -> list[PlayedEvent]:
        """It is not charged to the player."""
        self.verdict_due_ns = None
        return [NotePassed(self.heard, reason, known_ns)]

    def told(self, ear: Ear, known_ns: int) -> list[PlayedEvent]:
        """How it was begun, or that it was none."""
        if self.is_astray and self.verdict_due_ns is not None:
            return self.passed("ghost", known_ns)
        self.verdict_due_ns = None
        technique, one_of = self._technique(ear)
        ear.heard(self.glide)
        return [TechniqueHeard(self.heard, technique, known_ns, one_of)]

    def _technique(self, ear: Ear) -> tuple[Technique | None, tuple[Technique, ...]]:
        if self.glide is None:
            return (Technique.PICK if self.attack is Attack.PICKED else None), ()
        is_chain = self.glide.steps > 1
        if self.attack is Attack.UNCERTAIN and not is_chain:
            return None, ()
        # A single note-on without a pick may be a slide of a converter that does not send the frets passed.
        is_note_on = not (self.arrived_as_bend or is_chain or self.glide.move_ns)
        possible = self.glide.techniques(may_hide_slide=ear.may_hide_slides)
        if is_note_on and not (ear.shows_passed_frets or ear.bends_slides) and Technique.SLIDE not in possible:
            possible = (*possible, Technique.SLIDE)
        return (possible[0], ()) if len(possible) == 1 else (None, possible)
