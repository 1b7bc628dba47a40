"""The ear for cues: whatever arrives while the window is open is listened to, on every screen.

It hears with a decoder of its own, so that neither a take nor a screen knows of it. The usual cues follow the tuning of
the line that was played last; those that were learned are remembered.
"""

from collections.abc import Callable, Iterable

from trainer.devices.remembered import KeptCues, Memory
from trainer.following.cues import Cue, CueListener, CueNote, Phrase, usual_cues
from trainer.playing.hearing import Hearing
from trainer.playing.messages import NoteOnset, StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.run import ON_ITS_WAY_NS
from trainer.theory.tuning import Tuning


def cues_in(kept: KeptCues, tuning: Tuning) -> dict[Cue, Phrase]:
    """The cues that are listened for: the usual ones, but for those that were learned."""
    if not kept.are_heard:
        return {}
    learned = {
        Cue(name): tuple(CueNote(pitch, course) for pitch, course in notes) for name, notes in kept.learned.items()
    }
    return usual_cues(tuning) | learned


class CueEar:
    """`profile()` says how the input is read now, `tuning()` how the strings are tuned."""

    def __init__(
        self, profile: Callable[[], PickupProfile], tuning: Callable[[], Tuning], memory: Memory | None
    ) -> None:
        self._profile_now = profile
        self._tuning_now = tuning
        self._memory = memory
        self._made_for: tuple[PickupProfile, Tuning] | None = None
        self._hearing: Hearing
        self._listener: CueListener

    def feed(self, messages: Iterable[StampedMessage], now_ns: int) -> tuple[Cue, ...]:
        """The cues that were completed."""
        profile, tuning = self._profile_now(), self._tuning_now()
        if self._made_for != (profile, tuning):
            self._made_for = profile, tuning
            self._hearing = Hearing(profile, tuning)
            kept = KeptCues() if self._memory is None else self._memory.cues
            self._listener = CueListener(cues_in(kept, tuning))
        heard = [event for message in messages for event in self._hearing.feed(message)]
        heard += self._hearing.advance(now_ns - ON_ITS_WAY_NS)
        cues = [self._listener.feed(event) for event in heard if isinstance(event, NoteOnset)]
        return tuple(cue for cue in cues if cue is not None)
