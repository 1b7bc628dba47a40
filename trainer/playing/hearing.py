"""From bytes to notes, where nobody needs what lies between: a decoder and a note tracker, joined."""

from collections.abc import Mapping

from trainer.playing.decoding import Decoder
from trainer.playing.messages import PlayedEvent, StampedMessage
from trainer.playing.notes import NoteTracker
from trainer.playing.profile import PickupProfile
from trainer.theory.tuning import Tuning


class Hearing:
    """Hears one stretch of playing; messages come in the order of their stamps."""

    def __init__(self, profile: PickupProfile, tuning: Tuning) -> None:
        self._decoder = Decoder(profile)
        self._tracker = NoteTracker(profile, tuning)

    @property
    def oddities(self) -> Mapping[str, int]:
        """What arrived that was not music, counted by name."""
        return self._decoder.counts

    def feed(self, message: StampedMessage) -> tuple[PlayedEvent, ...]:
        """What one message tells."""
        return tuple(heard for event in self._decoder.feed(message) for heard in self._tracker.feed(event))

    def advance(self, now_ns: int) -> tuple[PlayedEvent, ...]:
        """What the passing of time tells; nothing stamped before `now_ns` may follow."""
        ended = tuple(heard for event in self._decoder.advance(now_ns) for heard in self._tracker.feed(event))
        return ended + self._tracker.advance(now_ns)
