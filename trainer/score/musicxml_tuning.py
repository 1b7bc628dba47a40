"""The strings of a staff in a MusicXML file.

Line 1 of a staff tuning is the lowest line, string 1 is the highest-pitched string: on a staff of L lines string s is
line L + 1 - s. A capo raises the open strings (MusicXML 4.0, elements `staff-tuning`, `string`, `capo`).
"""

from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction
from xml.etree.ElementTree import Element

from trainer.score.musicxml_file import ScoreFileError, line_of
from trainer.score.musicxml_measures import StaffName, WrittenNote, pitch_number, read_number, read_whole
from trainer.score.strings import MOST_STRINGS, guitar_tuning, tuning_of, usual_tuning
from trainer.theory.tuning import Tuning

# A string further than this from its usual pitch is more likely a wrong octave than a tuning.
_LARGEST_RETUNING_SEMITONES = 5


def read_tuning(staff: StaffName, notes: Sequence[WrittenNote]) -> Tuning:
    """The tuning of `staff`, from its staff details or, without any, from how pitches and places of `notes` relate."""
    details = [
        element
        for element in staff.part.iterfind("measure/attributes/staff-details")
        if element.get("number", staff.number) == staff.number
    ]
    given = [(element, _open_pitches(element)) for element in details if element.find("staff-tuning") is not None]
    for element, pitches in given:
        if pitches != given[0][1]:
            raise ScoreFileError("the tuning changes: one exercise has one tuning", line_of(element))
    pitches = given[0][1] if given else _guessed(notes)
    frets = [(element, capo) for element in details if (capo := element.find("capo")) is not None]
    raised = {read_whole(capo, least=0) for _, capo in frets}
    if len(raised) > 1:
        raise ScoreFileError("the capo moves: one exercise has one tuning", line_of(frets[-1][0]))
    capo_fret = raised.pop() if raised else 0
    if not capo_fret:
        return tuning_of(pitches)
    bare = tuning_of(pitches)
    return Tuning(f"{bare.name}, capo {capo_fret}", tuple(pitch + capo_fret for pitch in pitches))


def _open_pitches(details: Element) -> tuple[int, ...]:
    """The open strings, string 1 (the top line) first."""
    by_line: dict[int, int] = {}
    for tuning in details.iterfind("staff-tuning"):
        line = tuning.get("line", "")
        octave, alter = tuning.find("tuning-octave"), tuning.find("tuning-alter")
        if not line.isdecimal() or len(line) > 2 or octave is None:
            raise ScoreFileError("<staff-tuning>: expected a line and an octave", line_of(tuning))
        step = (tuning.findtext("tuning-step") or "").strip()
        altered = Fraction(0) if alter is None else read_number(alter)
        by_line[int(line)] = pitch_number(step, altered, read_whole(octave), line_of(tuning))
    if sorted(by_line) != list(range(1, len(by_line) + 1)):
        lines = ", ".join(str(line) for line in sorted(by_line))
        raise ScoreFileError(f"<staff-tuning>: expected every line from 1 up, found {lines}", line_of(details))
    return tuple(by_line[line] for line in sorted(by_line, reverse=True))


def _guessed(notes: Sequence[WrittenNote]) -> tuple[int, ...]:
    """The open strings of a staff that does not give them.

    Where all notes on a string agree on its open pitch, near the usual one, that is its pitch; else the usual one is.
    """
    opens: defaultdict[int, set[int]] = defaultdict(set)
    for note in notes:
        if note.course is not None and note.fret is not None and note.pitch is not None:
            opens[note.course].add(note.pitch - note.fret)
    strings = max((note.course for note in notes if note.course is not None), default=6)
    if strings > MOST_STRINGS:
        line = next(note.line for note in notes if note.course == strings)
        raise ScoreFileError(f"string {strings} on a staff without a tuning: expected 1 to {MOST_STRINGS}", line)
    certain = {course: pitches.pop() for course, pitches in opens.items() if len(pitches) == 1}
    candidates = [guitar_tuning(strings).open_pitches]
    if strings in {4, 5}:
        candidates.append(usual_tuning(strings).open_pitches)

    def distance(pitches: tuple[int, ...]) -> int:
        return sum(abs(pitches[course - 1] - pitch) for course, pitch in certain.items())

    usual = min(candidates, key=distance)
    return tuple(
        pitch if abs(certain.get(course, pitch) - pitch) > _LARGEST_RETUNING_SEMITONES else certain.get(course, pitch)
        for course, pitch in enumerate(usual, start=1)
    )
