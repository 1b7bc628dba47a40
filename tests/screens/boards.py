"""Boards with something on them, for pictures and tests."""

from dataclasses import dataclass, field
from fractions import Fraction

from trainer.capture.free_play import FreePlay
from trainer.capture.listening import PhraseNote
from trainer.capture.writing import Asked, CaptureError, Writing, captured
from trainer.devices.simulated_player import simulated_player
from trainer.devices.skill import EXACT
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.screens.board import BoardScreen
from trainer.screens.board_doors import BoardDoors
from trainer.screens.room_size import Room
from trainer.screens.screen import Action, Command

from .desk import Page

PLAYED_AT = Tempo(Fraction(80))


@dataclass
class Lesson:
    """What a board asked of the outside."""

    heard: list[tuple[Exercise, int]] = field(default_factory=list)
    handed_out: list[Exercise] = field(default_factory=list)
    built: list[Exercise] = field(default_factory=list)
    hushed: int = 0
    mouse: tuple[int, int] = (0, 0)
    aside: list[StampedMessage] = field(default_factory=list)
    """What the second input is about to say."""
    has_second: bool = True
    is_written: bool = True
    """Whether phrases are written down at once."""
    words: str = "Handed out in ~/boxwalk/handouts: from-the-board.pdf to print."

    def said_aside(self) -> tuple[StampedMessage, ...]:
        """What the second input has said."""
        said = tuple(self.aside)
        self.aside.clear()
        return said

    def doors(self, tuning_of: FreePlay) -> BoardDoors:
        """Doors that lead here."""

        def line_of(phrase: tuple[PhraseNote, ...]) -> Exercise | str:
            try:
                return captured(phrase, Asked(tuning_of.tuning, tempo=PLAYED_AT, title="From the board")).exercise
            except CaptureError as error:
                return f"Nothing to write down: {error}."

        def write_down(phrase: tuple[PhraseNote, ...]) -> Writing:
            line = line_of(phrase)
            return lambda: line if self.is_written else None

        def hear(line: Exercise, passes: int) -> int:
            self.heard.append((line, passes))
            return 0

        def hush() -> None:
            self.hushed += 1

        def hand_out(line: Exercise) -> str:
            self.handed_out.append(line)
            return self.words

        def build(line: Exercise) -> Page:
            self.built.append(line)
            return Page("builder")

        return BoardDoors(
            status=lambda: "Listening to Pickup, channel a string",
            write_down=write_down,
            build=build,
            hand_out=hand_out,
            hear=hear,
            hush=hush,
            leave=lambda: Page("list"),
            call=lambda _board: Page("call"),
            next_second=lambda: "Second input: Barn pickup.",
            second_ear=lambda: FreePlay(PickupProfile(), tuning_of.tuning) if self.has_second else None,
            aside=self.said_aside,
            beside=lambda line, _board: Page(f"beside {line.title}"),
            mouse=lambda: self.mouse,
        )


def board(
    name: str, seconds: float, room: Room | None = None, *actions: Action, lesson: Lesson | None = None
) -> BoardScreen:
    """A board on which the beginning of a line was played, after some actions."""
    line = load_exercise(name)
    plan = RunPlan(line, PLAYED_AT)
    player = simulated_player(line, plan.tempo, plan.count_in_ns, 0, skill=EXACT, seed=1)
    ear = FreePlay(player.profile if seconds else PickupProfile(), line.tuning)
    screen = BoardScreen(ear, (lesson or Lesson()).doors(ear), room=room or Room())
    now_ns = round(seconds * 1e9)
    screen.update(player.poll(now_ns), now_ns)
    for action in actions:
        screen.handle(action)
    return screen


def two_boards(first: str, second: str, seconds: float) -> BoardScreen:
    """A board on which two lines are played at once, each on an input of its own."""
    lesson = Lesson()
    screen = board(first, seconds, None, Command.NEXT, lesson=lesson)
    line = load_exercise(second)
    player = simulated_player(line, PLAYED_AT, 3_000_000_000, 0, skill=EXACT, seed=2)
    lesson.aside += player.poll(round(seconds * 1e9))
    screen.update((), round(seconds * 1e9))
    return screen
