"""The step that learns the bend range: an open string is plucked and, while it sounds, fretted from the left hand.

A converter that bends goes on with the note and moves its bend to where the pitch is: fret f of a string that was
plucked open stands at f / R of full scale, so R = f * 8192 / (value - 8192). Fret 12 measures every range above 12. The
top of the scale says only that the range is 12 or less (full scale upwards is 8191 of 8192, so that exactly 12 stands
there, too); then fret 5 is asked, and fret 2 and 1 after it. A converter that begins a new note instead says nothing of
its range, and after `NEW_NOTES` of them a nearer fret is asked, because a note may begin anew only because the move was
wider than the range. When fret 1 is a new note as well, bends are not used for slurs, and the range is kept.

The value found is snapped to a usual range when the fret, read with that range, lies within `FRET_TOLERANCE_CENTS` of
where it should: less than half the way to the next fret. Any other range is taken to the nearest semitone once it was
measured twice. A range that the device announces (MIDI 1.0, registered parameter 0) is believed at once.

Conventions: `bend_cents` of the events fed is read with `assumed_range` semitones; a bend moves away from the value
that it had when the string was plucked.
"""

from dataclasses import replace

from trainer.playing.messages import StringBend, StringEvent, StringOff, StringOn
from trainer.playing.profile import PickupProfile
from trainer.theory.pitch import pitch_name
from trainer.theory.tuning import Tuning

USUAL_RANGES = (1, 2, 5, 7, 12, 24, 36, 48)
"""Semitones, common practice; 2 is the default of MIDI 1.0 and 48 that of MPE (RP-053)."""
FRETS = (12, 5, 2, 1)
FRET_TOLERANCE_CENTS = 40.0
NOT_BENT = (
    "Bend range: this device begins a new note where a finger is put down, and does not bend to it. Hammer-ons and "
    "slides are heard by their new notes; the bend range stays as it was."
)
REST_NS = 300_000_000
"""A bend that stays this long has arrived."""
NEW_NOTES = 2
_WIDEST = 96.0  # semitones that a range can have, RP-053
_LOOSENESS = 1.3  # how much wider than known a range may prove, so that a flat fret is still heard
_REST_CENTS = 30.0  # how far a held note wavers
_FULL_SCALE = 8191 / 8192
_JUST_PLUCKED_NS = 80_000_000  # a wrong octave on the attack is corrected within 20 to 60 ms, common practice
_GAP_NS = 100_000_000  # a slurred note that begins anew follows the old one at once


