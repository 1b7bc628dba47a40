"""Call and answer at a desk: two simulated pickups, for pictures and tests."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from trainer.answering import CallAndAnswer, Player
from trainer.devices.faults import faults_from_text
from trainer.devices.simulated_player import simulated_player
from trainer.playing.messages import StampedMessage
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.screens.call import CallDoors, Caller, CallScreen
from trainer.screens.screen import Action

from .desk import FRAME_NS, Page

LINE = load_exercise("quarry-steps")
PHRASE = LINE.excerpt(0, 7)
SECOND_NS = 1_000_000_000


@dataclass
class Pair:
    """Two players, what they send, and what was asked of the outside."""

    first: tuple[StampedMessage, ...] = ()
    second: tuple[StampedMessage, ...] = ()
    second_name: str = "Barn pickup"
    now_ns: int = 0
    heard: list[tuple[Exercise, int]] = field(default_factory=list)
    aside: tuple[StampedMessage, ...] = ()

    def screen(self) -> CallScreen:
        """The screen that listens to them."""
        player = Player(simulated_player(PHRASE, PHRASE.tempo, 0, 0).profile)

        def begin(caller: Caller, silence_ns: int) -> CallAndAnswer:
            other = Player(player.profile) if self.second_name or caller is Caller.LINE else None
            return CallAndAnswer(player, other, PHRASE.tuning, silence_ns)

        def hear(line: Exercise, passes: int) -> int:
            self.heard.append((line, passes))
            return self.now_ns

        def next_second() -> str:
            self.second_name = "" if self.second_name else "Barn pickup"
            return f"Second input: {self.second_name or 'none'}."

        return CallScreen(
            LINE,
            CallDoors(
                begin=begin,
                aside=lambda: self.aside,
                inputs=lambda: ("Hut pickup", self.second_name),
                next_second=next_second,
                hear=hear,
                hush=lambda: None,
                status=lambda: "Hut pickup is connected.",
                leave=lambda: Page("board"),
            ),
        )

    def play(self, screen: CallScreen, until_s: float) -> None:
        """Let time pass frame by frame."""
        while self.now_ns < until_s * SECOND_NS:
            self.now_ns += FRAME_NS
            self.aside = self._between(self.second)
            screen.update(self._between(self.first), self.now_ns)

    def _between(self, messages: Sequence[StampedMessage]) -> tuple[StampedMessage, ...]:
        return tuple(one for one in messages if self.now_ns - FRAME_NS < one.stamp_ns <= self.now_ns)


def played(at_s: float, faults: str = "", line: Exercise = PHRASE, qpm: int = 100) -> tuple[StampedMessage, ...]:
    """What a pickup sends when a phrase is played once, beginning then."""
    at_ns = round(at_s * SECOND_NS)
    player = simulated_player(line, Tempo(Fraction(qpm)), 0, at_ns, faults=faults_from_text(faults))
    return player.poll(at_ns + 120 * SECOND_NS)


def called(until_s: float, *actions: Action, faults: str = "miss 2, fret 5, string 7") -> CallScreen:
    """A phrase that was called and answered with slips, after some actions."""
    pair = Pair(played(1.0), played(5.5, faults))
    screen = pair.screen()
    pair.play(screen, until_s)
    for action in actions:
        screen.handle(action)
    return screen
