r"""A line as text tablature: one row of signs a string, with a count line under it and a legend.

The top row is string 1. Columns stand at note onsets and at beats, and are as wide as the time to the next one, so the
rhythm can be seen; the count line says it exactly. Signs: `h` `p` `/` `\` before the fret of the note that they begin.
There is no standard for text tablature, so the legend of the signs that occur is always printed. Plain ASCII.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from math import ceil
from textwrap import wrap

from trainer.score.beside import Difference, difference_words, moments_of
from trainer.score.counting import UNCOUNTED, count_a_beat, count_syllables, notes_a_beat
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.strings import string_letters
from trainer.theory.technique import Stroke, Technique

# The shortest gap of a line is three columns wide (a fret and two dashes); a beat of it is never drawn wider than this.
_NARROWEST_CELL = 3
_WIDEST_QUARTER = 24
_WIDEST_CELL = 12

_BESIDE_WORDS = {
    Difference.NOTE: "note",
    Difference.PLACE: "place",
    Difference.BEGUN: "begun",
    Difference.UPPER: "upper",
    Difference.LOWER: "lower",
}
_BESIDE_LEGEND = (
    "Rows are strings, the top one of each line is string 1; numbers are frets, 0 = open. Where they differ:",
    "  note   other pitches",
    "  place  the same pitches elsewhere on the neck",
    "  begun  picked in one, slid or slurred in the other",
    "  upper  only the upper line has a note there",
    "  lower  only the lower line has a note there",
)

_STROKES = {Stroke.DOWN: "D", Stroke.UP: "U"}


@dataclass(frozen=True, slots=True)
class _Column:
    """What stands at one moment; `width` holds the signs before the frets, the frets, and the way to the next."""

    notes: tuple[tuple[ScoreNote, str], ...]
    """Each note with the sign that goes before its fret."""
    count: str
    position: str
    """The hand's position where it changes, else empty."""
    width: int
    begins_bar: bool
    begins_beat: bool
    mark: str = ""
    """What the caller wants to point at it."""
    least_lead: int = 0
    """So many characters stand before its frets, at least."""

    @property
    def lead(self) -> int:
        """Characters before the frets: a dash, or the longest sign."""
        return max(self.least_lead, _lead(self.notes))

    @property
    def accent(self) -> str:
        """`>` where a note is accented."""
        return ">" if any(note.accent for note, _ in self.notes) else ""

    @property
    def stroke(self) -> str:
        """The prescribed stroke's letter."""
        return next((_STROKES[note.stroke] for note, _ in self.notes if note.stroke is not None), "")

    @property
    def finger(self) -> str:
        """The fretting finger, of a chord the one on its lowest string."""
        return next((str(note.finger) for note, _ in self.notes if note.finger is not None), "")


def text_tablature(exercise: Exercise, width: int = 100, marks: Mapping[int, str] | None = None) -> str:
    """`exercise` as lines of at most `width` characters, broken at bars and, where a bar is too long, at beats.

    Only a single beat that needs more room than that goes past `width`. `marks`: by the index of a note, what stands
    over it in a row of its own, called `weak`.
    """
    columns = _columns(exercise, marks or {})
    letters = string_letters(exercise.tuning)
    above = _used({"weak": "mark", "pos": "position", "accent": "accent", "pick": "stroke"}, columns)
    below = _used({"count": "count", "finger": "finger"}, columns)
    margin = max(len(label) for label in (*letters, *above, *below)) + 1
    systems = list(_systems(columns, width - margin - 1))
    staffs = []
    for number, system in enumerate(systems):
        following = systems[number + 1][0] if number + 1 < len(systems) else None
        ends_bar = following is None or following.begins_bar
        rows = [
            _row(label, margin, [getattr(column, name) for column in system], system) for label, name in above.items()
        ]
        rows += _strings(letters, system, margin, ends_bar=ends_bar)
        rows += [
            _row(label, margin, [getattr(column, name) for column in system], system) for label, name in below.items()
        ]
        staffs.append("\n".join(rows))
    legend = "\n".join(
        line for entry in _legend(exercise, columns) for line in wrap(entry, width, subsequent_indent=" " * 8)
    )
    return "\n\n".join([_heading(exercise, width), *staffs, legend]) + "\n"


