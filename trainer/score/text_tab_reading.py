r"""Reading an exercise from text tablature (.txt, .tab), as people write it and as `boxwalk show` prints it.

Four to eight lines are the strings, the top one string 1, with or without letters; several systems follow each other.
Letters or a line that names it give the tuning, else it is the usual one of so many strings. Text carries no durations:
a note is taken to last until the next onset, and that is said. Onsets come from the count line or are guessed from the
spacing (`text_tab_timing`); signs are read by `text_tab_signs`. Our own rows (pos, accent, pick, finger) are read too,
and where the legend says that `5/7` is a slide as a grace, it is one; elsewhere it is two notes.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.limits import LAST_FRET, LONGEST_QUARTERS, MOST_NOTES
from trainer.score.meter import Meter
from trainer.score.reading import Reading, places_in_words
from trainer.score.text_tab_heading import Heading, read_heading
from trainer.score.text_tab_lines import LARGEST_BYTES, Page, System, TextTabError, Word, read_page
from trainer.score.text_tab_signs import StringReader, TabNote, Unused, UnusedSign
from trainer.score.text_tab_timing import Bar, Timed, is_count_row, pad_of, timed_bar, usual_beats
from trainer.theory.fretboard import Location
from trainer.theory.naming import counted, folded
from trainer.theory.technique import Stroke, Technique

_OWN_ROWS = ("pos", "accent", "pick", "count", "finger")
_GRACE_LEGEND = "with a fret close before the sign"
_OWN_LEGEND = "Rows are strings, the top one is string 1"
_FINGERS = ("1", "2", "3", "4")
_STROKES = {"D": Stroke.DOWN, "U": Stroke.UP}
_LISTED = {
    Unused.BEND: "left out: a line holds no bends, the fret is played plain",
    Unused.VIBRATO: "left out",
    Unused.DEAD: "left out: they have no pitch to follow",
    Unused.HARMONIC: "read as fretted notes at their fret",
    Unused.BRACKET: "read as played, or as sounding on where the fret is the same as before",
    Unused.SLIDE_IN: "read as picked notes",
    Unused.SLIDE_OUT: "left out",
    Unused.UNKNOWN: "left out",
}


def read_text_tab(path: Path) -> Reading:
    """The exercise in the text at `path`; `ExerciseError` with one clear line when there is none."""
    try:
        with path.open("rb") as opened:
            data = opened.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise ExerciseError(f"{path}: cannot be read ({error.strerror or error})") from error
    if len(data) > LARGEST_BYTES:
        raise ExerciseError(f"{path}: is too large: expected at most {LARGEST_BYTES // 1024} kB of text")
    if b"\0" in data:
        raise ExerciseError(f"{path}: is not text")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")  # any byte is a sign there; tablature itself is ASCII
    return text_tab_from(text, path.stem, str(path))


def text_tab_from(text: str, name: str, source: str) -> Reading:
    """The exercise in a text; `source` stands before the line number in the errors."""
    try:
        return _reading(read_page(text), name)
    except TextTabError as problem:
        place = f"{source}:{problem.line}" if problem.line else source
        raise ExerciseError(f"{place}: {problem}") from problem


@dataclass(slots=True)
class _Sheet:
    """All systems joined: bars from first to last, what is played in them, and the rows beside."""

    bars: list[Bar] = field(default_factory=list)
    notes: list[TabNote] = field(default_factory=list)
    unused: list[UnusedSign] = field(default_factory=list)
    rows: dict[str, dict[tuple[int, int], str]] = field(default_factory=lambda: defaultdict(dict))
    """Label -> (bar, column) -> word."""
    repeats: int = 0
    beside: list[str] = field(default_factory=list)
    """What stands behind a line of strings, such as x2."""


def _reading(page: Page, name: str) -> Reading:
    is_own = any(text.startswith(_OWN_LEGEND) for _, text in page.others)
    heading = read_heading(page)
    has_graces = any(_GRACE_LEGEND in text for _, text in page.others)
    sheet = _sheet(page)
    meter = heading.meter or Meter(usual_beats(sheet.bars))
    timed = _timed(sheet, meter)
    notes = _joined(sheet, has_graces=has_graces)
    if not notes:
        raise TextTabError("holds no notes to play")
    if len(notes) > MOST_NOTES:
        raise TextTabError(f"holds {len(notes)} notes: expected at most {MOST_NOTES}")
    starts = [Fraction(0)]
    for each in timed:
        starts.append(starts[-1] + each.beats * meter.beat_quarters)
    if starts[-1] > LONGEST_QUARTERS:
        raise TextTabError(f"is longer than {LONGEST_QUARTERS} quarters")
    onsets = {
        (bar, column): starts[bar] + offset * meter.beat_quarters
        for bar, each in enumerate(timed)
        for column, offset in zip(sheet.bars[bar].columns, each.offsets, strict=True)
    }
    exercise = Exercise(
        name=folded(name),
        title=heading.title or name,
        tuning=heading.tuning,
        tempo=heading.tempo,
        notes=_score_notes(notes, onsets, sheet, heading, starts[-1]),
        meter=meter,
        length_quarters=starts[-1],
        key=heading.key,
        last_fret=max(LAST_FRET, *(note.fret for note in notes)),
    )
    remarks = tuple(_remarks(page, sheet, heading, timed, is_own=is_own))
    return Reading(replace(exercise, about="" if is_own else " ".join(remarks)), remarks)


def _count_rows(system: System) -> Iterator[tuple[Word, ...]]:
    for row in system.rows:
        label, words = _labelled(row)
        if label == "count" or (not label and is_count_row(words)):
            yield words


def _labelled(row: tuple[Word, ...]) -> tuple[str, tuple[Word, ...]]:
    is_own = bool(row) and row[0].column < 0 and row[0].text in _OWN_ROWS
    return (row[0].text, row[1:]) if is_own else ("", row)


def _sheet(page: Page) -> _Sheet:
    sheet = _Sheet()
    strings = len(page.systems[0].strings)
    readers = [StringReader(course) for course in range(1, strings + 1)]
    is_open = False
    for system in page.systems:
        first = system.strings[0]
        if len(system.strings) != strings:
            raise TextTabError(
                f"{len(system.strings)} strings: expected {strings}, as in the system before", first.number
            )
        bars = len(first.segments)
        for string in system.strings:
            if len(string.segments) != bars:
                found = counted(len(string.segments), "bar")
                raise TextTabError(
                    f"{found} on this string: expected {counted(bars, 'bar')}, as on the first", string.number
                )
        goes_on = is_open and not first.begins_bar
        _add_system(sheet, system, readers, goes_on=goes_on)
        is_open = not first.ends_bar
        sheet.beside += [string.after for string in system.strings if string.after]
        sheet.repeats += any(":" in segment.text for segment in first.segments)
    for reader in readers:
        sheet.notes += reader.notes
        sheet.unused += [*reader.unused, *reader.left_over(len(sheet.bars) - 1)]
    return sheet


def _add_system(sheet: _Sheet, system: System, readers: Sequence[StringReader], *, goes_on: bool) -> None:
    rows = [(label, words) for label, words in map(_labelled, system.rows)]
    counts = list(_count_rows(system))[:1]
    for number in range(len(system.strings[0].segments)):
        segments = [string.segments[number] for string in system.strings]
        if number or not goes_on or not sheet.bars:
            sheet.bars.append(Bar())
        bar, base = len(sheet.bars) - 1, sheet.bars[-1].width
        width = max(len(segment.text) for segment in segments)
        for string, reader, segment in zip(system.strings, readers, segments, strict=True):
            reader.read(segment.text, bar, base, string.number)
        start = segments[0].column
        inside = range(start, start + width)
        sheet.bars[bar].counts += [
            Word(word.column - start + base, word.text) for row in counts for word in row if word.column in inside
        ]
        for label, words in rows:
            for word in words if label else ():
                if word.column in inside:
                    sheet.rows[label][bar, word.column - start + base] = word.text
        sheet.bars[bar].width += width


def _timed(sheet: _Sheet, meter: Meter) -> list[Timed]:
    columns: defaultdict[int, set[int]] = defaultdict(set)
    for note in sheet.notes:
        columns[note.bar].add(note.column)
    for number, bar in enumerate(sheet.bars):
        bar.columns = sorted(columns[number])
    pad = pad_of([bar for bar in sheet.bars if not bar.counts] or sheet.bars)
    return [timed_bar(bar, meter, pad, is_last=number == len(sheet.bars) - 1) for number, bar in enumerate(sheet.bars)]


@dataclass(frozen=True, slots=True)
class _Joined:
    """A note with how it is begun."""

    note: TabNote
    technique: Technique
    slide_from: int | None = None

    @property
    def fret(self) -> int:
        return self.note.fret


def _joined(sheet: _Sheet, *, has_graces: bool) -> list[_Joined]:
    """The notes of all strings in the order of playing, each with its technique; what joins nothing is listed."""
    at = {(note.bar, note.column) for note in sheet.notes}
    moments = sorted(at)
    joined: list[_Joined] = []
    for course in sorted({note.course for note in sheet.notes}):
        before: TabNote | None = None
        grace: TabNote | None = None
        for note in sorted(
            (each for each in sheet.notes if each.course == course), key=lambda each: (each.bar, each.column)
        ):
            if note.leads and has_graces:
                grace = note
                continue
            if grace is not None:
                joined.append(_Joined(note, Technique.SLIDE, grace.fret))
                before, grace = note, None
                continue
            if note.is_bracketed:
                sheet.unused.append(UnusedSign(Unused.BRACKET, note.bar, str(note.fret)))
                if before is not None and before.fret == note.fret:
                    continue
            joined.append(_Joined(note, _technique(note, before, moments, sheet)))
            before = note
    return sorted(joined, key=lambda each: (each.note.bar, each.note.column, -each.note.course))


def _technique(note: TabNote, before: TabNote | None, moments: Sequence[tuple[int, int]], sheet: _Sheet) -> Technique:
    is_slide = note.sign in ("/", "\\", "s")
    if not note.sign:
        return Technique.PICK
    if note.sign == "t":
        return Technique.HAMMER
    if before is None:
        if is_slide:
            sheet.unused.append(UnusedSign(Unused.SLIDE_IN, note.bar, note.sign))
            return Technique.PICK
        return Technique.HAMMER if note.sign == "h" else Technique.PULL
    if not note.is_close:
        first, last = (before.bar, before.column), (note.bar, note.column)
        if any(first < moment < last for moment in moments):
            if is_slide:
                sheet.unused.append(UnusedSign(Unused.SLIDE_OUT, before.bar, note.sign))
            return Technique.PICK
    if is_slide:
        return Technique.SLIDE
    return Technique.HAMMER if note.sign == "h" else Technique.PULL


def _score_notes(
    joined: Sequence[_Joined],
    onsets: dict[tuple[int, int], Fraction],
    sheet: _Sheet,
    heading: Heading,
    end: Fraction,
) -> tuple[ScoreNote, ...]:
    moments = sorted({onsets[each.note.bar, each.note.column] for each in joined})
    lasts = {moment: following - moment for moment, following in pairwise(moments)}
    usual = lasts[moments[-2]] if len(moments) > 1 else heading_beat(heading)
    lasts[moments[-1]] = min(usual, max(end - moments[-1], Fraction(1, 64)))
    alone = {
        place for place, number in Counter((each.note.bar, each.note.column) for each in joined).items() if number == 1
    }
    notes = []
    position: int | None = None
    for each in joined:
        place = (each.note.bar, each.note.column)
        rows = {label: words.get(place, "") for label, words in sheet.rows.items()}
        position = int(rows["pos"]) if rows.get("pos", "").isdecimal() else position
        location = Location(each.note.course, each.fret)
        notes.append(
            ScoreNote(
                onset_quarters=onsets[place],
                duration_quarters=lasts[onsets[place]],
                location=location,
                pitch=heading.tuning.pitch_at(location),
                technique=each.technique,
                slide_from=None if each.slide_from is None else Location(each.note.course, each.slide_from),
                stroke=_STROKES.get(rows.get("pick", "")),
                # Of a chord one finger is written; it does not say of which note.
                finger=int(rows["finger"]) if place in alone and rows.get("finger", "") in _FINGERS else None,
                accent=rows.get("accent", "") == ">",
                position=position,
            )
        )
    return tuple(notes)


def heading_beat(heading: Heading) -> Fraction:
    """The beat of a text with a single note."""
    return (heading.meter or Meter()).beat_quarters


def _remarks(page: Page, sheet: _Sheet, heading: Heading, timed: Sequence[Timed], *, is_own: bool) -> Iterator[str]:
    yield "Durations are guessed: text gives none, so a note lasts until the next one begins."
    guessed = [str(bar + 1) for bar, each in enumerate(timed) if not each.is_counted and each.offsets]
    if len(guessed) == len(timed):
        yield "Onsets are guessed from the spacing: there is no count line."
    elif guessed:
        yield f"Onsets are guessed from the spacing in {places_in_words(guessed, 'bar')}: the count there is unclear."
    yield from heading.remarks
    kinds = Counter(sign.kind for sign in sheet.unused)
    for kind, number in kinds.items():
        places = places_in_words((str(sign.bar + 1) for sign in sheet.unused if sign.kind is kind), "bar")
        what = "vibrato signs" if kind is Unused.VIBRATO else _counted_kind(number, kind)
        texts = f" ({' '.join(sorted({sign.text for sign in sheet.unused if sign.kind is kind})[:5])})"
        yield f"{what}{texts if kind is Unused.UNKNOWN else ''} {_LISTED[kind]} ({places})."
    if sheet.repeats:
        yield "Repeat signs are not written out: each bar stands once."
    if sheet.beside:
        yield f"Left out what stands behind bar lines: {', '.join(sorted(set(sheet.beside))[:5])}."
    others = [] if is_own else [str(number) for number, _ in page.others]
    if others:
        yield f"{counted(len(others), 'line')} of other text left out ({places_in_words(others, 'line')})."


def _counted_kind(number: int, kind: Unused) -> str:
    plurals = {
        Unused.BRACKET: "notes in brackets",
        Unused.SLIDE_IN: "slides in from nowhere",
        Unused.SLIDE_OUT: "slides out to nowhere",
    }
    return counted(number, kind.value, plurals.get(kind, ""))
