"""What stands at the start of a MusicXML part, and how elements and texts are added to a document."""

from fractions import Fraction
from xml.etree import ElementTree as ET

from trainer.score.exercise import Exercise
from trainer.sheets.spelling import Signature, clef_of, spelled_alone

Element = ET.Element

NOTATION, TABLATURE = 1, 2
"""The numbers of the two staves."""


def printable(text: str) -> str:
    """`text` in one line without the control characters that XML forbids."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def decimal(number: Fraction) -> str:
    """A number as a decimal of at most nine places, the shortest that says it: 66, 82.5."""
    return f"{float(number):.9f}".rstrip("0").rstrip(".")


def add(parent: Element, tag: str, text: str = "", **attributes: str) -> Element:
    """Add a child with text and attributes, and return it."""
    child = ET.SubElement(parent, tag, attributes)
    if text:
        child.text = text
    return child


def add_attributes(measure: Element, exercise: Exercise, signature: Signature, divisions: int) -> None:
    """Add what is in force from the first measure on: divisions, key, time, clefs and strings."""
    attributes = add(measure, "attributes")
    add(attributes, "divisions", str(divisions))
    key = add(attributes, "key")
    add(key, "fifths", str(signature.fifths))
    if signature.mode:
        add(key, "mode", signature.mode)
    time = add(attributes, "time")
    add(time, "beats", str(exercise.meter.beats))
    add(time, "beat-type", str(exercise.meter.beat_unit))
    add(attributes, "staves", "2")
    sign, line, octaves = clef_of(exercise.tuning)
    clef = add(attributes, "clef", number=str(NOTATION))
    add(clef, "sign", sign)
    add(clef, "line", str(line))
    if octaves:
        add(clef, "clef-octave-change", str(octaves))
    clef = add(attributes, "clef", number=str(TABLATURE))
    add(clef, "sign", "TAB")
    add(clef, "line", "5")
    _add_strings(add(attributes, "staff-details", number=str(TABLATURE)), exercise, flats=signature.fifths < 0)


def _add_strings(details: Element, exercise: Exercise, *, flats: bool) -> None:
    pitches = exercise.tuning.open_pitches
    add(details, "staff-lines", str(len(pitches)))
    for line, pitch in enumerate(reversed(pitches), start=1):
        step, alter, octave = spelled_alone(pitch, flats=flats)
        tuning = add(details, "staff-tuning", line=str(line))
        add(tuning, "tuning-step", step)
        if alter:
            add(tuning, "tuning-alter", str(alter))
        add(tuning, "tuning-octave", str(octave))


def add_tempo(measure: Element, exercise: Exercise) -> None:
    """Add the tempo as a metronome mark and as what sounds."""
    tempo = decimal(exercise.tempo.quarters_per_minute)
    direction = add(measure, "direction", placement="above")
    metronome = add(add(direction, "direction-type"), "metronome")
    add(metronome, "beat-unit", "quarter")
    add(metronome, "per-minute", tempo)
    add(direction, "staff", str(NOTATION))
    add(direction, "sound", tempo=tempo)
