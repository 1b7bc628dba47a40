"""The simulated player: a source of messages like a pickup on a MIDI port, for whoever has none at hand.

It is polled like a real port, on whatever clock the caller keeps, and knows none itself: the same polls give the same
messages. Everything it plays is decided when it is made, from one seed.
"""

import random
from bisect import bisect_right
from collections.abc import Sequence

from trainer.devices.converter import convert
from trainer.devices.converter_style import STYLES, ConverterStyle
from trainer.devices.faults import Faults
from trainer.devices.performer import perform
from trainer.devices.skill import EXACT, Skill
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo


class SimulatedPlayer:
    """Gives prepared messages when their time comes; `origin_ns` is stamp 0 on the clock of `poll`."""

    def __init__(
        self, messages: Sequence[StampedMessage], origin_ns: int, profile: PickupProfile, description: str
    ) -> None:
        self.profile = profile
        """What a listener has to know of the simulated pickup."""
        self._messages = tuple(message._replace(stamp_ns=origin_ns + message.stamp_ns) for message in messages)
        self._description = description
        self._given = 0

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """The messages that have arrived since the last poll, stamped on the clock of `now_ns`."""
        until = max(self._given, bisect_right(self._messages, now_ns, key=lambda message: message.stamp_ns))
        arrived = self._messages[self._given : until]
        self._given = until
        return arrived

    @property
    def is_finished(self) -> bool:
        """Whether all of it has been played."""
        return self._given == len(self._messages)

    @property
    def status(self) -> str:
        """One sentence for the screen."""
        return f"{self._description}{' (has finished)' if self.is_finished else ''}"


def simulated_player(
    exercise: Exercise,
    tempo: Tempo,
    starts_at_ns: int,
    origin_ns: int,
    *,
    skill: Skill = EXACT,
    faults: Faults | None = None,
    style: ConverterStyle = STYLES["bend"],
    seed: int = 1,
) -> SimulatedPlayer:
    """A player of `exercise`; quarter 0 is due `starts_at_ns` after `origin_ns`.

    Without skill, faults and style it is the demonstration: every note as written, when written. `FaultError` when a
    fault has no place in the exercise; `ValueError` when the style has too few channels for the tuning.
    """
    messages = simulated_take(
        exercise, tempo, starts_at_ns, skill=skill, faults=faults or Faults(), style=style, seed=seed
    )
    is_demonstration = skill == EXACT and not (faults and faults.planted)
    who = "Demonstration" if is_demonstration else f"Simulated player, {skill.name}"
    return SimulatedPlayer(messages, origin_ns, style.profile, f"{who}, {style.name} style, seed {seed}")


def simulated_take(
    exercise: Exercise,
    tempo: Tempo,
    starts_at_ns: int,
    *,
    skill: Skill,
    faults: Faults,
    style: ConverterStyle,
    seed: int,
) -> tuple[StampedMessage, ...]:
    """All messages of one simulated take, stamped from its start; hands and converter have a stream of chance each."""
    hands, converter = random.Random(f"hands {seed}"), random.Random(f"converter {seed}")
    gestures = perform(exercise, tempo, starts_at_ns, skill, faults, hands)
    return convert(gestures, exercise.tuning, style, converter)
