"""The measures of one staff of a MusicXML part: what is written where, before repeats, ties and places are worked out.

Conventions: onsets inside a measure are in quarters from its start. A measure is as long as what it contains (which is
how upbeats and split measures come out right); an empty one is as long as the time signature says. A `Mark` is the
start or the stop of a hammer-on, pull-off or slide.
References: MusicXML 4.0, elements `note`, `backup`, `forward`, `attributes`, `direction`, `sound`, `barline`.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple
from xml.etree.ElementTree import Element

from trainer.score.musicxml_file import ScoreFileError, line_of
from trainer.theory.technique import Stroke, Technique

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_TYPES = {
    "maxima": Fraction(32),
    "long": Fraction(16),
    "breve": Fraction(8),
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16),
    "128th": Fraction(1, 32),
    "256th": Fraction(1, 64),
    "512th": Fraction(1, 128),
    "1024th": Fraction(1, 256),
}
_TECHNIQUES = {
    "technical/hammer-on": Technique.HAMMER,
    "technical/pull-off": Technique.PULL,
    "slide": Technique.SLIDE,
    "glissando": Technique.SLIDE,
}
_NUMBER = re.compile(r"[+-]?\d{1,9}(\.\d{1,9})?")
_FINGERS = {"1": 1, "2": 2, "3": 3, "4": 4}


class Mark(NamedTuple):
    """One end of a technique's line from note to note."""

    technique: Technique
    number: str
    """Tells lines apart that run at the same time."""


class TempoMark(NamedTuple):
    """A tempo in quarters a minute, and the line of the file that sets it."""

    quarters_per_minute: Fraction
    line: int


@dataclass(frozen=True, slots=True)
class WrittenNote:
    """One note element; a rest is none."""

    onset_quarters: Fraction
    duration_quarters: Fraction
    """0 for a grace note."""
    is_grace: bool
    in_chord: bool
    """Whether it sounds with the note written before it."""
    voice: str
    pitch: int | None
    """The sounding MIDI number that the written pitch stands for; None if only a place is given."""
    course: int | None
    fret: int | None
    starts: tuple[Mark, ...]
    stops: tuple[Mark, ...]
    tied_from: bool
    tied_to: bool
    stroke: Stroke | None
    finger: int | None
    accent: bool
    line: int
    measure: str


@dataclass(slots=True)
class Measure:
    """One measure of a staff, with the signs that rule the order in which measures are played."""

    number: str
    line: int
    length_quarters: Fraction = Fraction(0)
    notes: list[WrittenNote] = field(default_factory=list)
    repeat_begins: bool = False
    repeat_passes: int = 0
    """How often the repeat that ends here is played in all; 0: none ends here."""
    ending: tuple[int, ...] = ()
    """The passes of the ending that this measure belongs to; empty: played in each."""
    tempos: list[TempoMark] = field(default_factory=list)
    meters: list[tuple[int, int]] = field(default_factory=list)


class StaffName(NamedTuple):
    """A staff of a part."""

    part: Element
    number: str


def read_number(element: Element, least: int | None = None) -> Fraction:
    """The decimal number in `element`, exactly; `ScoreFileError` when it is none or is below `least`."""
    text = (element.text or "").strip()
    if not _NUMBER.fullmatch(text) or (least is not None and Fraction(text) < least):
        expected = "a number" if least is None else f"a number of at least {least}"
        raise ScoreFileError(f"<{element.tag}>: expected {expected}, found {text[:40]!r}", line_of(element))
    return Fraction(text)


def read_whole(element: Element, least: int | None = None) -> int:
    """The whole number in `element`; `ScoreFileError` when it is none or is below `least`."""
    value = read_number(element, least)
    if value.denominator != 1:
        raise ScoreFileError(f"<{element.tag}>: expected a whole number, found {element.text!r}", line_of(element))
    return int(value)


