"""Reading an exercise from a MusicXML file (.musicxml, .xml, .mxl).

One staff is read: of the part that is asked for, or of all, the first on which at least half of the notes have a string
and a fret, else the one with the most such notes, else the first with notes at all. What one steady line cannot show is
named: a change of tempo or meter in the exercise's text (`about`), signs that a line has no room for in the remarks
(`musicxml_remarks`). What would change the notes, such as a jump to a sign, is refused.
References: MusicXML 4.0 (W3C Music Notation Community Group, 2021).
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from xml.etree.ElementTree import Element

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.limits import DEFAULT_QUARTERS_PER_MINUTE, LAST_FRET, LONGEST_QUARTERS
from trainer.score.meter import Meter
from trainer.score.musicxml_file import ScoreFileError, line_of, read_score_tree
from trainer.score.musicxml_measures import Measure, StaffName, TempoMark, read_measures, staff_of, tempo_marks
from trainer.score.musicxml_notes import score_notes
from trainer.score.musicxml_remarks import what_is_left_out
from trainer.score.musicxml_repeats import playing_order
from trainer.score.musicxml_tuning import read_tuning
from trainer.score.reading import Reading
from trainer.score.tempo import Tempo
from trainer.theory.naming import folded

_JUMPS = ("dacapo", "dalsegno", "tocoda")
_JUMP_IN_WORDS = re.compile(r"\bD\. ?[CS]\.|\bda capo\b|\bdal segno\b|\bto coda\b|\bal coda\b", re.IGNORECASE)
_FIFTHS = ("F", "C", "G", "D", "A", "E", "B")
# How many fifths a mode's tonic lies above that of the major key with the same signature.
_FIFTHS_OF_MODE = {
    "major": 0,
    "ionian": 0,
    "mixolydian": 1,
    "dorian": 2,
    "minor": 3,
    "aeolian": 3,
    "phrygian": 4,
    "locrian": 5,
    "lydian": -1,
}


def read_musicxml(path: Path) -> Exercise:
    """The exercise in the MusicXML file at `path`; `ExerciseError` with one clear line when there is none."""
    return read_musicxml_file(path).exercise


def read_musicxml_file(path: Path, part: str = "") -> Reading:
    """The same with what there is to say about it; `part` is the number (from 1), the id or the name of a part."""
    try:
        return _reading(read_score_tree(path), path, part)
    except ScoreFileError as problem:
        place = f"{path}:{problem.line}" if problem.line else f"{path}"
        # Text from the file may hold line breaks; the message is one line.
        raise ExerciseError(f"{place}: {' '.join(problem.text.split())}") from problem


def _reading(root: Element, path: Path, part: str) -> Reading:
    _refuse_jumps(root)
    parts = _parts(root)
    staff, notes_on = _staff_to_read([_named_part(parts, part)] if part else list(parts))
    measures = read_measures(staff)
    written = [note for measure in measures for note in measure.notes]
    tuning = read_tuning(staff, written)
    order = playing_order(measures)
    starts = [Fraction(0)]
    for index in order:
        starts.append(starts[-1] + measures[index].length_quarters)
    if starts[-1] > LONGEST_QUARTERS:
        raise ScoreFileError(f"is longer than {LONGEST_QUARTERS} quarters")
    timed = (
        (start + note.onset_quarters, note)
        for start, index in zip(starts, order, strict=False)
        for note in measures[index].notes
    )
    notes = score_notes(timed, tuning, LAST_FRET)
    marks = [mark for measure in measures for mark in measure.tempos] or list(_tempos_anywhere(root))
    meters = [meter for measure in measures for meter in measure.meters]
    about = list(_remarks(measures, marks))
    exercise = Exercise(
        name=folded(path.stem),
        title=_title(root) or path.stem,
        tuning=tuning,
        tempo=_tempo(marks),
        notes=notes,
        meter=Meter(*meters[0]) if meters else Meter(),
        length_quarters=max(starts[-1], *(note.onset_quarters + note.duration_quarters for note in notes)),
        key=_key(staff.part),
        about=" ".join(about),
        last_fret=LAST_FRET,
    )
    return Reading(exercise, (*_others(parts, staff, notes_on), *about, *what_is_left_out(staff)))


def _refuse_jumps(root: Element) -> None:
    for sound in root.iter("sound"):
        for jump in _JUMPS:
            if sound.get(jump) is not None:
                raise ScoreFileError(f"a jump ({jump}) is not followed: write the repeated part out", line_of(sound))
    for words in root.iter("words"):
        if found := _JUMP_IN_WORDS.search(words.text or ""):
            raise ScoreFileError(f"a jump ({found[0]}) is not followed: write the repeated part out", line_of(words))


def _parts(root: Element) -> dict[Element, str]:
    """Each part with its name."""
    names = {each.get("id"): each.findtext("part-name") or "" for each in root.iterfind("part-list/score-part")}
    return {part: " ".join(names.get(part.get("id"), "").split())[:60] for part in root.iterfind("part")}


def _named_part(parts: Mapping[Element, str], asked: str) -> Element:
    for number, (part, name) in enumerate(parts.items(), start=1):
        if asked in (str(number), part.get("id")) or (name and folded(name) == folded(asked)):
            return part
    there = ", ".join(f"{number} {name!r}" for number, name in enumerate(parts.values(), start=1))
    raise ScoreFileError(f"has no part {asked[:40]!r}; there are {there[:400]}")


def _others(parts: Mapping[Element, str], staff: StaffName, notes_on: Counter[StaffName]) -> Iterator[str]:
    """What other parts and staves there are."""
    numbered = [(part, f"{number} {name!r}") for number, (part, name) in enumerate(parts.items(), start=1)]
    rest = [name for part, name in numbered if part is not staff.part]
    if rest:
        chosen = next(name for part, name in numbered if part is staff.part)
        yield f"Part {chosen} was read; --part chooses another: {', '.join(rest)[:400]}."
    staves = [other.number for other in notes_on if other.part is staff.part and other != staff]
    if staves:
        yield f"Staff {staff.number} of the part was read; left out: staff {', '.join(staves)[:80]}."


def _staff_to_read(parts: Sequence[Element]) -> tuple[StaffName, Counter[StaffName]]:
    """The staff to read, and how many notes each has."""
    notes: Counter[StaffName] = Counter()
    placed: Counter[StaffName] = Counter()
    for part in parts:
        for note in part.iterfind("measure/note"):
            if note.find("rest") is not None or note.find("cue") is not None:
                continue
            staff = StaffName(part, staff_of(note))
            notes[staff] += 1
            has_place = all(note.find(f"notations/technical/{place}") is not None for place in ("string", "fret"))
            placed[staff] += has_place
    if not notes:
        raise ScoreFileError("holds no notes to play")
    mostly = next((staff for staff in notes if 2 * placed[staff] >= notes[staff]), None)
    return mostly or max(notes, key=lambda staff: placed[staff]), notes


def _title(root: Element) -> str:
    titles = (root.findtext("work/work-title"), root.findtext("movement-title"))
    return next((" ".join(title.split()) for title in titles if title and title.strip()), "")


def _tempos_anywhere(root: Element) -> Iterator[TempoMark]:
    """Tempo marks of other parts: exporters often write them into the first one only."""
    for measure in root.iterfind("part/measure"):
        for child in measure:
            if child.tag in {"direction", "sound"}:
                yield from tempo_marks(child)


def _tempo(marks: Sequence[TempoMark]) -> Tempo:
    if not marks:
        return Tempo(DEFAULT_QUARTERS_PER_MINUTE)
    try:
        return Tempo(marks[0].quarters_per_minute)
    except ValueError as error:
        raise ScoreFileError(str(error), marks[0].line) from error


def _key(part: Element) -> str:
    """The key in words, e.g. `E minor`; empty where signature or mode is not given."""
    key = part.find("measure/attributes/key")
    fifths = (key.findtext("fifths") or "").strip() if key is not None else ""
    mode = (key.findtext("mode") or "").strip() if key is not None else ""
    if fifths.lstrip("+-") not in set("01234567") or mode not in _FIFTHS_OF_MODE:
        return ""
    octave, at = divmod(int(fifths) + 1 + _FIFTHS_OF_MODE[mode], 7)
    sign = "#" * octave if octave >= 0 else "b" * -octave
    return f"{_FIFTHS[at]}{sign} {mode}"


def _remarks(measures: Iterable[Measure], marks: Sequence[TempoMark]) -> Iterator[str]:
    """What the file says and a line at one steady tempo in one meter does not."""
    if len({mark.quarters_per_minute for mark in marks}) > 1:
        tempo = float(marks[0].quarters_per_minute)
        yield f"The file changes its tempo; here the whole line is at the first one, {tempo:g} quarters a minute."
    meters = [(measure.number, meter) for measure in measures for meter in measure.meters]
    for number, (beats, unit) in meters:
        if (beats, unit) != meters[0][1]:
            yield f"The file changes its meter to {beats}/{unit} in measure {number}; bars here are as at first."
            break