class BendStep:
    """Asks for one fret after another until the range is known."""

    def __init__(self, tuning: Tuning, assumed_range: float) -> None:
        self.is_finished = False
        self.remark = ""
        self.range_semitones: int | float | None = None
        """What was learned; None: nothing yet, or nothing to learn."""
        self.is_announced = False
        self._tuning = tuning
        self._assumed_range = assumed_range
        self._frets = list(FRETS)
        self._ceiling = _WIDEST
        self._new_notes = 0
        self._measured: float | None = None
        self._open: StringOn | None = None
        self._ended_ns: int | None = None
        self._rest_cents = 0.0
        self._rests_since_ns = 0
        self._is_left_off = False

    @property
    def fret(self) -> int:
        """The fret that is asked now."""
        return self._frets[0]

    @property
    def prompt(self) -> str:
        """What to do now."""
        if self.is_finished:
            return ""
        return (
            f"Pluck any open string and, while it sounds, hammer on or slide to fret {self.fret} without plucking "
            "again. Hold it for a second."
        )

    @property
    def has_learned(self) -> bool:
        """Whether it came to an end of its own, be it that there is no range to learn."""
        return self.is_finished and not self._is_left_off

    @property
    def share(self) -> float:
        """Where the bend of the sounding note stands, as a share of its scale upwards; 0 in silence."""
        return 0.0 if self._open is None else self._share(self._rest_cents)

    def announced(self, semitones: float) -> None:
        """The device has said its range."""
        if not self.is_finished:
            self.range_semitones, self.is_announced, self.is_finished = semitones, True, True

    def feed(self, event: StringEvent) -> None:
        """Take in what one string did."""
        self.advance(event.stamp_ns)
        if self.is_finished:
            return
        match event:
            case StringOn():
                self._note_on(event)
            case StringOff() if self._open and (event.channel, event.pitch) == (self._open.channel, self._open.pitch):
                self._ended_ns = event.stamp_ns
            case StringBend() if self._open is not None and event.channel == self._open.channel:
                moved_cents = event.bend_cents
                if abs(moved_cents - self._rest_cents) > abs(self._rest_cents) * self._waver:
                    self._rest_cents, self._rests_since_ns = moved_cents, event.stamp_ns

    def advance(self, now_ns: int) -> None:
        """Time passes: a bend comes to rest, or the note has ended too soon."""
        held = self._open
        if held is None or self.is_finished:
            return
        share = self._share(self._rest_cents - held.bend_cents)
        least_share = self.fret / self._ceiling / _LOOSENESS
        until_ns = now_ns if self._ended_ns is None else min(now_ns, self._ended_ns)
        if share >= least_share and until_ns - self._rests_since_ns >= REST_NS:
            self._open = None
            self._arrived(share, is_pinned=self._share(self._rest_cents) >= _FULL_SCALE - 1e-9)
        elif self._ended_ns is not None and now_ns - self._ended_ns > _GAP_NS:
            self._open = None
            if self._ended_ns - held.stamp_ns > REST_NS:
                self.remark = f"The note ended before fret {self.fret} was heard. Hold it a little longer."

    def enough(self) -> None:
        """Leave off; the range stays as it was."""
        self.is_finished = True
        self._is_left_off = self.range_semitones is None

    def applied_to(self, profile: PickupProfile) -> PickupProfile:
        """The profile with the range learned; the same one when there was none to learn."""
        if self.range_semitones is None:
            return profile
        return replace(profile, bend_range_semitones=float(self.range_semitones))

    @property
    def findings(self) -> tuple[str, ...]:
        """What was learned, in sentences."""
        if self.range_semitones is None and not self._is_left_off:
            return (NOT_BENT,)
        if self.range_semitones is None:
            return ("Bend range: not learned; it stays as it was.",)
        words = f"{self.range_semitones:g} semitone{'' if self.range_semitones == 1 else 's'}"
        if self.is_announced:
            return (f"Bend range: {words}, as the device itself announces.",)
        if self.range_semitones not in USUAL_RANGES:
            return (f"Bend range: {words}, measured twice. That is unusual: was it fret {self.fret} each time?",)
        return (f"Bend range: {words}.",)

    @property
    def _waver(self) -> float:
        """How much of its value a resting bend may move."""
        return _REST_CENTS / (100 * self.fret)

    def _share(self, cents: float) -> float:
        """The share of full scale upwards that a bend is."""
        return cents / 100 / self._assumed_range

    def _note_on(self, event: StringOn) -> None:
        held = self._open
        if held is not None and event.channel == held.channel and self._goes_on(held, event):
            if event.pitch == held.pitch + self.fret:
                self._open = None
                self._began_anew(event)
            return
        if event.pitch in self._tuning.open_pitches:
            self._open, self._ended_ns = event, None
            self._rest_cents, self._rests_since_ns = event.bend_cents, event.stamp_ns
            self.remark = f"{pitch_name(event.pitch)} sounds: fret {self.fret} now."

    def _goes_on(self, held: StringOn, event: StringOn) -> bool:
        """Whether a new note of a string may be the slur of the one that sounds, by new notes up to the fret."""
        is_near = self._ended_ns is None or event.stamp_ns - self._ended_ns <= _GAP_NS
        is_late = event.stamp_ns - held.stamp_ns >= _JUST_PLUCKED_NS
        return is_near and is_late and held.pitch < event.pitch <= held.pitch + self.fret

    def _began_anew(self, event: StringOn) -> None:
        self._new_notes += 1
        if self._new_notes < NEW_NOTES:
            self.remark = (
                f"A new note began at {pitch_name(event.pitch)}. Once more: pluck the open string only, "
                "and let the left hand do the rest."
            )
            return
        self.remark = f"Fret {self.fret} begins a new note."
        self._ask_nearer()

    def _ask_nearer(self) -> None:
        """The range is not wider than the fret asked, or is not used."""
        self._new_notes, self._measured = 0, None
        if len(self._frets) == 1:
            self.is_finished = True
            return
        self._ceiling = float(self._frets.pop(0))

    def _arrived(self, share: float, *, is_pinned: bool) -> None:
        if is_pinned:
            self.remark = f"Fret {self.fret} stands at the end of the bend's scale."
            if self.fret == FRETS[-1]:
                self.range_semitones, self.is_finished = 1, True
            else:
                self._ask_nearer()
            return
        usual = snapped(share, self.fret)
        measured = self.fret / share
        if usual is not None:
            self.range_semitones, self.is_finished = usual, True
        elif self._measured is not None and round(self._measured) == round(measured):
            self.range_semitones, self.is_finished = max(1, round(measured)), True
        else:
            self._measured = measured
            self.remark = f"That would be a range of {measured:.1f} semitones. Once more, to be sure: fret {self.fret}."


def snapped(share: float, fret: int) -> int | None:
    """The usual range with which a bend at `share` of full scale is `fret`, within the tolerance; None: there is none.

    >>> snapped(0.5, 12), snapped(0.4583, 12), snapped(5 / 12, 5)
    (24, None, 12)
    """
    nearest = min(USUAL_RANGES, key=lambda usual: abs(share * usual - fret))
    return nearest if abs(share * nearest - fret) * 100 <= FRET_TOLERANCE_CENTS else None