def text_beside(upper: Exercise, lower: Exercise, width: int = 100) -> str:
    """Two lines one over the other, the same beat under the same beat, with a word where they differ.

    Broken like one line; bar lines are those of the upper line.
    """
    letters = string_letters(upper.tuning), string_letters(lower.tuning)
    columns = _side_by_side(upper, lower)
    margin = max(len(label) for label in (*letters[0], *letters[1], "differs", "count")) + 1
    staffs = []
    place = 0
    for system in _systems([above for above, _ in columns], width - margin - 1):
        both = columns[place : place + len(system)]
        place += len(system)
        ends_bar = place == len(columns) or columns[place][0].begins_bar
        under = [below for _, below in both]
        staffs.append(
            "\n".join(
                [
                    *_strings(letters[0], system, margin, ends_bar=ends_bar),
                    _row("differs", margin, [column.mark for column in system], system),
                    *_strings(letters[1], under, margin, ends_bar=ends_bar),
                    _row("count", margin, [column.count for column in under], under),
                ]
            )
        )
    headings = [f"{name} line: {_heading(line, width - 12)}" for name, line in (("Upper", upper), ("Lower", lower))]
    summary = "\n".join(wrap(difference_words(moments_of(upper, lower)), width))
    legend = "\n".join(row for entry in _BESIDE_LEGEND for row in wrap(entry, width, subsequent_indent=" " * 9))
    return "\n\n".join(["\n".join(headings), summary, *staffs, legend]) + "\n"


def _side_by_side(upper: Exercise, lower: Exercise) -> list[tuple[_Column, _Column]]:
    """The columns of both lines at the same moments and of the same widths."""
    words = {
        moment.onset_quarters: _BESIDE_WORDS[moment.difference]
        for moment in moments_of(upper, lower)
        if moment.difference is not None
    }
    end = max(_end(upper), _end(lower))
    counts = _counts(upper), _counts(lower)
    moments = sorted({*counts[0], *counts[1]})
    above, below = _columns(upper, {}, counts[1], end), _columns(lower, {}, counts[0], end)
    pairs = []
    for moment, one, other in zip(moments, above, below, strict=True):
        word = words.get(moment, "")
        lead = max(one.lead, other.lead)
        width = lead + max(one.width - one.lead, other.width - other.lead, len(word) + 1)
        count = other.count if other.notes or not one.notes else one.count
        pairs.append(
            (
                replace(one, width=width, least_lead=lead, mark=word),
                replace(
                    other,
                    width=width,
                    least_lead=lead,
                    count=count,
                    begins_bar=one.begins_bar,
                    begins_beat=one.begins_beat,
                ),
            )
        )
    return pairs


def _strings(letters: Sequence[str], system: Sequence[_Column], margin: int, *, ends_bar: bool) -> list[str]:
    """The rows of the strings of one staff."""
    return [
        letter.rjust(margin - 1) + " " + _string(course, system) + ("|" if ends_bar else "-")
        for course, letter in enumerate(letters, start=1)
    ]


def _used(rows: Mapping[str, str], columns: Iterable[_Column]) -> dict[str, str]:
    """The rows (label to field) that hold anything."""
    columns = tuple(columns)
    return {label: name for label, name in rows.items() if any(getattr(column, name) for column in columns)}


def _heading(exercise: Exercise, width: int) -> str:
    meter, tempo = exercise.meter, float(exercise.tempo.quarters_per_minute)
    facts = [f"{exercise.tuning.name} tuning", f"{meter.beats}/{meter.beat_unit}", f"{tempo:g} quarters a minute"]
    if exercise.key:
        facts.insert(0, exercise.key)
    return "\n".join([*wrap(exercise.title, width), *wrap(", ".join(facts), width)])