def pitch_number(step: str, alter: Fraction, octave: int, line: int) -> int:
    """The MIDI number of a pitch as MusicXML spells it (octave 4 begins at middle C)."""
    if step not in _STEPS or alter.denominator != 1:
        raise ScoreFileError(f"expected a pitch in semitones, found {step[:10]!r} altered by {float(alter):g}", line)
    return 12 * (octave + 1) + _STEPS[step] + int(alter)


def staff_of(element: Element) -> str:
    """The number of the staff that a note or a direction belongs to."""
    return (element.findtext("staff") or "1").strip()


def is_dead(note: Element) -> bool:
    """Whether a note of a tablature is a dead one: a cross for a head, on a string."""
    is_crossed = (note.findtext("notehead") or "").strip() == "x"
    return is_crossed and note.find("notations/technical/string") is not None


def read_measures(staff: StaffName) -> list[Measure]:
    """All measures of `staff` in the order in which they are written; `ScoreFileError` at what cannot be read."""
    reader = _MeasureReader(staff.number)
    return [reader.read(element) for element in staff.part.iterfind("measure")]


def tempo_marks(element: Element) -> Iterator[TempoMark]:
    """The tempo that a direction or a sound element sets: what sounds, else what the metronome mark says."""
    sounds = [sound for sound in element.iter("sound") if sound.get("tempo") is not None]
    for sound in sounds:
        text = sound.get("tempo", "").strip()
        if not _NUMBER.fullmatch(text):
            raise ScoreFileError(f"<sound>: expected a tempo, found {text[:40]!r}", line_of(sound))
        yield TempoMark(Fraction(text), line_of(sound))
    for metronome in () if sounds else element.iterfind("direction-type/metronome"):
        figure = re.search(r"\d{1,4}(\.\d{1,6})?", metronome.findtext("per-minute") or "")
        unit = _TYPES.get((metronome.findtext("beat-unit") or "").strip())
        # Without a figure it relates two note values to each other, which changes nothing that a click could follow.
        if figure and unit:
            quarters = unit * _dotted(len(metronome.findall("beat-unit-dot")))
            yield TempoMark(Fraction(figure.group()) * quarters, line_of(metronome))


def _dotted(dots: int) -> Fraction:
    """How much longer `dots` augmentation dots make a note."""
    return 2 - Fraction(1, 2 ** min(dots, 10))


def _nominal_quarters(note: Element) -> Fraction | None:
    """The length that a note's type, dots and tuplet stand for; None without a type."""
    written = _TYPES.get((note.findtext("type") or "").strip())
    if written is None:
        return None
    quarters = written * _dotted(len(note.findall("dot")))
    for ratio in note.iterfind("time-modification"):
        actual, normal = ratio.find("actual-notes"), ratio.find("normal-notes")
        if actual is not None and normal is not None:
            quarters *= Fraction(read_whole(normal, least=1), read_whole(actual, least=1))
    return quarters


