"""A line as a MusicXML 4.0 file: one part with a notation staff and a tablature staff.

The tablature staff carries everything that the line says (string, fret, stroke, finger, accent, technique); the
notation staff repeats what is usual there (accidentals, ties, beams, tuplet brackets, slurs, slides, accents).
Hammer-ons, pull-offs and slides are numbered by string and staff, so that none can be taken for another. A slide out of
a grace note is written as that: a grace note on the same string with a slide to its note.
References: MusicXML 4.0 (W3C Music Notation Community Group, 2021); the schema's order of elements is kept.
"""

import io
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm
from xml.etree import ElementTree as ET

from trainer.score.beaming import Beam, beam_groups, beams_of
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.meter import Meter
from trainer.score.notation import Bar, Sign, Voice, bars_of
from trainer.sheets.joins import position_changes, slurs_of
from trainer.sheets.musicxml_head import NOTATION, TABLATURE, add, add_attributes, add_tempo, printable
from trainer.sheets.spelling import SpelledPitch, Spelling, clef_of
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique

Element = ET.Element

_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_CONTAINER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<container><rootfiles><rootfile full-path="score.musicxml"'
    ' media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>\n'
)
_TYPES = {
    Fraction(4, 2**halvings): name
    for halvings, name in enumerate(("whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th"))
}
_ACCIDENTALS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
_SLURS = {Technique.HAMMER: ("hammer-on", "H"), Technique.PULL: ("pull-off", "P")}
_STROKES = {Stroke.DOWN: "down-bow", Stroke.UP: "up-bow"}


def musicxml(exercise: Exercise) -> bytes:
    """`exercise` as a score-partwise document in UTF-8; the same line always gives the same bytes."""
    root = Element("score-partwise", version="4.0")
    add(add(root, "work"), "work-title", printable(exercise.title))
    identification = add(root, "identification")
    add(add(identification, "encoding"), "software", "Boxwalk")
    facts = {"key": exercise.key, "tuning": exercise.tuning.name, "about": exercise.about}
    miscellaneous = add(identification, "miscellaneous")
    for name, text in facts.items():
        if text:
            add(miscellaneous, "miscellaneous-field", printable(text), name=name)
    add(add(add(root, "part-list"), "score-part", id="P1"), "part-name", _part_name(exercise))
    part = add(root, "part", id="P1")
    part.extend(_PartWriter(exercise).measures())
    ET.indent(root)
    return (_HEAD + ET.tostring(root, encoding="unicode") + "\n").encode()


