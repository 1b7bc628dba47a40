"""The way through a set-up: one step after the other, from the messages of a device to its profile.

All steps listen to one decoder, which reads every channel alike, so that nothing that the device has said is forgotten
between them. What it announces (bend range, MPE zone) is taken in at any time.
"""

import difflib
from collections.abc import Iterable
from dataclasses import replace
from enum import StrEnum

from trainer.playing.calibration.bend import BendStep
from trainer.playing.calibration.latency import LatencyStep
from trainer.playing.calibration.strings import StringStep
from trainer.playing.decoding import Decoder
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.theory.tuning import Tuning

LEARNED = "set-up"
"""The name of a profile that was learned."""


class StepName(StrEnum):
    """What can be learned, in the order in which it is."""

    STRINGS = "strings"
    BEND = "bend"
    LATENCY = "latency"


Step = StringStep | BendStep | LatencyStep


def steps_named(words: str) -> tuple[StepName, ...]:
    """The steps of e.g. `strings,latency`, in their order; `ValueError` names the word that is none."""
    wanted = [word.strip() for word in words.split(",") if word.strip()]
    names = [step.value for step in StepName]
    for word in wanted:
        if word not in names:
            near = difflib.get_close_matches(word, names, n=1)
            hint = f"did you mean {near[0]!r}?" if near else f"there are {', '.join(names)}"
            raise ValueError(f"{word!r} is no step of the set-up; {hint}")
    if not wanted:
        raise ValueError(f"no step was named; there are {', '.join(StepName)}")
    return tuple(step for step in StepName if step in wanted)


class Guide:
    """Goes through `steps` and changes `profile` by what each of them learns."""

    def __init__(
        self, tuning: Tuning, profile: PickupProfile | None = None, steps: Iterable[StepName] = tuple(StepName)
    ) -> None:
        self.tuning = tuning
        self.profile = profile or PickupProfile()
        """What is known so far."""
        self.findings: dict[StepName, tuple[str, ...]] = {}
        """What the finished steps say, in sentences."""
        self.learned: set[StepName] = set()
        """The steps that were not in vain."""
        self._names = list(steps)
        reading = PickupProfile(bend_range_semitones=self.profile.bend_range_semitones)
        self._assumed_range = reading.bend_range_semitones
        self._decoder = Decoder(reading)
        self.step: Step | None = self._begun()
        """What is being learned; None when nothing is left."""

    @property
    def name(self) -> StepName | None:
        """Which step it is."""
        return self._names[0] if self._names else None

    @property
    def is_finished(self) -> bool:
        """Whether nothing is left to learn."""
        return self.step is None

    @property
    def prompt(self) -> str:
        """What the player is to do now."""
        return "" if self.step is None else self.step.prompt

    @property
    def remark(self) -> str:
        """What is to be said of what was heard last."""
        return "" if self.step is None else self.step.remark

    def feed(self, message: StampedMessage) -> None:
        """Take in one message; stamps are on the clock of `advance` and of the click."""
        for event in self._decoder.feed(message):
            if self.step is not None:
                self.step.feed(event)
        self._take_announcements()
        self._go_on()

    def advance(self, now_ns: int) -> None:
        """Time passes; no message stamped before it may follow."""
        if self.step is not None:
            self.step.advance(now_ns)
            self._go_on()

    def enough(self) -> None:
        """Go on to the next step with what is known."""
        if self.step is not None:
            self.step.enough()
            self._go_on()

    def again(self) -> None:
        """Begin the present step anew."""
        self.step = self._begun()

    def _take_announcements(self) -> None:
        match self.step:
            case StringStep():
                self.step.has_zone = bool(self._decoder.zones)
            case BendStep():
                ranges = self._announced_ranges()
                if ranges:
                    self.step.announced(ranges[0])

    def _announced_ranges(self) -> list[float]:
        """What the device has said of the channels that its strings come on."""
        channels = self.profile.channel_of_course[: len(self.tuning.open_pitches)] or range(1, 17)
        ranges = self._decoder.announced_ranges
        return [ranges[channel] for channel in channels if channel in ranges]

    def _go_on(self) -> None:
        """Take what a finished step has learned, and begin the next one."""
        while self.step is not None and self.step.is_finished:
            learned = self.step.applied_to(self.profile)
            if learned != self.profile:
                self.profile = replace(learned, name=LEARNED, title="As learned in the set-up")
            if self.step.has_learned:
                self.learned.add(self._names[0])
            self.findings[self._names.pop(0)] = self.step.findings
            self.step = self._begun()

    def _begun(self) -> Step | None:
        match self.name:
            case StepName.STRINGS:
                strings = StringStep(self.tuning)
                strings.has_zone = bool(self._decoder.zones)
                return strings
            case StepName.BEND:
                bend = BendStep(self.tuning, self._assumed_range)
                ranges = self._announced_ranges()
                if ranges:
                    bend.announced(ranges[0])
                return bend
            case StepName.LATENCY:
                return LatencyStep(self.tuning)
            case None:
                return None
