"""Exercise files that list their notes one by one: what was captured or imported, open to editing by hand.

    title = "Quarry steps, as played"
    tuning = "standard"             # or open_strings = "D2 A2 D3 G3 B3 E4", the last string first
    tempo = 92                      # quarters a minute; a fraction as text, "187/2"
    meter = "4/4"
    length = 8                      # quarters until the line is over; up to the last bar line unless given
    notes = [
        { at = 0, string = 2, fret = 5, lasts = "1/2" },
        { at = "1/2", string = 2, fret = 7, lasts = "1/2", how = "hammer" },
    ]

`[[notes]]` tables say the same. Score time is in quarters from the first beat: a whole number, or a fraction as text.
Of a note only `at`, `string` and `fret` are needed; it lasts until the next onset unless it says otherwise. `how` is
pick, hammer, pull or slide; `from` is the fret where a slide as a grace begins. Also stroke (down, up), finger (1-4),
accent, group and position, as in `ScoreNote`. Such a file has no recipe; anything that has one is a file without notes.
"""

import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any, TypeVar

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.limits import LAST_FRET, LONGEST_QUARTERS, MOST_NOTES
from trainer.score.meter import Meter
from trainer.score.strings import MOST_STRINGS, tuning_of
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord, folded
from trainer.theory.pitch import pitch_name, pitch_named
from trainer.theory.technique import Stroke, Technique
from trainer.theory.tuning import TUNINGS, Tuning, tuning_named

_LARGEST_BYTES = 4 * 1024 * 1024
_LONGEST_NECK = 36
_FIELDS = (
    "title about tags family key tuning open_strings tempo meter length last_fret notes".split()  # noqa: SIM905 - a row to read
)
_NOTE_FIELDS = "at lasts string fret how from stroke finger accent group position".split()  # noqa: SIM905
_NOTES_KEY = re.compile(r"^[ \t]*(\[\[\s*notes\s*\]\]|notes\s*=)", re.MULTILINE)
_NOTE_START = re.compile(r"^\s*(?:\[\[\s*notes\s*\]\]|(?:notes\s*=\s*\[)?\s*\{)")
_FRACTION = re.compile(r"\d{1,9}(/[1-9]\d{0,5})?")
_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")

V = TypeVar("V")


class _NoteListError(Exception):
    """What is wrong, and where: a field of the file, or of note `number` (from 1)."""

    def __init__(self, text: str, field: str = "", number: int = 0) -> None:
        super().__init__(text)
        self.field = field
        self.number = number


def holds_notes(path: Path) -> bool:
    """Whether the TOML file at `path` lists its notes; False also for what cannot be read."""
    try:
        with path.open("rb") as opened:
            text = opened.read(_LARGEST_BYTES).decode("utf-8")
        return bool(_NOTES_KEY.search(text)) and "notes" in tomllib.loads(text)
    except (OSError, ValueError, RecursionError):
        # Too deep, or broken: a file that begins its notes is told so by this reader, any other by the recipe's.
        return bool(_NOTES_KEY.search(_start_of(path)))


def _start_of(path: Path) -> str:
    try:
        with path.open("rb") as opened:
            return opened.read(_LARGEST_BYTES).decode("utf-8", errors="replace")
    except OSError:
        return ""


def read_note_list(path: Path) -> Exercise:
    """The exercise whose notes the file at `path` lists; `ExerciseError` with `file:line` at the first mistake."""
    try:
        with path.open("rb") as opened:
            data = opened.read(_LARGEST_BYTES + 1)
    except OSError as error:
        raise ExerciseError(f"{path}: cannot be read ({error.strerror or error})") from error
    if len(data) > _LARGEST_BYTES:
        raise ExerciseError(f"{path}: is too large: expected at most {_LARGEST_BYTES // 1024 // 1024} MB")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise ExerciseError(f"{path}:{line}: is not UTF-8 text, as TOML has to be") from error
    return exercise_from_note_list(text, path.stem, str(path))


