"""MusicXML that is written here is valid against the published schema, and others read the same line from it.

Published sources: the MusicXML 4.0 schema (W3C Music Notation Community Group, 2021), carried by the PyPI package
`musicxml`, with the W3C's XLink schema, carried by `xmlschema`; music21 (BSD-3-Clause) as a reader of another hand.
"""

import importlib.util
from fractions import Fraction
from functools import cache
from pathlib import Path

import music21
import pytest
from lxml import etree
from music21.articulations import Accent, DownBow, Fingering, FretIndication, StringIndication, UpBow

from tests.external.test_musicxml_against_music21 import parsed
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.library import exercise_names, load_exercise
from trainer.score.one_line import exercise_from_line
from trainer.sheets.musicxml_writing import musicxml
from trainer.theory.technique import Stroke, Technique

LINES = {
    "bass": "E minor pentatonic, bass, strings 1-4, positions 1 2 3, up, legato",
    "five strings": "B minor pentatonic, five-string-bass, strings 4-5, positions 1 2, fours up",
    "eight strings": "F# minor, eight-string, strings 6-8, positions 1 2, up then down, triplets",
    "re-entrant": "C major, ukulele, all strings, position 1, up",
    "flats": "Ab dorian, e-flat, strings 1-3, positions 1 2 3, sixes up, 6/8, 5 a beat",
    "tied over the bar line": "A minor, strings 1-2, positions 1 2 3 4, fours down, dotted quarter, 5/4",
    "rests": "A blues, strings 2-4, positions 1 2, threes up, triplet rest + two triplets, 7/8",
    "double stops": "D minor pentatonic, strings 1-2, positions 1 2 3, steps 1+3 2+4, slid from below",
}


STROKES = {DownBow: Stroke.DOWN, UpBow: Stroke.UP}


def package_folder(name: str) -> Path:
    spec = importlib.util.find_spec(name)
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent


class LocalSchemas(etree.Resolver):
    """Takes the schemas that the published one imports from the disk: nothing is fetched."""

    def resolve(self, system_url: str, _public_id: object, context: object) -> object:
        name = system_url.rpartition("/")[2]
        places = {"xlink.xsd": "XLINK/xlink.xsd", "xml.xsd": "XML/xml.xsd"}
        if system_url.startswith("http"):
            return self.resolve_filename(str(package_folder("xmlschema") / "schemas" / places[name]), context)
        return None


@cache
def schema() -> etree.XMLSchema:
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(LocalSchemas())
    return etree.XMLSchema(
        etree.parse(str(package_folder("musicxml") / "generate_classes" / "musicxml_4_0.xsd"), parser)
    )


def complaints_about(document: bytes) -> list[str]:
    schema().validate(etree.fromstring(document))
    return [f"{error.line}: {error.message}" for error in schema().error_log]


def the_line(name: str) -> Exercise:
    return exercise_from_line(LINES[name]) if name in LINES else load_exercise(name)


every_line = pytest.mark.parametrize("name", [*exercise_names(), *LINES])


@every_line
def test_every_line_is_valid(name: str) -> None:
    assert complaints_about(musicxml(the_line(name))) == []


def test_the_schema_sees_what_is_not_valid() -> None:
    document = musicxml(load_exercise("quarry-steps"))

    assert complaints_about(document.replace(b"<string>1</string>", b"<string>0</string>", 1)) != []
    assert complaints_about(document.replace(b"<voice>1</voice>", b"", 1)) == []
    assert complaints_about(document.replace(b"<divisions>", b"<staves>2</staves><divisions>", 1)) != []


@cache
def by_music21(name: str) -> music21.stream.Score:
    """A line as music21 reads it; read once for all tests, which only look at it."""
    return parsed(musicxml(the_line(name)).decode())


def tablature_by_music21(name: str) -> music21.stream.Part:
    part = by_music21(name).parts[1]
    assert isinstance(part, music21.stream.Part)
    return part


def begun(part: music21.stream.Part) -> list[tuple[Fraction, music21.note.GeneralNote]]:
    """Every note and chord that is begun, without grace notes and tied continuations."""
    flat = part.flatten()
    return [
        (Fraction(note.getOffsetBySite(flat)).limit_denominator(5040), note)
        for note in flat.notes
        if not note.duration.isGrace and (note.tie is None or note.tie.type == "start")
    ]


@every_line
def test_music21_reads_the_same_pitches_and_tempo(name: str) -> None:
    line = the_line(name)

    part = tablature_by_music21(name)

    here = sorted((note.onset_quarters, note.pitch) for note in line.notes)
    assert sorted((onset, pitch.midi) for onset, note in begun(part) for pitch in note.pitches) == here
    (mark,) = by_music21(name).flatten()["MetronomeMark"]
    assert mark.number == pytest.approx(float(line.tempo.quarters_per_minute))


@every_line
def test_music21_reads_the_same_strings_frets_and_hands(name: str) -> None:
    line = the_line(name)

    part = tablature_by_music21(name)

    # music21 keeps the marks of a chord with the chord: places and fingers of each note, equal signs once.
    read = [
        (
            onset,
            sorted(zip(numbers(note, StringIndication), numbers(note, FretIndication), strict=True)),
            {stroke for mark in note.articulations for kind, stroke in STROKES.items() if isinstance(mark, kind)},
            sorted(mark.fingerNumber for mark in note.articulations if isinstance(mark, Fingering)),
            any(isinstance(mark, Accent) for mark in note.articulations),
        )
        for onset, note in begun(part)
    ]
    here = [
        (
            onset,
            sorted((*note.location,) for note in notes),
            {note.stroke for note in notes if note.stroke is not None},
            sorted(note.finger for note in notes if note.finger is not None),
            any(note.accent for note in notes),
        )
        for onset, notes in moments(line)
    ]
    assert read == here


@every_line
def test_music21_reads_the_same_techniques(name: str) -> None:
    line = the_line(name)

    score = by_music21(name)

    tablature = score.parts[1]
    kinds = {
        music21.articulations.HammerOn: Technique.HAMMER,
        music21.articulations.PullOff: Technique.PULL,
        music21.spanner.Glissando: Technique.SLIDE,
    }
    in_tablature = {id(note) for note in tablature.recurse().notes}
    read = sorted(
        (technique, Fraction(spanner.getLast().getOffsetInHierarchy(tablature)).limit_denominator(5040))
        for kind, technique in kinds.items()
        for spanner in score.recurse().getElementsByClass(kind)  # all are kept with the first staff
        if id(spanner.getLast()) in in_tablature
    )
    here = sorted((note.technique, note.onset_quarters) for note in line.notes if note.technique is not Technique.PICK)
    assert read == here


def numbers(note: music21.note.GeneralNote, kind: type) -> list[int]:
    return [mark.number for mark in note.articulations if isinstance(mark, kind)]


def moments(line: Exercise) -> list[tuple[Fraction, list[ScoreNote]]]:
    by_onset: dict[Fraction, list[ScoreNote]] = {}
    for note in line.notes:
        by_onset.setdefault(note.onset_quarters, []).append(note)
    return sorted(by_onset.items(), key=lambda moment: moment[0])