def _counts(exercise: Exercise) -> dict[Fraction, str]:
    """What is counted at each onset and, in brackets, at each beat without one."""
    meter = exercise.meter
    onsets = sorted({note.onset_quarters for note in exercise.notes})
    beats = [index * meter.beat_quarters for index in range(ceil(_end(exercise) / meter.beat_quarters))]
    syllables = dict(zip(onsets, count_syllables(onsets, meter), strict=True))
    silent = [beat for beat in beats if beat not in syllables]
    return syllables | {beat: f"({count})" for beat, count in zip(silent, count_syllables(silent, meter), strict=True)}


def _end(exercise: Exercise) -> Fraction:
    last = max((note.onset_quarters for note in exercise.notes), default=Fraction(0))
    return max(exercise.length_quarters, last + exercise.meter.beat_quarters / 8)


def _columns(
    exercise: Exercise,
    marks: Mapping[int, str],
    also: Mapping[Fraction, str] | None = None,
    end: Fraction | None = None,
) -> list[_Column]:
    """A column for each moment of the line, and for those of another one that it stands beside; up to the same end."""
    meter = exercise.meter
    marked = {exercise.notes[index].onset_quarters: mark for index, mark in marks.items()}
    syllables = dict.fromkeys(also or (), "") | _counts(exercise)
    end = _end(exercise) if end is None else end
    moments = sorted(syllables)
    gaps = [after - before for before, after in zip(moments, [*moments[1:], end], strict=True)]
    signed, positions = _signed(exercise.notes), _position_changes(exercise.notes)
    scale = _scale(gaps)
    columns = []
    for moment, gap in zip(moments, gaps, strict=True):
        notes, position = tuple(signed.get(moment, ())), positions.get(moment, "")
        texts = (*(str(note.fret) for note, _ in notes), syllables[moment], position, marked.get(moment, ""))
        spaced = min(round(gap * scale), _WIDEST_CELL)
        columns.append(
            _Column(
                notes=notes,
                count=syllables[moment],
                position=position,
                width=max(_lead(notes) + max(len(text) for text in texts) + 1, spaced),
                begins_bar=moment % meter.bar_quarters == 0,
                begins_beat=moment % meter.beat_quarters == 0,
                mark=marked.get(moment, ""),
            )
        )
    return columns


def _lead(notes: Iterable[tuple[ScoreNote, str]]) -> int:
    # The sign of a technique takes the place of the dash; a grace note's fret keeps a dash before it.
    longest = max((len(sign) for _, sign in notes), default=0)
    return longest + 1 if longest > 1 else 1


def _scale(gaps_quarters: Sequence[Fraction]) -> Fraction:
    """Characters a quarter: the shortest gap gets the narrowest cell."""
    return min(_NARROWEST_CELL / min(gaps_quarters), Fraction(_WIDEST_QUARTER))


def _signed(notes: Iterable[ScoreNote]) -> dict[Fraction, list[tuple[ScoreNote, str]]]:
    """The notes of each onset with the sign before their fret."""
    by_onset: dict[Fraction, list[tuple[ScoreNote, str]]] = {}
    fret_before: dict[int, int] = {}
    for note in notes:
        sign = _sign(note, fret_before.get(note.course))
        by_onset.setdefault(note.onset_quarters, []).append((note, sign))
        fret_before[note.course] = note.fret
    return by_onset


def _sign(note: ScoreNote, fret_before: int | None) -> str:
    match note.technique:
        case Technique.PICK:
            return ""
        case Technique.HAMMER:
            return "h"
        case Technique.PULL:
            return "p"
        case Technique.SLIDE if note.slide_from is not None:
            return f"{note.slide_from.fret}{_slope(note.slide_from.fret, note.fret)}"
        case Technique.SLIDE:
            return _slope(note.fret if fret_before is None else fret_before, note.fret)


def _slope(first_fret: int, last_fret: int) -> str:
    return "\\" if first_fret > last_fret else "/"


def _position_changes(notes: Iterable[ScoreNote]) -> dict[Fraction, str]:
    changes: dict[Fraction, str] = {}
    current: int | None = None
    for note in notes:
        if note.position is not None and note.position != current:
            current = note.position
            changes[note.onset_quarters] = str(current)
    return changes


