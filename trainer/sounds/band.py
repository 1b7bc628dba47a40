"""Renders a backing: each bar once, with all that rings on after it.

Theory of operation: bar n of endless music is bar `n % bars` of the loop, placed at `round(n * exact length of a bar)`.
What rings beyond a bar lies under the next one, so that there is no seam anywhere, the one between two loops included;
and every bar has its place for itself, so that no error adds up (see `endless`). Within a bar each stroke has its own
place, from the exact time of its step.
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

import numpy as np

from trainer.score.tempo import Tempo
from trainer.sounds import drums
from trainer.sounds.backing import Backing, Levels, Part
from trainer.sounds.plucked import plucked_tone
from trainer.sounds.samples import Samples, sample_of, samples_in
from trainer.sounds.tones import chord_tone
from trainer.theory.chords import Chord
from trainer.theory.voicing import Voicing, led

BASS_LEVEL = 0.125
CHORD_LEVELS = {"soft": 0.034, "short": 0.052}
"""Heights of the bass, and of each note of a chord by how it sounds."""
_STRENGTHS = {"X": 1.0, "x": 0.85, "o": 0.6}
_BASS_RELEASE_NS, _CHORD_RELEASE_NS = 35_000_000, 110_000_000
LOWEST_BASS = 28
"""E1, the open low string of a bass."""
_BARS_KEPT = 24


def bars_of(
    backing: Backing, tempo: Tempo, levels: Levels, parts: tuple[Part, ...] = tuple(Part)
) -> tuple[Samples, ...]:
    """Every bar of the loop, its parts mixed at their levels; the parts are kept, so that levels change at once."""
    rendered = [(levels.of(part), _part(part, backing, tempo)) for part in parts if levels.of(part) > 0]
    mixed = []
    for bar in range(backing.bars):
        heard = [(level, bars[bar]) for level, bars in rendered]
        total = np.zeros(max((len(samples) for _, samples in heard), default=0), dtype=np.float32)
        for level, samples in heard:
            total[: len(samples)] += np.float32(level) * samples
        mixed.append(total)
    return tuple(mixed)


@lru_cache(maxsize=_BARS_KEPT)
def _part(part: Part, backing: Backing, tempo: Tempo) -> tuple[Samples, ...]:
    bar = _Bar(backing, tempo)
    match part:
        case Part.DRUMS:
            return tuple(bar.drums(number) for number in range(backing.bars))
        case Part.BASS:
            return tuple(bar.bass(number) for number in range(backing.bars))
        case Part.CHORDS:
            voicings = led(backing.chords)
            return tuple(bar.chords(voicings[backing.chord_of(number)]) for number in range(backing.bars))


class _Bar:
    """Renders the parts of one bar."""

    def __init__(self, backing: Backing, tempo: Tempo) -> None:
        self._backing = backing
        self._feel = backing.feel
        step_quarters = Fraction(backing.meter.bar_quarters, backing.feel.steps)
        self._places = [sample_of(step * step_quarters, tempo) for step in range(backing.feel.steps + 1)]

    def drums(self, number: int) -> Samples:
        """The drums of a bar."""
        is_last = self._backing.bars > 1 and number == self._backing.bars - 1
        strokes = [
            (self._places[step], drums.LEVELS[drum] * drums.STRENGTHS[letter], drums.stroke(drum))
            for drum, row in self._feel.drums_of(is_last=is_last)
            for step, letter in enumerate(row)
            if letter in drums.STRENGTHS
        ]
        return _summed(strokes, self._places[-1])

    def bass(self, number: int) -> Samples:
        """The bass of a bar."""
        chords = self._backing.chords
        chord = chords[self._backing.chord_of(number)]
        following = chords[self._backing.chord_of(number + 1)]
        tones = []
        for letter, first, end in self._notes(self._feel.bass, "R3578a"):
            pitch, release = bass_pitch(letter, chord, following), samples_in(_BASS_RELEASE_NS)
            tone = BASS_LEVEL * plucked_tone(pitch, end - first + release, soft=True)
            tones.append((first, 1.0, _released(tone, release)))
        return _summed(tones, self._places[-1])

    def chords(self, voicing: Voicing) -> Samples:
        """The chords of a bar."""
        sound, release = self._feel.chord_sound, samples_in(_CHORD_RELEASE_NS)
        tones = []
        for letter, first, end in self._notes(self._feel.chords, "Xxo"):
            length = end - first + release
            together = np.stack([chord_tone(pitch, length, sound) for pitch in voicing]).sum(axis=0)
            tones.append((first, CHORD_LEVELS[sound] * _STRENGTHS[letter], _released(together, release)))
        return _summed(tones, self._places[-1])

    def _notes(self, row: str, struck: str) -> Iterator[tuple[str, int, int]]:
        """(letter, first sample, end) of each note of a row."""
        for step, letter in enumerate(row):
            if letter in struck:
                held = len(row[step + 1 :]) - len(row[step + 1 :].lstrip("-"))
                yield letter, self._places[step], self._places[step + 1 + held]


def bass_pitch(letter: str, chord: Chord, following: Chord) -> int:
    """The pitch that a letter of a bass row means over a chord, from E1 up."""
    root = LOWEST_BASS + (chord.root.pitch_class - LOWEST_BASS) % 12
    if letter == "a":
        target = LOWEST_BASS + (following.root.pitch_class - LOWEST_BASS) % 12
        return target - 1 if target > LOWEST_BASS else target + 1
    return root + _above_root(letter, chord)


def _above_root(letter: str, chord: Chord) -> int:
    """Semitones; a chord without a third has its root instead, one without a seventh its octave."""
    tones = chord.semitones
    if letter == "3":
        return next((tone for tone in tones if tone in (3, 4)), 0)
    if letter == "5":
        return next((tone for tone in tones if tone in (6, 7, 8)), 7)
    if letter == "7":
        return next((tone for tone in tones if tone in (9, 10, 11)), 12)
    return 12 if letter == "8" else 0


def _released(tone: Samples, release: int) -> Samples:
    """The tone with its last samples fading away."""
    faded = np.array(tone, dtype=np.float32)
    faded[-release:] *= np.cos(np.linspace(0.0, np.pi / 2, release, dtype=np.float32)) ** 2
    return faded


def _summed(strokes: list[tuple[int, float, Samples]], least: int) -> Samples:
    """Sounds at their places and heights; at least a bar long, read-only."""
    length = max((place + len(samples) for place, _, samples in strokes), default=0)
    total = np.zeros(max(length, least), dtype=np.float32)
    for place, height, samples in strokes:
        total[place : place + len(samples)] += np.float32(height) * samples
    total.setflags(write=False)
    return total
