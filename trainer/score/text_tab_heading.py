"""What the words around text tablature say: title, tuning, capo, meter, tempo, key; and the letters of the strings."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from trainer.score.limits import DEFAULT_QUARTERS_PER_MINUTE
from trainer.score.meter import Meter
from trainer.score.strings import tuning_of, usual_tuning
from trainer.score.tempo import Tempo
from trainer.score.text_tab_lines import Page, TextTabError
from trainer.theory.naming import UnknownWord
from trainer.theory.pitch import note_named
from trainer.theory.scale import key_named
from trainer.theory.tuning import TUNINGS, Tuning, tuning_named

_TUNINGS = (
    re.compile(r"\btuning\s*[:=]\s*([\w#♯♭ .-]{2,40})", re.IGNORECASE),
    re.compile(r"([\w#-]+(?: [\w#-]+){0,2}) tuning\b", re.IGNORECASE),
)
_CAPO = re.compile(r"\bcapo\b\D{0,12}(\d{1,2})", re.IGNORECASE)
_METER = re.compile(r"(?<![\d/])(\d{1,2})/(1|2|4|8|16|32)(?![\d/])")
_TEMPO = re.compile(
    r"(\d{2,3}(?:\.\d{1,4})?)\s*(?:bpm\b|quarters a minute)|(?:\btempo\b|♩)\s*[:=]?\s*(\d{2,3}(?:\.\d{1,4})?)",
    re.IGNORECASE,
)
_KEY = re.compile(r"(?:\bkey\b\s*[:=]?\s*)?([A-G][#b♯♭]?(?: [a-z]+){1,2})(?=,|$)")
_LARGEST_RETUNING_SEMITONES = 6


@dataclass(frozen=True, slots=True)
class Heading:
    """What is known of a text's line besides its notes."""

    title: str
    tuning: Tuning
    tempo: Tempo
    meter: Meter | None
    """None: it is not given."""
    key: str
    remarks: tuple[str, ...]


def read_heading(page: Page) -> Heading:
    """What the lines before the first system and the letters of its strings say."""
    lines = page.heading[:40]
    # A fact may be broken over two lines, as ours are where there is little room.
    words = (" ".join(" ".join(lines).split()),)
    tempo, tempo_remark = _tempo(words)
    tuning, tuning_remark = _tuning(page, words)
    meter = _meter(words)
    remarks = [tuning_remark, tempo_remark, "" if meter else "No meter is given: 4/4, or as far as is counted."]
    titles = [line.strip() for line in lines if not _is_fact(line)]
    return Heading(
        title=" ".join(titles[0].split())[:120] if titles else "",
        tuning=tuning,
        tempo=tempo,
        meter=meter,
        key=_key(words),
        remarks=tuple(filter(None, remarks)),
    )


def _is_fact(line: str) -> bool:
    return any(pattern.search(line) for pattern in (*_TUNINGS, _CAPO, _METER, _TEMPO))


def _meter(words: Sequence[str]) -> Meter | None:
    for line in words:
        if (match := _METER.search(line)) and 0 < int(match[1]) <= 32:
            return Meter(int(match[1]), int(match[2]))
    return None


def _tempo(words: Sequence[str]) -> tuple[Tempo, str]:
    for line in words:
        if match := _TEMPO.search(line):
            try:
                return Tempo(Fraction(match[1] or match[2])), ""
            except ValueError as error:
                return Tempo(DEFAULT_QUARTERS_PER_MINUTE), f"The tempo is not usable ({error}); 120 is taken."
    return Tempo(DEFAULT_QUARTERS_PER_MINUTE), "No tempo is given: 120 quarters a minute are taken."


def _key(words: Sequence[str]) -> str:
    for line in words:
        if _is_fact(line) and (match := _KEY.search(line)):
            try:
                return key_named(match[1]).name
            except UnknownWord:
                continue
    return ""


def _tuning(page: Page, words: Sequence[str]) -> tuple[Tuning, str]:
    strings = page.systems[0].strings
    labels = [string.label for string in strings]
    named = next(filter(None, (_named(line, len(strings)) for line in words)), None)
    capo = next((int(match[1]) for line in words if (match := _CAPO.search(line))), 0)
    if named is not None:
        tuning, remark = named, ""
    elif all(labels):
        tuning, remark = _lettered(labels, strings[0].number), ""
    else:
        tuning = usual_tuning(len(strings))
        remark = f"No tuning is given: {tuning.name} is taken."
    if not capo:
        return tuning, remark
    if capo > 12:
        raise TextTabError(f"a capo at fret {capo}: expected 1 to 12")
    raised = Tuning(f"{tuning.name}, capo {capo}", tuple(pitch + capo for pitch in tuning.open_pitches))
    return raised, f"Frets are counted from the capo at fret {capo}."


def _named(line: str, strings: int) -> Tuning | None:
    """The tuning that a line names, if it has so many strings."""
    for match in (match for pattern in _TUNINGS for match in pattern.finditer(line)):
        for words in _spans(match[1].strip()):
            try:
                tuning = tuning_named(words)
            except UnknownWord:
                continue
            if len(tuning.open_pitches) == strings:
                return tuning
    return None


def _spans(words: str) -> Iterator[str]:
    """The words and every row of some of them, the longest first: a tuning may stand among others."""
    parts = words.split()
    for length in range(len(parts), 0, -1):
        for first in range(len(parts) - length + 1):
            yield " ".join(parts[first : first + length])


def _lettered(labels: Sequence[str], line: int) -> Tuning:
    """The tuning that letters tell: each string's pitch nearest to its usual one."""
    classes = [note_named(label.rstrip("0123456789")).pitch_class for label in labels]
    candidates = [tuning for tuning in TUNINGS.values() if len(tuning.open_pitches) == len(labels)]
    for tuning in candidates:
        if [pitch % 12 for pitch in tuning.open_pitches] == classes:
            return tuning
    if any([pitch % 12 for pitch in reversed(tuning.open_pitches)] == classes for tuning in candidates):
        raise TextTabError("the letters say that the lowest string is on top: expected string 1 there", line)
    usual = usual_tuning(len(labels)).open_pitches
    pitches = tuple(
        pitch + (pitch_class - pitch + _LARGEST_RETUNING_SEMITONES) % 12 - _LARGEST_RETUNING_SEMITONES
        for pitch, pitch_class in zip(usual, classes, strict=True)
    )
    return tuning_of(pitches)
