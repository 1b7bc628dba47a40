from trainer.coaching.rests import MINUTE_NS, BreakCounter
from trainer.score.library import load_exercise
from trainer.screens.improvise import ImproviseScreen, Music, key_of
from trainer.screens.screen import Command
from trainer.tablature.glyphs import Box, Ink

from .desk import Page

SIZE = (1280, 720)
LINE = load_exercise("two-gates")


class Rehearsal:
    """The screen, and what it asked of the sound."""

    def __init__(self, minutes: int = 2) -> None:
        self.asked: list[str] = []
        self.breaks = BreakCounter()
        self.screen = ImproviseScreen(
            Music("Improvise in E minor pentatonic", ("Make music.",), LINE, minutes),
            start=lambda: self.asked.append("start"),
            stop=lambda: self.asked.append("stop"),
            leave_to=lambda: Page("plan"),
            breaks=self.breaks,
        )

    def words(self) -> str:
        return " ".join(text for text, _ in self.screen.texts(SIZE))


def test_it_sounds_from_the_first_frame_to_the_end_of_its_minutes_and_counts_as_played() -> None:
    rehearsal = Rehearsal()

    for now_ns in range(0, 3 * MINUTE_NS, 500_000_000):
        rehearsal.screen.update((), now_ns)
        if now_ns == MINUTE_NS:
            assert "1:00 left" in rehearsal.words()

    assert rehearsal.asked == ["stop", "start", "stop"]
    assert "stopped" in rehearsal.words()
    assert rehearsal.breaks.state(3 * MINUTE_NS).played_ns == 2 * MINUTE_NS


def test_space_stops_it_and_begins_it_again_with_all_its_minutes() -> None:
    rehearsal = Rehearsal()
    rehearsal.screen.update((), 0)
    rehearsal.screen.update((), 30_000_000_000)

    rehearsal.screen.handle(Command.PAUSE)
    rehearsal.screen.update((), 40_000_000_000)
    assert not rehearsal.screen.is_on
    rehearsal.screen.handle(Command.PAUSE)

    assert rehearsal.screen.is_on
    assert "2:00 left" in rehearsal.words()


def test_leaving_is_silent() -> None:
    rehearsal = Rehearsal()
    rehearsal.screen.update((), 0)

    page = rehearsal.screen.handle(Command.BACK)

    assert isinstance(page, Page)
    assert rehearsal.asked[-1] == "stop"


def test_the_neck_shows_every_root_of_the_key_as_a_square() -> None:
    screen = Rehearsal().screen
    screen.texts(SIZE)
    assert screen._painter.latest is not None

    squares = [glyph for glyph in screen._glyphs(*screen._painter.latest) if isinstance(glyph, Box)]

    key = key_of(LINE)
    assert key is not None
    roots = [
        (course, fret)
        for course, open_pitch in enumerate(sorted(LINE.tuning.open_pitches, reverse=True), start=1)
        for fret in range(LINE.last_fret + 1)
        if (open_pitch + fret) % 12 == key.root.pitch_class
    ]
    assert len(squares) == len(roots)
    assert {square.ink for square in squares} == {Ink.AS_WRITTEN}