class _MeasureReader:
    """Walks measures in order and keeps what stays in force from one to the next."""

    def __init__(self, staff_number: str) -> None:
        self._staff = staff_number
        self._divisions: Fraction | None = None
        self._transposition = 0
        self._bar_quarters = Fraction(4)
        self._open_ending: tuple[int, ...] = ()
        self._cursor = Fraction(0)
        self._chord_onset = Fraction(0)

    def read(self, element: Element) -> Measure:
        measure = Measure(element.get("number", "?")[:20], line_of(element), ending=self._open_ending)
        self._cursor = self._chord_onset = Fraction(0)
        for child in element:
            match child.tag:
                case "note":
                    self._read_note(child, measure)
                case "backup":
                    self._move(-self._span(child), child)
                case "forward":
                    self._move(self._span(child), child)
                case "attributes":
                    self._read_attributes(child, measure)
                case "direction" | "sound":
                    measure.tempos += tempo_marks(child)
                case "barline":
                    self._read_barline(child, measure)
            measure.length_quarters = max(measure.length_quarters, self._cursor)
        if not measure.length_quarters:
            measure.length_quarters = self._bar_quarters
        return measure

    def _span(self, element: Element) -> Fraction:
        duration = element.find("duration")
        if duration is None:
            raise ScoreFileError(f"<{element.tag}> has no <duration>", line_of(element))
        return read_number(duration, least=0) / (self._divisions or 1)

    def _move(self, quarters: Fraction, element: Element) -> None:
        # Rounded durations can add up to less than a backup takes away: a measure has nothing before its start.
        self._cursor = self._chord_onset = max(Fraction(0), self._cursor + quarters)
        if self._cursor > 10_000:
            raise ScoreFileError("a measure of more than 10000 quarters", line_of(element))

    def _note_quarters(self, note: Element) -> Fraction:
        """The exact length of a note.

        Divisions that no tuplet fits into leave durations rounded to a whole number of them: then the note's type says
        what is meant.
        """
        nominal = _nominal_quarters(note)
        if note.find("duration") is None:
            if nominal is None:
                raise ScoreFileError("a note without <duration> or <type>", line_of(note))
            return nominal
        if self._divisions is None and nominal is not None:
            return nominal
        sounding = self._span(note)
        if nominal is not None and abs(nominal - sounding) < 1 / (self._divisions or 1):
            return nominal
        return sounding

    def _read_note(self, note: Element, measure: Measure) -> None:
        is_grace = note.find("grace") is not None
        quarters = Fraction(0) if is_grace else self._note_quarters(note)
        if note.find("chord") is None:
            self._chord_onset = self._cursor
            onset = self._cursor
            self._cursor += quarters
        else:
            onset = self._chord_onset
        is_played = note.find("rest") is None and note.find("cue") is None and not is_dead(note)
        if is_played and staff_of(note) == self._staff:
            measure.notes.append(self._written_note(note, onset, quarters, measure.number))

    def _written_note(self, note: Element, onset: Fraction, quarters: Fraction, measure: str) -> WrittenNote:
        course, fret = note.find("notations/technical/string"), note.find("notations/technical/fret")
        starts, stops = _marks(note)
        ties = {tie.get("type") for path in ("tie", "notations/tied") for tie in note.iterfind(path)}
        fingers = [(finger.text or "").strip() for finger in note.iterfind("notations/technical/fingering")]
        return WrittenNote(
            onset_quarters=onset,
            duration_quarters=quarters,
            is_grace=note.find("grace") is not None,
            in_chord=note.find("chord") is not None,
            voice=(note.findtext("voice") or "1").strip(),
            pitch=self._sounding_pitch(note),
            course=None if course is None else read_whole(course, least=1),
            fret=None if fret is None else read_whole(fret, least=0),
            starts=starts,
            stops=stops,
            tied_from="stop" in ties,
            tied_to="start" in ties,
            stroke=_stroke(note),
            finger=next((_FINGERS[finger] for finger in fingers if finger in _FINGERS), None),
            accent=any(
                note.find(f"notations/articulations/{kind}") is not None for kind in ("accent", "strong-accent")
            ),
            line=line_of(note),
            measure=measure,
        )

    def _sounding_pitch(self, note: Element) -> int | None:
        pitch = note.find("pitch")
        if pitch is None:
            return None
        octave, alter = pitch.find("octave"), pitch.find("alter")
        if octave is None:
            raise ScoreFileError("a pitch without <octave>", line_of(pitch))
        step = (pitch.findtext("step") or "").strip()
        altered = Fraction(0) if alter is None else read_number(alter)
        return pitch_number(step, altered, read_whole(octave), line_of(pitch)) + self._transposition

    def _read_attributes(self, attributes: Element, measure: Measure) -> None:
        divisions = attributes.find("divisions")
        if divisions is not None:
            self._divisions = read_number(divisions, least=0)
            if not self._divisions:
                raise ScoreFileError("<divisions>: expected a number above 0, found 0", line_of(divisions))
        for transpose in attributes.iterfind("transpose"):
            if transpose.get("number", self._staff) == self._staff:
                chromatic, octaves = transpose.find("chromatic"), transpose.find("octave-change")
                semitones = 0 if chromatic is None else read_whole(chromatic)
                self._transposition = semitones + 12 * (0 if octaves is None else read_whole(octaves))
        for time in attributes.iterfind("time"):
            if time.get("number", self._staff) == self._staff and time.find("beats") is not None:
                measure.meters.append(_meter(time))
                beats, unit = measure.meters[-1]
                self._bar_quarters = Fraction(4 * beats, unit)

    def _read_barline(self, barline: Element, measure: Measure) -> None:
        repeat, ending = barline.find("repeat"), barline.find("ending")
        if ending is not None and ending.get("type") == "start":
            self._open_ending = measure.ending = _passes(ending)
        elif ending is not None:
            self._open_ending = ()
        if repeat is None:
            return
        if repeat.get("direction") == "forward":
            measure.repeat_begins = True
        elif repeat.get("direction") == "backward":
            times = repeat.get("times", "2")
            if not re.fullmatch(r"\d{1,3}", times) or not int(times):
                raise ScoreFileError(f"<repeat>: expected a number of times, found {times[:40]!r}", line_of(repeat))
            measure.repeat_passes = int(times)
        else:
            raise ScoreFileError("<repeat>: expected direction forward or backward", line_of(repeat))


