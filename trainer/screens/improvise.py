"""Making music: the key on the neck, something to play over, and how long it goes on. Nothing is judged or kept.

What sounds begins when the screen is entered; Space stops it and begins it again. Over a backing the chord that sounds
now is marked, and its notes stand out on the neck.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pygame

from trainer.coaching.rests import BreakCounter
from trainer.playing.messages import StampedMessage
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.screens.hints import Hint, foot_hints, hint_at
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import Fonts, PagePainter, Painter, texts_of
from trainer.screens.screen import DAY, Action, Command, Pressed, Screen
from trainer.screens.words import chord_words
from trainer.sounds.backing import Backing
from trainer.tablature.glyphs import Anchor, Dot, Glyph, Ink, Line, Rect, Size, Text
from trainer.tablature.hands import board_glyphs
from trainer.tablature.layout import GUTTER_PX, NeckPlace
from trainer.tablature.neck import place_glyphs
from trainer.theory.chords import Chord
from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord
from trainer.theory.scale import Key, key_named

NECK_TOP_PX, NECK_HEIGHT_PX = 380.0, 300.0
OCTAVE = 12
RING_PX = 17.0
"""The radius of the ring round a note of the chord, at unit 1."""


CHORDS_PX, CHORD_STEP_PX = 796.0, 190.0
"""Where the chords stand and how far apart, at unit 1."""


@dataclass(frozen=True, slots=True)
class Over:
    """A backing, and how fast it goes."""

    backing: Backing
    tempo: Tempo

    def chord_at(self, since_ns: int) -> int | None:
        """Which of its chords sounds so long after its first beat; None before that."""
        bar = self.tempo.quarters(since_ns) // self.backing.meter.bar_quarters
        return None if bar < 0 else self.backing.chord_of(bar)


@dataclass(frozen=True, slots=True)
class Music:
    """What is played over."""

    title: str
    sentences: tuple[str, ...]
    """What to do, and what sounds."""
    exercise: Exercise
    """Whose key, tuning and neck they are."""
    minutes: int
    over: Over | None = None
    """None: the click alone."""


class ImproviseScreen:
    """`start()` lets the music sound, `stop()` is silent; `breaks` counts the minutes as played.

    `began_ns()` tells when its first beat is heard; None while nothing sounds.
    """

    takes_text = False

    def __init__(
        self,
        music: Music,
        *,
        start: Callable[[], None],
        stop: Callable[[], None],
        leave_to: Callable[[], Screen],
        breaks: BreakCounter,
        began_ns: Callable[[], int | None] = lambda: None,
        status: Callable[[], str] = lambda: "",
    ) -> None:
        self._music = music
        self._start = start
        self._stop = stop
        self._leave_to = leave_to
        self._breaks = breaks
        self._sounds_from_ns = began_ns
        self._status = status
        self._began_ns: int | None = None
        self._is_over = False
        self._now_ns = 0
        self._painter = PagePainter()

    @property
    def is_on(self) -> bool:
        """Whether it sounds."""
        return self._began_ns is not None and not self._is_over

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nothing is judged
        """Go on until the minutes are over."""
        self._now_ns = now_ns
        if self._began_ns is None and not self._is_over:
            self._begin()
        if self.is_on:
            self._breaks.feed(now_ns)
            if self._left_ns() <= 0:
                self._end()
        return self

    def handle(self, action: Action) -> Screen | None:
        """Stop, begin again, or leave."""
        match action:
            case Command.PAUSE | Command.CHOOSE | Command.RESTART:
                if self.is_on and action is not Command.RESTART:
                    self._end()
                else:
                    self._begin()
            case Command.BACK:
                self._end()
                return self._leave_to()
            case Command.QUIT:
                self._end()
                return None
            case Command.KEYS:
                return KeysScreen(self, place=DAY)
            case Pressed() if self._painter.latest is not None:
                pressed = hint_at(self._rows(), *self._painter.latest, action)
                return self if pressed is None else self.handle(pressed)
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the neck and the time that is left."""
        self._now_ns = now_ns
        painter = self._painter.ground(surface)
        painter.draw(surface, self._glyphs(surface.get_size(), painter))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        return texts_of(self._glyphs(size, painter), painter.fonts)

    def _begin(self) -> None:
        self._stop()
        self._start()
        self._began_ns, self._is_over = self._now_ns, False

    def _end(self) -> None:
        self._stop()
        self._is_over = True

    def _left_ns(self) -> int:
        began_ns = self._now_ns if self._began_ns is None else self._began_ns
        return self._music.minutes * 60_000_000_000 - (self._now_ns - began_ns)

    def _time_words(self) -> str:
        if self._is_over:
            return "stopped"
        seconds = max(0, self._left_ns()) // 1_000_000_000
        return f"{seconds // 60}:{seconds % 60:02d} left"

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts = painter.unit, painter.fonts
        left_px, right_px = 48 * unit, size[0] - 48 * unit
        title = fonts.elided(self._music.title, Size.TITLE, (right_px - left_px) * 0.75)
        rest = self._breaks.state(self._now_ns)
        lines = [
            line for words in self._music.sentences for line in fonts.wrapped(words, Size.BODY, right_px - left_px)
        ]
        glyphs: list[Glyph] = [
            Text(left_px, 50 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(right_px, 50 * unit, self._time_words(), Size.TITLE, Ink.INK, Anchor.RIGHT),
            *(
                Text(left_px, (124 + 38 * place) * unit, line, Size.BODY, Ink.INK, Anchor.LEFT)
                for place, line in enumerate(lines)
            ),
            *self._neck(size, unit),
            *self._chords(unit, fonts),
            *foot_hints(self._rows(), size, painter),
        ]
        if rest.words():
            ink = Ink.NOW if rest.is_due else Ink.MUTED
            glyphs.append(Text(right_px, size[1] - 66 * unit, rest.words(), Size.BODY, ink, Anchor.RIGHT))
        status = fonts.elided(self._status(), Size.SMALL, (right_px - left_px) * 0.5)
        if status:
            glyphs.append(Text(right_px, size[1] - 28 * unit, status, Size.SMALL, Ink.MUTED, Anchor.RIGHT))
        return glyphs

    def _neck(self, size: tuple[int, int], unit: float) -> Iterator[Glyph]:
        """Every note of the key, its root as a square."""
        exercise = self._music.exercise
        board = Rect(
            (48 + GUTTER_PX) * unit, NECK_TOP_PX * unit, size[0] - 48 * unit, (NECK_TOP_PX + NECK_HEIGHT_PX) * unit
        )
        place = NeckPlace(board, len(exercise.tuning.open_pitches), exercise.last_fret, unit)
        yield from board_glyphs(place)
        key = key_of(exercise)
        if key is None:
            return
        sounding = self._sounding()
        of_chord = frozenset(sounding.pitch_classes) if sounding is not None else frozenset()
        for course in exercise.tuning.courses:
            for fret in range(exercise.last_fret + 1):
                location = Location(course, fret)
                pitch_class = exercise.tuning.pitch_at(location) % OCTAVE
                is_root, is_chordal = pitch_class == key.root.pitch_class, pitch_class in of_chord
                if pitch_class in key.pitch_classes:
                    ink = Ink.AS_WRITTEN if is_root else Ink.INK if is_chordal else Ink.MUTED
                    yield from place_glyphs(location, place, ink, is_root=is_root)
                if is_chordal:
                    x_px, y_px = place.fret_x_px(fret), place.string_y_px(course)
                    yield Dot(x_px, y_px, RING_PX * unit, Ink.INK, 2 * unit)

    def _sounding(self) -> Chord | None:
        """The chord that sounds now."""
        over, began_ns = self._music.over, self._sounds_from_ns()
        place = None if over is None or began_ns is None else over.chord_at(self._now_ns - began_ns)
        return None if over is None or place is None or not self.is_on else over.backing.chords[place]

    def _chords(self, unit: float, fonts: Fonts) -> Iterator[Glyph]:
        """The chords of the backing in a row, the one that sounds now underlined."""
        over = self._music.over
        if over is None:
            return
        began_ns = self._sounds_from_ns() if self.is_on else None
        now = None if began_ns is None else over.chord_at(self._now_ns - began_ns)
        for place, chord in enumerate(over.backing.chords):
            x_px, y_px, is_now = (48 + GUTTER_PX + CHORD_STEP_PX * place) * unit, CHORDS_PX * unit, place == now
            name = chord_words(chord.name)
            yield Text(x_px, y_px, name, Size.TITLE, Ink.INK if is_now else Ink.MUTED, Anchor.LEFT)
            yield Text(x_px, y_px + 52 * unit, chord.word, Size.SMALL, Ink.MUTED, Anchor.LEFT)
            if is_now:
                right_px = x_px + fonts.width_px(name, Size.TITLE)
                yield Line(x_px, y_px + 28 * unit, right_px, y_px + 28 * unit, 4 * unit, Ink.NOW)

    def _rows(self) -> tuple[Hint, ...]:
        return (
            ("Space", "stop" if self.is_on else "begin again", Command.PAUSE),
            ("Esc", "leave", Command.BACK),
            ("F1", "keys, marks", Command.KEYS),
        )


def key_of(exercise: Exercise) -> Key | None:
    """The key of a line; None when it names none that is known."""
    try:
        return key_named(exercise.key)
    except UnknownWord:
        return None
