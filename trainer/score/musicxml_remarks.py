"""What a MusicXML staff says and a line of notes does not: counted by kind, so that nothing is dropped in silence.

Listed is whatever changes how a note sounds or what else sounds; what only concerns the look of the page (stems, beams,
layout, printed accidentals) is not. A sign that this module does not know is listed by its element's name.
References: MusicXML 4.0, elements `notations`, `technical`, `articulations`, `ornaments`, `direction-type`, `notehead`.
"""

from collections import defaultdict
from collections.abc import Iterator
from xml.etree.ElementTree import Element

from trainer.score.musicxml_measures import StaffName, is_dead, staff_of
from trainer.score.reading import places_in_words
from trainer.theory.naming import counted

# Read, or about the look of the page only.
_READ_NOTATIONS = {"tied", "tuplet", "slide", "glissando", "technical", "articulations", "ornaments"}
_READ_TECHNICAL = {"string", "fret", "hammer-on", "pull-off", "tap", "fingering", "down-bow", "up-bow"}
_READ_ARTICULATIONS = {"accent", "strong-accent", "other-articulation"}
_READ_DIRECTIONS = {"metronome", "segno", "coda"}
_LOOKS = {"rehearsal", "principal-voice", "accordion-registration", "staff-divide", "image", "accidental-mark"}
_NAMES = {"bend": "bend", "harmonic": "harmonic", "wavy-line": "vibrato or trill line", "words": "line of words"}
_PLURALS = {"line of words": "lines of words", "dashes": "lines of dashes"}
_AS_FRETTED = "read as fretted notes at their fret"
_FATES = {
    "bend": "read as plain notes: a line holds no bends",
    "harmonic": _AS_FRETTED,
    "dead note": "left out: they have no pitch to follow",
    "grace note": "played as short as can be, before the beat",
    "cue note": "left out: others play them",
}


def what_is_left_out(staff: StaffName) -> Iterator[str]:
    """A sentence for each kind of sign of `staff` that its line does not have, in the order in which they occur."""
    found: defaultdict[str, list[str]] = defaultdict(list)
    bends: list[str] = []
    for measure in staff.part.iterfind("measure"):
        number = measure.get("number", "?")[:20]
        for element in measure:
            if element.tag in ("note", "direction") and staff_of(element) == staff.number:
                for kind in _kinds(element):
                    found[kind].append(number)
                bends += [" ".join(alter.text.split())[:8] for alter in element.iter("bend-alter") if alter.text]
            elif element.tag in ("harmony", "figured-bass"):
                found["chord symbol" if element.tag == "harmony" else "figured bass sign"].append(number)
    for kind, measures in found.items():
        semitones = f" by {', '.join(dict.fromkeys(bends[:12]))} semitones" if kind == "bend" and bends else ""
        plural = _PLURALS.get(kind, kind if kind.endswith("s") else "")
        fate = _FATES.get(kind, "left out")
        yield f"{counted(len(measures), kind, plural)}{semitones} {fate} ({places_in_words(measures, 'measure')})."


def _kinds(element: Element) -> Iterator[str]:
    """What of a note or a direction is not in the line."""
    if element.tag == "direction":
        yield from (_name(sign) for each in element.iterfind("direction-type") for sign in each if _is_listed(sign))
        return
    if element.find("rest") is not None:
        return
    if element.find("cue") is not None:
        yield "cue note"
        return
    if element.find("grace") is not None and not _slides_away(element):
        yield "grace note"
    if is_dead(element):
        yield "dead note"
    for mute in element.iterfind("play/mute"):
        if (mute.text or "").strip() not in ("", "off"):
            yield "muted note"
    if element.find("lyric") is not None:
        yield "lyric syllable"
    for notations in element.iterfind("notations"):
        yield from _kinds_of_notations(notations)


def _slides_away(note: Element) -> bool:
    """Whether a grace note is where a slide begins, which a line does say."""
    slides = (slide for kind in ("slide", "glissando") for slide in note.iterfind(f"notations/{kind}"))
    return any(slide.get("type") == "start" for slide in slides)


def _is_listed(sign: Element) -> bool:
    return sign.tag not in _READ_DIRECTIONS | _LOOKS and sign.get("type") not in ("stop", "continue", "change")


def _kinds_of_notations(notations: Element) -> Iterator[str]:
    for sign in notations:
        if sign.tag not in _READ_NOTATIONS | _LOOKS and sign.get("type", "start") == "start":
            yield _name(sign)
    for path, read in (("technical", _READ_TECHNICAL), ("articulations", _READ_ARTICULATIONS), ("ornaments", set())):
        for group in notations.iterfind(path):
            yield from (_name(sign) for sign in group if sign.tag not in read | _LOOKS)


def _name(sign: Element) -> str:
    """What a sign is called: its own name where it has one, else the element's, with spaces."""
    return _NAMES.get(sign.tag) or sign.tag.replace("-", " ")[:40]