def _systems(columns: Sequence[_Column], room: int) -> Iterator[list[_Column]]:
    """The columns of each staff: as many bars as fit in `room`; a bar that does not fit alone is broken at beats."""
    system: list[_Column] = []
    for bar in _split(columns, at_bars=True):
        pieces = [bar] if _drawn(bar) <= room else _split(bar, at_bars=False)
        for piece in pieces:
            if system and _drawn(system) + _drawn(piece) > room:
                yield system
                system = []
            system = system + piece
    if system:
        yield system


def _split(columns: Sequence[_Column], *, at_bars: bool) -> list[list[_Column]]:
    """The columns in runs that begin at each bar, or at each beat."""
    runs: list[list[_Column]] = []
    for column in columns:
        if not runs or (column.begins_bar if at_bars else column.begins_beat):
            runs.append([])
        runs[-1].append(column)
    return runs


def _drawn(columns: Sequence[_Column]) -> int:
    """Characters that the columns take with a bar line before each bar; a staff that begins inside one has a dash."""
    edges = sum(column.begins_bar for column in columns) or 1
    return edges + sum(column.width for column in columns)


def _string(course: int, system: Sequence[_Column]) -> str:
    """One string of a staff, without the edge at its end."""
    cells = []
    for number, column in enumerate(system):
        edge = "|" if column.begins_bar else "-" if number == 0 else ""
        signed = next(((sign, str(note.fret)) for note, sign in column.notes if note.course == course), ("", ""))
        cells.append(edge + (signed[0].rjust(column.lead, "-") + signed[1]).ljust(column.width, "-"))
    return "".join(cells)


def _row(label: str, margin: int, texts: Sequence[str], system: Sequence[_Column]) -> str:
    """A row of words above or below the strings, each over or under the frets of its column."""
    cells = []
    for number, (column, text) in enumerate(zip(system, texts, strict=True)):
        edge = " " if column.begins_bar or number == 0 else ""
        cells.append(edge + (" " * column.lead + text).ljust(column.width))
    return (label.rjust(margin - 1) + " " + "".join(cells)).rstrip()


def _legend(exercise: Exercise, columns: Sequence[_Column]) -> Iterator[str]:
    """What each sign that occurs means."""
    signs = {sign for column in columns for _, sign in column.notes}
    begun = {sign[-1] for sign in signs if sign}
    yield "Rows are strings, the top one is string 1; numbers are frets, 0 = open. Signs here:"
    if "h" in begun:
        yield "  h7    hammer-on: fret 7 sounds by the finger alone"
    if "p" in begun:
        yield "  p5    pull-off to fret 5"
    if "/" in signs:
        yield "  /7    slide up to fret 7 from the note before on that string"
    if "\\" in signs:
        yield "  \\5    slide down to fret 5 from the note before on that string"
    if any(len(sign) > 1 for sign in signs):
        yield "  5/7   with a fret close before the sign: pick fret 5 and slide to 7 at once"
    if any(column.mark for column in columns):
        yield "  weak  the way to this note is weak, 1 = the weakest"
    if any(column.accent for column in columns):
        yield "  >     accent"
    if any(column.stroke for column in columns):
        yield "  D U   pick down, pick up"
    if any(column.position for column in columns):
        yield "  pos   the scale position that the hand moves to"
    if any(column.finger for column in columns):
        yield "  finger  1 = index ... 4 = little"
    yield from _count_legend(exercise, columns)


def _count_legend(exercise: Exercise, columns: Sequence[_Column]) -> Iterator[str]:
    beat = exercise.meter.beat_quarters
    onsets = sorted({note.onset_quarters / beat for note in exercise.notes})
    divisions = {
        notes_a_beat([onset % 1 for onset in onsets]) for _, onsets in groupby(onsets, key=lambda onset: onset // 1)
    }
    named = sorted(division for division in divisions if division)
    yield "  count " + "; ".join(f"{division} a beat: {count_a_beat(division)}" for division in named)
    if any(count_a_beat(division)[2:3] == "2" for division in named):
        yield "        each beat begins with its own number: the second is counted 2 2 3 4 5 ..."
    if any(column.count.startswith("(") for column in columns):
        yield "  (2)   a beat on which no note begins"
    if any(column.count == UNCOUNTED for column in columns):
        yield f"  {UNCOUNTED}     a note between the counts"
