"""How a note was reached from the one before it, as far as a converter's stream tells.

Theory of operation. Converters show a note without an attack in one of two ways. Either the sounding note goes on and
its bend *moves* to the new pitch: then `movement` measures how long the move took, and a quick step is a hammer-on or
pull-off, a longer one a slide. Or a new note-on is *retriggered*: then it comes without a gap, and softer than what is
picked on that string; `ear` knows what that is for each string, and learns from the stream whether velocities, gaps and
passed frets tell anything in it. A converter that sends every semitone, or a bend that stands on each fret in turn,
shows a slide as a chain of short notes: `Glide` tells such a chain from a run of real notes. Where the bend range ends
on the way, the rest of a slide is a wait and then a note-on.

What the stream does not tell is not guessed: `Glide.techniques` are then several.

Conventions: times are ns on the clock of the stamps, pitches are MIDI numbers.
The figures are common practice of converters, no source.
"""

from dataclasses import dataclass

from trainer.playing.movement import QUICK_STEP_NS, STEP_NS
from trainer.theory.technique import Technique

_MS = 1_000_000
CHAIN_NS = 45 * _MS
"""A fret passed in a slide sounds no longer than this: over 22 notes a second, faster than anybody picks."""
SLOW_CHAIN_NS = 80 * _MS
"""In a slow slide it sounds up to this long, but then the note where the slide began sounded longer still."""
_SLOW_CHAIN_START = 1.3
_SLOWING = 4  # a glide may become so much slower towards its end ...
_STAIRS_SLOWING = 2  # ... and stairs so uneven


@dataclass(slots=True)
class Glide:
    """How a note was reached from the one before it on its string, when it was not picked."""

    from_pitch: int
    from_duration_ns: int
    """How long the note where it all began had sounded."""
    reached_ns: int
    """When its last note was reached."""
    semitones: int
    """Of the last step, negative downwards."""
    steps: int = 1
    """Notes reached one after another; all but the last are frets passed."""
    move_ns: int = 0
    """How long the bend moved, when it was a bend."""
    began_ns: int = 0
    """When its first note was reached, once there are several."""
    in_jumps: bool = False
    """Its bend went from fret to fret."""
    is_smooth: bool = False
    """Its bend stood between frets, too."""
    is_cut: bool = False
    """It ended at the end of the bend range: it may have gone further than could be sent."""
    goes_past: bool = False
    """It began there, or was cut on its way."""

    def goes_on_from(self, before: "Glide", *, is_sure: bool) -> bool:
        """Whether this step goes on from `before`, whose note was only passed; it is then the last of a longer glide.

        `is_sure`: neither note was possibly picked.
        """
        semitones, dwell_ns = self.semitones, self.reached_ns - before.reached_ns
        if self.goes_past and self.move_ns:  # it stood on the next fret until it moved on to the end of the range
            semitones, dwell_ns = semitones // abs(semitones), dwell_ns - self.move_ns
        self.goes_past |= before.is_cut
        if not before.passes(semitones, dwell_ns, is_sure=is_sure):
            return False
        self.from_pitch, self.from_duration_ns = before.from_pitch, before.from_duration_ns
        self.began_ns = before.began_ns if before.steps > 1 else before.reached_ns
        self.steps += before.steps
        self.move_ns = max(self.move_ns, before.move_ns)
        return True

    def passes(self, semitones: int, dwell_ns: int, *, is_sure: bool) -> bool:
        """Whether the note just reached was only passed on the way `semitones` further, after `dwell_ns`.

        `is_sure`: neither note was possibly picked.
        """
        if semitones * self.semitones > 0 and self.is_cut:
            slowing = _STAIRS_SLOWING if self.steps > 1 else _SLOWING
            return dwell_ns <= max(STEP_NS, slowing * abs(semitones) * self._fret_ns)
        if semitones * self.semitones <= 0 or dwell_ns >= SLOW_CHAIN_NS:
            return False
        if abs(semitones) == abs(self.semitones) == 1 and dwell_ns <= CHAIN_NS:
            return True
        if self.steps > 1:  # it goes on at its speed, also where a fret was left out or the bend range ended
            is_steady = dwell_ns * (self.steps - 1) <= 1.5 * abs(semitones) * (self.reached_ns - self.began_ns)
            return is_steady and (abs(semitones) == 1 or dwell_ns <= CHAIN_NS)
        if abs(semitones) > 1 or abs(self.semitones) > 1:
            return dwell_ns <= STEP_NS or (dwell_ns <= CHAIN_NS and self.move_ns > STEP_NS)
        return is_sure and self.from_duration_ns >= _SLOW_CHAIN_START * dwell_ns

    @property
    def duration_ns(self) -> int:
        """From where it all began to the last note; 0 when it came in one step."""
        if self.steps == 1:
            return self.move_ns
        if self.goes_past and self.move_ns:
            return self.move_ns + self.reached_ns - self.began_ns
        # the first fret was reached one step after the finger had left
        return self.move_ns + (self.reached_ns - self.began_ns) * self.steps // (self.steps - 1)

    @property
    def is_stairs(self) -> bool:
        """Whether it stood on each fret on its way."""
        is_chain = self.steps > (2 if self.goes_past else 1) and self.move_ns <= QUICK_STEP_NS
        return is_chain or (self.in_jumps and self.move_ns > STEP_NS)

    @property
    def _fret_ns(self) -> int:
        """How long it took for one fret, 0 when it came in one step."""
        if self.steps == 1:
            return self.move_ns // abs(self.semitones)
        return (self.reached_ns - self.began_ns) // (self.steps - 1)

    def techniques(self, *, may_hide_slide: bool) -> tuple[Technique, ...]:
        """What it may have been, when nothing follows.

        `may_hide_slide`: where slides stand on every fret, one of a single fret is one step like a finger's.
        """
        finger = Technique.HAMMER if self.semitones > 0 else Technique.PULL
        if self.duration_ns > STEP_NS:
            return (Technique.SLIDE,)
        is_unseen = self.goes_past and not self.move_ns
        is_hidden = self.steps == 1 and (is_unseen or (may_hide_slide and abs(self.semitones) == 1))
        return (finger, Technique.SLIDE) if is_hidden or self.duration_ns > QUICK_STEP_NS else (finger,)