def compressed(document: bytes) -> bytes:
    """A MusicXML document as a compressed file (.mxl); the same document always gives the same bytes."""
    members = {
        "mimetype": b"application/vnd.recordare.musicxml",
        "META-INF/container.xml": _CONTAINER.encode(),
        "score.musicxml": document,
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, data in members.items():
            # The first member tells what the archive is and stands there uncompressed.
            packing = zipfile.ZIP_STORED if name == "mimetype" else zipfile.ZIP_DEFLATED
            archive.writestr(zipfile.ZipInfo(name), data, packing)
    return packed.getvalue()


def _part_name(exercise: Exercise) -> str:
    return "Bass" if clef_of(exercise.tuning).sign == "F" else "Guitar"


@dataclass(slots=True)
class _Staff:
    """Where a row of notes goes, and what is in force there."""

    number: int
    voice: str
    shown_alters: dict[tuple[str, int], int] = field(default_factory=dict)
    """The accidentals of this bar, by step and octave."""


class _PartWriter:
    """Writes the measures of a line."""

    def __init__(self, exercise: Exercise) -> None:
        self._exercise = exercise
        self._bars = bars_of(exercise)
        self._spelling = Spelling(exercise)
        self._slurs = slurs_of(exercise)
        signs = [sign for bar in self._bars for voice in bar.voices for sign in voice]
        self._divisions = lcm(*(sign.duration_quarters.denominator for sign in signs))
        self._positions = dict(position_changes(exercise))

    def measures(self) -> Iterator[Element]:
        """One element for each bar."""
        for number, bar in enumerate(self._bars, start=1):
            measure = Element("measure", number=str(number))
            if number == 1:
                add_attributes(measure, self._exercise, self._spelling.signature, self._divisions)
                add_tempo(measure, self._exercise)
            self._add_bar(measure, bar)
            if number == len(self._bars):
                add(add(measure, "barline", location="right"), "bar-style", "light-heavy")
            yield measure

    def _add_bar(self, measure: Element, bar: Bar) -> None:
        # Voices are told apart in the whole part: those of the tablature go on counting from 5 (common practice).
        first_voice = {NOTATION: 1, TABLATURE: max(5, len(bar.voices) + 1)}
        is_begun = False
        for staff, first in first_voice.items():
            for ordinal, voice in enumerate(bar.voices):
                if not voice:
                    continue
                if is_begun:
                    add(add(measure, "backup"), "duration", self._duration(bar.length_quarters))
                is_begun = True
                self._add_voice(measure, voice, _Staff(staff, str(first + ordinal)), is_first=ordinal == 0)

    def _add_voice(self, measure: Element, voice: Voice, staff: _Staff, *, is_first: bool) -> None:
        beams = _beams(voice, self._exercise.meter) if staff.number == NOTATION else {}
        for sign in voice:
            if sign.is_rest and not is_first:
                forward = add(measure, "forward")
                add(forward, "duration", self._duration(sign.duration_quarters))
                add(forward, "voice", staff.voice)
                add(forward, "staff", str(staff.number))
                continue
            if sign.is_rest:
                self._add_rest(measure, sign, staff)
                continue
            if staff.number == TABLATURE and not sign.tied_from:
                self._add_position(measure, sign)
            self._add_graces(measure, sign, staff)
            for place, index in enumerate(sign.notes):
                self._add_note(measure, sign, index, staff, in_chord=place > 0, beams=beams.get(sign, ()))

    def _duration(self, quarters: Fraction) -> str:
        return str(quarters * self._divisions)

    def _add_position(self, measure: Element, sign: Sign) -> None:
        for index in sign.notes:
            if index in self._positions:
                direction = add(measure, "direction", placement="above")
                add(add(direction, "direction-type"), "words", f"position {self._positions[index]}")
                add(direction, "staff", str(TABLATURE))

    def _add_rest(self, measure: Element, sign: Sign, staff: _Staff) -> None:
        note = add(measure, "note")
        add(note, "rest")
        add(note, "duration", self._duration(sign.duration_quarters))
        add(note, "voice", staff.voice)
        _add_value(note, sign)
        add(note, "staff", str(staff.number))
        if staff.number == NOTATION and (sign.tuplet_begins or sign.tuplet_ends):
            _add_tuplet(add(note, "notations"), sign)

    def _add_graces(self, measure: Element, sign: Sign, staff: _Staff) -> None:
        """The grace notes that the notes of a sign slide from."""
        sliding = [self._exercise.notes[index] for index in sign.notes if not sign.tied_from]
        begins = [(note, note.slide_from) for note in sliding if note.slide_from is not None]
        for place, (target, location) in enumerate(begins):
            note = add(measure, "note")
            add(note, "grace", slash="no")
            if place > 0:
                add(note, "chord")
            spelled = self._spelling.of(self._exercise.tuning.pitch_at(location))
            _add_pitch(note, spelled)
            add(note, "voice", staff.voice)
            add(note, "type", "16th")
            self._finish_head(note, spelled, staff)
            notations = add(note, "notations")
            add(notations, "slide", type="start", number=_line_number(target, staff))
            if staff.number == TABLATURE:
                _add_place(add(notations, "technical"), location)

    def _finish_head(self, note: Element, spelled: SpelledPitch, staff: _Staff, value: Sign | None = None) -> None:
        """Accidental, tuplet ratio, stem and staff: what stands between the value and the beams."""
        if staff.number == NOTATION and not (value is not None and value.tied_from):
            in_force = staff.shown_alters.get(
                (spelled.step, spelled.octave), self._spelling.signature.alter_of(spelled.step)
            )
            if spelled.alter != in_force:
                add(note, "accidental", _ACCIDENTALS[spelled.alter])
            staff.shown_alters[spelled.step, spelled.octave] = spelled.alter
        if value is not None:
            _add_ratio(note, value)
        if staff.number == TABLATURE:
            add(note, "stem", "none")
        add(note, "staff", str(staff.number))

    def _add_note(
        self, measure: Element, sign: Sign, index: int, staff: _Staff, *, in_chord: bool, beams: Sequence[str]
    ) -> None:
        written = self._exercise.notes[index]
        note = add(measure, "note")
        if in_chord:
            add(note, "chord")
        spelled = self._spelling.of(written.pitch)
        _add_pitch(note, spelled)
        add(note, "duration", self._duration(sign.duration_quarters))
        ties = [kind for kind, tied in (("stop", sign.tied_from), ("start", sign.tied_to)) if tied]
        for kind in ties:
            add(note, "tie", type=kind)
        add(note, "voice", staff.voice)
        _add_type(note, sign)
        self._finish_head(note, spelled, staff, sign)
        for level, kind in enumerate(beams, start=1) if not in_chord else ():
            add(note, "beam", kind, number=str(level))
        notations = add(note, "notations")
        for kind in ties:
            add(notations, "tied", type=kind)
        if staff.number == NOTATION and not in_chord:
            _add_tuplet(notations, sign)
        technical = Element("technical")
        self._add_slurs(notations, technical, sign, index, staff)
        if staff.number == TABLATURE:
            _add_hands(technical, written, is_begun=not sign.tied_from)
        if len(technical):
            notations.append(technical)
        if written.accent and not sign.tied_from:
            add(add(notations, "articulations"), "accent")
        if not len(notations):
            note.remove(notations)

    def _add_slurs(self, notations: Element, technical: Element, sign: Sign, index: int, staff: _Staff) -> None:
        """Both ends of techniques: they stop where a note is begun, and start where the note before is last written."""
        notes = self._exercise.notes
        if not sign.tied_from and notes[index].technique is not Technique.PICK:
            is_alone = notes[index].slide_from is None and self._slurs.source_of[index] is None
            if staff.number == TABLATURE or not is_alone:
                _add_end(notations, technical, notes[index], "stop", staff)
        target = self._slurs.target_of.get(index)
        if target is not None and not sign.tied_to:
            _add_end(notations, technical, notes[target], "start", staff)


def _add_end(notations: Element, technical: Element, target: ScoreNote, kind: str, staff: _Staff) -> None:
    """One end of the technique that begins `target`."""
    number = _line_number(target, staff)
    if target.technique is Technique.SLIDE:
        add(notations, "slide", type=kind, number=number)
    elif staff.number == NOTATION:
        add(notations, "slur", type=kind, number=number)
    else:
        tag, letter = _SLURS[target.technique]
        add(technical, tag, letter if kind == "start" else "", type=kind, number=number)


def _line_number(target: ScoreNote, staff: _Staff) -> str:
    """Tells the lines of strings and staves apart that run at the same time; the format has numbers 1 to 16."""
    return str((target.course - 1) % 8 + 1 + 8 * (staff.number == TABLATURE))


def _add_hands(technical: Element, note: ScoreNote, *, is_begun: bool) -> None:
    """String, fret and, where the note begins, stroke and finger."""
    if is_begun and note.stroke is not None:
        add(technical, _STROKES[note.stroke])
    if is_begun and note.finger is not None:
        add(technical, "fingering", str(note.finger))
    _add_place(technical, note.location)


def _add_place(technical: Element, location: Location) -> None:
    add(technical, "string", str(location.course))
    add(technical, "fret", str(location.fret))


def _add_pitch(note: Element, spelled: SpelledPitch) -> None:
    pitch = add(note, "pitch")
    add(pitch, "step", spelled.step)
    if spelled.alter:
        add(pitch, "alter", str(spelled.alter))
    add(pitch, "octave", str(spelled.octave))


def _add_value(note: Element, sign: Sign) -> None:
    _add_type(note, sign)
    _add_ratio(note, sign)


def _add_type(note: Element, sign: Sign) -> None:
    if sign.value is not None:
        add(note, "type", _TYPES[sign.value.plain_quarters])
        for _ in range(sign.value.dots):
            add(note, "dot")


def _add_ratio(note: Element, sign: Sign) -> None:
    if sign.tuplet is not None:
        ratio = add(note, "time-modification")
        add(ratio, "actual-notes", str(sign.tuplet.actual))
        add(ratio, "normal-notes", str(sign.tuplet.normal))


def _add_tuplet(notations: Element, sign: Sign) -> None:
    if sign.tuplet_begins:
        add(notations, "tuplet", type="start", bracket="yes", number="1")
    if sign.tuplet_ends:
        add(notations, "tuplet", type="stop", number="1")


def _beams(voice: Voice, meter: Meter) -> dict[Sign, tuple[str, ...]]:
    """What each beamed sign has at each level of beams, the outermost first."""
    words: dict[Sign, list[str]] = {}
    for group in beam_groups(voice, meter):
        for beam in beams_of(group, meter):
            for at in range(beam.first, beam.last + 1):
                words.setdefault(group[at], []).append(_beam(beam, at))
    return {sign: tuple(levels) for sign, levels in words.items()}


def _beam(beam: Beam, at: int) -> str:
    if beam.side:
        return "forward hook" if beam.side > 0 else "backward hook"
    return "begin" if at == beam.first else "end" if at == beam.last else "continue"