def _marks(note: Element) -> tuple[tuple[Mark, ...], tuple[Mark, ...]]:
    """The techniques that start at `note` and those that stop at it."""
    starts, stops = [], []
    for notations in note.iterfind("notations"):
        for path, technique in _TECHNIQUES.items():
            for element in notations.iterfind(path):
                # A slide and a glissando of one number are two lines.
                mark = Mark(technique, f"{element.tag} {element.get('number', '1')}")
                if element.get("type") == "start":
                    starts.append(mark)
                elif element.get("type") == "stop":
                    stops.append(mark)
        # A tap is a hammer-on by the other hand: it begins the note without a pick.
        stops += [Mark(Technique.HAMMER, "tap") for _ in notations.iterfind("technical/tap")]
    return tuple(starts), tuple(stops)


def _stroke(note: Element) -> Stroke | None:
    """The prescribed stroke: the bowing signs stand "for strokes on plucked instruments" too (MusicXML 4.0)."""
    if note.find("notations/technical/down-bow") is not None:
        return Stroke.DOWN
    return Stroke.UP if note.find("notations/technical/up-bow") is not None else None


def _meter(time: Element) -> tuple[int, int]:
    """Beats and beat unit; composite signatures such as 3+2/8 are added up."""
    total = Fraction(0)
    unit = 1
    for beats, beat_type in zip(time.findall("beats"), time.findall("beat-type"), strict=False):
        text, type_text = (beats.text or "").replace(" ", ""), (beat_type.text or "").strip()
        if not re.fullmatch(r"[1-9]\d?(\+[1-9]\d?)*", text) or type_text not in {"1", "2", "4", "8", "16", "32", "64"}:
            raise ScoreFileError(
                f"<time>: expected beats and a beat type, found {text[:20]}/{type_text[:20]}", line_of(time)
            )
        unit = max(unit, int(type_text))
        total += Fraction(sum(int(number) for number in text.split("+")), int(type_text))
    if not total:
        raise ScoreFileError("<time>: expected beats and a beat type", line_of(time))
    return int(total * unit), unit


def _passes(ending: Element) -> tuple[int, ...]:
    numbers = tuple(int(number) for number in re.findall(r"\d{1,3}", ending.get("number", "")))
    if not numbers:
        raise ScoreFileError("<ending>: expected the numbers of its passes, e.g. 1, 2", line_of(ending))
    return numbers