def exercise_from_note_list(text: str, name: str, source: str) -> Exercise:
    """The exercise that a TOML text with notes describes; `source` stands before the line number in the errors."""
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        at = _AT_LINE.search(str(error))
        line = int(at[1]) if at else text.count("\n") + 1
        raise ExerciseError(f"{source}:{line}: is not TOML: {str(error).partition(' (at')[0]}") from error
    except (RecursionError, ValueError) as error:
        # RecursionError: brackets without end; ValueError: a number of thousands of digits.
        raise ExerciseError(f"{source}: is not TOML that can be read: it is nested too deeply or holds too much") from (
            error
        )
    try:
        return _exercise(table, name)
    except _NoteListError as problem:
        line = _line_of_note(text, problem.number) if problem.number else _line_of_key(text, problem.field)
        where = f"note {problem.number}: " if problem.number else ""
        raise ExerciseError(f"{source}:{line}: {where}{problem}") from problem


def _exercise(table: Mapping[str, Any], name: str) -> Exercise:
    for field in table:
        if field not in _FIELDS:
            raise _NoteListError(str(UnknownWord(field, "a field of a list of notes", _FIELDS)), field)
    tuning = _tuning(table)
    meter = _checked(table, "meter", _meter_of, "4/4")
    last_fret = _whole(table.get("last_fret", LAST_FRET), "last_fret", 1, _LONGEST_NECK)
    notes = _notes(table.get("notes"), tuning, last_fret)
    end = max(note.onset_quarters + note.duration_quarters for note in notes)
    bars = -(-end // meter.bar_quarters) * meter.bar_quarters
    length = _quarters(table["length"], "length") if "length" in table else bars
    if length < end:
        raise _NoteListError(f"length: {length} quarters end before the last note does, at {end}", "length")
    return Exercise(
        name=folded(name),
        title=_text(table, "title") or name,
        tuning=tuning,
        tempo=_checked(table, "tempo", _tempo_of, 120),
        notes=notes,
        meter=meter,
        length_quarters=length,
        key=_text(table, "key"),
        about=_text(table, "about"),
        last_fret=last_fret,
        tags=_tags(table),
        family=_text(table, "family"),
    )


def _checked(table: Mapping[str, Any], field: str, read: Callable[[object], V], default: object) -> V:
    """A field read; what is wrong with it is said with its name."""
    try:
        return read(table.get(field, default))
    except (ValueError, OverflowError) as error:
        raise _NoteListError(f"{field}: {error}", field) from error


def _tuning(table: Mapping[str, Any]) -> Tuning:
    if "open_strings" not in table:
        return _checked(table, "tuning", lambda value: tuning_named(str(value)), "standard")
    if "tuning" in table:
        raise _NoteListError("open_strings: expected either a tuning by its name or its open strings", "open_strings")
    return _checked(table, "open_strings", _open_strings_of, "")


def _open_strings_of(value: object) -> Tuning:
    names = str(value).split()
    if not 1 <= len(names) <= MOST_STRINGS:
        raise ValueError(f"expected 1 to {MOST_STRINGS} pitches such as E2, found {len(names)}")
    pitches = tuple(pitch_named(name) for name in reversed(names))
    if not all(0 <= pitch <= 100 for pitch in pitches):
        raise ValueError("expected pitches that a string can have, C-1 to E7")
    return tuning_of(pitches)


def _meter_of(value: object) -> Meter:
    beats, _, unit = str(value).replace(" ", "").partition("/")
    if not (beats.isdecimal() and len(beats) <= 2 and int(beats) and unit in {"1", "2", "4", "8", "16", "32"}):
        raise UnknownWord(str(value)[:40], "a meter such as 4/4, 7/8")
    return Meter(int(beats), int(unit))


def _tempo_of(value: object) -> Tempo:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise UnknownWord(str(value)[:40], "a tempo in quarters a minute")
    if isinstance(value, str) and not _FRACTION.fullmatch(value):
        raise UnknownWord(value[:40], 'a tempo in quarters a minute, such as 92 or "187/2"')
    return Tempo(Fraction(str(value)))


def _notes(rows: object, tuning: Tuning, last_fret: int) -> tuple[ScoreNote, ...]:
    if not isinstance(rows, list) or not rows:
        raise _NoteListError("notes: expected a list of notes, each { at = 0, string = 1, fret = 5 }", "notes")
    if len(rows) > MOST_NOTES:
        raise _NoteListError(f"notes: {len(rows)} notes: expected at most {MOST_NOTES}", "notes")
    read = sorted(
        ((number, *_note(_Row(row, number), tuning, last_fret)) for number, row in enumerate(rows, start=1)),
        # The sort is stable: notes of one chord stay in the order of the file.
        key=lambda each: each[1].onset_quarters,
    )
    taken: set[tuple[Fraction, int]] = set()
    for number, note, _ in read:
        if (note.onset_quarters, note.course) in taken:
            raise _NoteListError(f"two notes at once on string {note.course}", number=number)
        taken.add((note.onset_quarters, note.course))
    return tuple(_lasting([(note, is_open) for _, note, is_open in read]))


def _lasting(notes: list[tuple[ScoreNote, bool]]) -> Iterator[ScoreNote]:
    """The notes, those without a length lasting until the next onset, the last as long as the one before it."""
    onsets = sorted({note.onset_quarters for note, _ in notes})
    gaps = {onset: following - onset for onset, following in pairwise(onsets)}
    gaps[onsets[-1]] = gaps[onsets[-2]] if len(onsets) > 1 else Fraction(1)
    for note, is_open in notes:
        yield replace(note, duration_quarters=gaps[note.onset_quarters]) if is_open else note


class _Row:
    """One note's table, read with checks."""

    def __init__(self, row: object, number: int) -> None:
        if not isinstance(row, dict):
            raise _NoteListError("expected a table such as { at = 0, string = 1, fret = 5 }", number=number)
        for field in row:
            if field not in _NOTE_FIELDS:
                raise _NoteListError(str(UnknownWord(field, "a field of a note", _NOTE_FIELDS)), number=number)
        self.row: dict[str, Any] = row
        self.number = number

    def whole(self, field: str, least: int, most: int) -> int:
        if field not in self.row:
            raise _NoteListError(f"{field} is missing", number=self.number)
        return _whole(self.row[field], field, least, most, self.number)

    def optional(self, field: str, least: int, most: int) -> int | None:
        return self.whole(field, least, most) if field in self.row else None

    def quarters(self, field: str) -> Fraction:
        if field not in self.row:
            raise _NoteListError(f"{field} is missing", number=self.number)
        return _quarters(self.row[field], field, self.number)

    def word(self, field: str, words: type[V], default: V) -> V:
        if field not in self.row:
            return default
        known = [str(word) for word in words]  # type: ignore[attr-defined]  # an enumeration of words
        if self.row[field] not in known:
            wrong = UnknownWord(str(self.row[field])[:40], "known", known)
            raise _NoteListError(f"{field}: {wrong}", number=self.number)
        return words(self.row[field])  # type: ignore[call-arg]  # the same


def _note(row: _Row, tuning: Tuning, last_fret: int) -> tuple[ScoreNote, bool]:
    """One note, and whether its length was left open."""
    location = Location(row.whole("string", 1, len(tuning.open_pitches)), row.whole("fret", 0, last_fret))
    slid_from = row.optional("from", 0, last_fret)
    stroke = row.word("stroke", Stroke, None) if "stroke" in row.row else None
    technique = row.word("how", Technique, Technique.PICK if slid_from is None else Technique.SLIDE)
    if slid_from is not None and technique is not Technique.SLIDE:
        raise _NoteListError(f"from: only a slide begins elsewhere, this is a {technique}", number=row.number)
    accent = row.row.get("accent", False)
    if not isinstance(accent, bool):
        raise _NoteListError(f"accent: expected true or false, found {accent!r:.40}", number=row.number)
    note = ScoreNote(
        onset_quarters=row.quarters("at"),
        duration_quarters=row.quarters("lasts") if "lasts" in row.row else Fraction(0),
        location=location,
        pitch=tuning.pitch_at(location),
        technique=technique,
        slide_from=None if slid_from is None else Location(location.course, slid_from),
        stroke=stroke,
        finger=row.optional("finger", 1, 4),
        accent=accent,
        group=row.optional("group", 0, MOST_NOTES) or 0,
        position=row.optional("position", 1, 12),
    )
    return note, "lasts" not in row.row


def _quarters(value: object, field: str, number: int = 0) -> Fraction:
    is_whole = isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= LONGEST_QUARTERS
    is_text = isinstance(value, str) and _FRACTION.fullmatch(value) is not None
    if not (is_whole or is_text) or Fraction(str(value)) > LONGEST_QUARTERS:
        expected = f'quarters from 0 to {LONGEST_QUARTERS}, a whole number or a fraction as text such as "3/2"'
        raise _NoteListError(f"{field}: expected {expected}, found {value!r:.40}", field, number)
    return Fraction(str(value))


def _whole(value: object, field: str, least: int, most: int, number: int = 0) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
        raise _NoteListError(f"{field}: expected {least} to {most}, found {value!r:.40}", field, number)
    return value


def _text(table: Mapping[str, Any], field: str) -> str:
    value = table.get(field, "")
    if not isinstance(value, str):
        raise _NoteListError(f"{field}: expected text, found {value!r:.40}", field)
    return value


def _tags(table: Mapping[str, Any]) -> tuple[str, ...]:
    tags = table.get("tags", [])
    if not isinstance(tags, list) or not all(isinstance(tag, str) for tag in tags):
        raise _NoteListError(f"tags: expected a list of words, found {tags!r:.40}", "tags")
    return tuple(tags)


def _line_of_key(text: str, key: str) -> int:
    pattern = re.compile(rf'^\s*["\']?{re.escape(key)}["\']?\s*=|^\s*\[+\s*{re.escape(key)}\b')
    return next((n for n, line in enumerate(text.splitlines(), start=1) if key and pattern.match(line)), 1)


def _line_of_note(text: str, number: int) -> int:
    """The line on which note `number` (from 1) begins; of notes that share a line, that line."""
    starts = [n for n, line in enumerate(text.splitlines(), start=1) if _NOTE_START.match(line)]
    return starts[min(number, len(starts)) - 1] if starts else _line_of_key(text, "notes")


def note_list_text(exercise: Exercise) -> str:
    """The file that lists the notes of `exercise`: `exercise_from_note_list` reads the same line back."""
    known = TUNINGS.get(exercise.tuning.name)
    opens = " ".join(pitch_name(pitch) for pitch in reversed(exercise.tuning.open_pitches))
    tempo = exercise.tempo.quarters_per_minute
    lines = [f"title = {_quoted(exercise.title)}"]
    lines += [f"about = {_quoted(exercise.about)}"] if exercise.about else []
    lines += [f"tags = [{', '.join(map(_quoted, exercise.tags))}]"] if exercise.tags else []
    lines += [f"family = {_quoted(exercise.family)}"] if exercise.family else []
    lines += [f"key = {_quoted(exercise.key)}"] if exercise.key else []
    lines += [f"tuning = {_quoted(exercise.tuning.name)}" if known == exercise.tuning else f'open_strings = "{opens}"']
    lines += [
        f"tempo = {_number(tempo)}",
        f'meter = "{exercise.meter.beats}/{exercise.meter.beat_unit}"',
        f"length = {_number(exercise.length_quarters)}",
        f"last_fret = {exercise.last_fret}",
        "notes = [",
        *(f"    {_row_text(note)}," for note in exercise.notes),
        "]",
    ]
    return "\n".join(lines) + "\n"


def _row_text(note: ScoreNote) -> str:
    fields = [
        f"at = {_number(note.onset_quarters)}",
        f"string = {note.course}",
        f"fret = {note.fret}",
        f"lasts = {_number(note.duration_quarters)}",
    ]
    if note.technique is not Technique.PICK:
        fields.append(f'how = "{note.technique}"')
    optional = {
        "from": None if note.slide_from is None else note.slide_from.fret,
        "stroke": None if note.stroke is None else f'"{note.stroke}"',
        "finger": note.finger,
        "accent": "true" if note.accent else None,
        "group": note.group or None,
        "position": note.position,
    }
    fields += [f"{name} = {value}" for name, value in optional.items() if value is not None]
    return "{ " + ", ".join(fields) + " }"


def _number(value: Fraction) -> str:
    return str(value) if value.denominator == 1 else f'"{value}"'


def _quoted(text: str) -> str:
    """A TOML basic string: quotes, backslashes and control signs escaped (TOML 1.0, "String")."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(sign if sign.isprintable() else _escape(sign) for sign in escaped) + '"'


def _escape(sign: str) -> str:
    return {"\n": "\\n", "\t": "\\t"}.get(sign, f"\\u{ord(sign):04X}" if ord(sign) < 0x10000 else f"\\U{ord(sign):08X}")
