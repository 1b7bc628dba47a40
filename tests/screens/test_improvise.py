from fractions import Fraction

import pytest

from trainer.coaching.rests import MINUTE_NS, BreakCounter
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.screens.improvise import ImproviseScreen, Music, Over, key_of
from trainer.screens.screen import Command
from trainer.sounds.backing import Accompaniment, backing_for
from trainer.tablature.glyphs import Box, Dot, Ink, Line, Text

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


def over_a_backing(now_ns: int, began_ns: int | None = 0) -> ImproviseScreen:
    """Over two chords of two bars each, a quarter a second, at a moment."""
    key = key_of(LINE)
    assert key is not None
    backing = backing_for(key, LINE.meter, Accompaniment(chords="i VII"))
    screen = ImproviseScreen(
        Music("Improvise", ("Make music.",), LINE, 2, Over(backing, Tempo(Fraction(60)))),
        start=lambda: None,
        stop=lambda: None,
        leave_to=lambda: Page("plan"),
        breaks=BreakCounter(),
        began_ns=lambda: began_ns,
    )
    screen.update((), now_ns)
    screen.texts(SIZE)
    return screen


def underlined(screen: ImproviseScreen) -> str:
    """The chord over the line that marks the one that sounds."""
    assert screen._painter.latest is not None
    glyphs = screen._glyphs(*screen._painter.latest)
    lines = [glyph for glyph in glyphs if isinstance(glyph, Line) and glyph.ink is Ink.NOW]
    names = [glyph for glyph in glyphs if isinstance(glyph, Text) and glyph.text in {"Em", "D"}]
    return next((name.text for name in names for line in lines if name.x_px == line.x1_px), "")


@pytest.mark.parametrize(
    ("seconds", "chord"), [(-0.5, ""), (0, "Em"), (7.9, "Em"), (8, "D"), (15.9, "D"), (16, "Em"), (7_208, "D")]
)
def test_the_chord_that_sounds_is_marked_however_long_it_goes_on(seconds: float, chord: str) -> None:
    key = key_of(LINE)
    assert key is not None
    over = Over(backing_for(key, LINE.meter, Accompaniment(chords="i VII")), Tempo(Fraction(60)))
    place = over.chord_at(round(seconds * 1e9))

    assert ("" if place is None else over.backing.chords[place].name) == chord
    if 0 <= seconds < 60:
        assert underlined(over_a_backing(round(seconds * 1e9))) == chord


def test_the_notes_of_the_chord_are_ringed_on_the_neck_while_it_sounds() -> None:
    def ringed(screen: ImproviseScreen) -> int:
        assert screen._painter.latest is not None
        glyphs = screen._glyphs(*screen._painter.latest)
        return sum(isinstance(glyph, Dot) and glyph.width_px > 0 for glyph in glyphs)

    of_d = sum(
        (open_pitch + fret) % 12 in {2, 6, 9}
        for open_pitch in LINE.tuning.open_pitches
        for fret in range(LINE.last_fret + 1)
    )

    assert ringed(over_a_backing(9_000_000_000)) == of_d
    assert ringed(over_a_backing(9_000_000_000, began_ns=None)) == 0
