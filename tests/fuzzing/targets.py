"""What is fuzzed: the valid ones of each kind, how they are bent and read, and what they may be refused with."""

import json
import sqlite3
import warnings
import zipfile
import zlib
from collections.abc import Callable, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from datetime import timedelta
from functools import cache
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from tests.builders import line, played
from tests.fuzzing.bending import ODD_VALUES, Bend, Edit, bent_bytes, bent_json, bent_words, chosen
from tests.fuzzing.bending_midi import Driven, bent_midi_file, bent_stream
from tests.fuzzing.bending_xml import bent_xml
from tests.history.builders import NOON, record
from tests.homework.builders import LINE, assignment_of, lines_of, returned_of, take_of
from tests.score.pages import attributes, measure, page, plain, rest, staff_tuning, tab
from trainer.devices.converter_style import STYLES
from trainer.devices.recording import list_takes, quantised
from trainer.devices.remembered import LastChoices, Memory, SetUp
from trainer.history import figures
from trainer.history.errors import HistoryError
from trainer.history.exporting import export
from trainer.history.gathering import UNREADABLE, gather, missing_files
from trainer.history.judged import heard_over
from trainer.history.rejudging import changes_by_today
from trainer.history.store import History, take_file_of
from trainer.homework.assignment import assignment_bytes, assignment_in
from trainer.homework.container import packed, unpacked
from trainer.homework.errors import HomeworkError
from trainer.homework.measuring import MeasuredTake, Unused, measured
from trainer.homework.returned import returned_bytes, returned_in
from trainer.judging import judgement
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.playing.stamps import StampAnchor
from trainer.playing.take import TakeError
from trainer.progress.gathering import facts_of, known_of
from trainer.run import Run, RunPlan
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.file_reading import read_file
from trainer.score.note_list import exercise_from_note_list, note_list_text
from trainer.score.one_line import exercise_from_line
from trainer.score.serial import exercise_from_dict, exercise_to_dict
from trainer.sheets.midi_writing import midi_file
from trainer.sheets.musicxml_writing import compressed, musicxml
from trainer.sheets.text_tablature import text_tablature
from trainer.shipped import EXERCISES

NS_PER_SECOND = 1_000_000_000
TODAY = NOON.date()
ZERO_NS = 77 * NS_PER_SECOND
SHORT = 40
"""Notes of a line that is used as well as read: enough to meet what is odd in it."""


@dataclass(frozen=True, slots=True)
class Target:
    """One kind of input."""

    name: str
    seeds: Callable[[], Sequence[Any]]
    """Valid ones, made when they are first asked for."""
    bend: Bend[Any]
    read: Callable[[Any, Path], object]
    """Reads one in a folder of its own, and uses what it reads."""
    refusals: tuple[type[Exception], ...]
    share: int = 1
    """Of the cases, in parts: more for what is cheap and likely to come from strangers."""


def used(exercise: Exercise) -> None:
    """What is done with any line that was read: kept, shown, and written down again."""
    assert exercise_from_dict(json.loads(json.dumps(exercise_to_dict(exercise)))) == exercise
    if len(exercise.notes) <= SHORT:
        text_tablature(exercise)
        again = exercise_from_note_list(note_list_text(exercise), exercise.name, "again")
        assert [note.location for note in again.notes] == [note.location for note in exercise.notes]


def _read_as(name: str) -> Callable[[bytes, Path], None]:
    def read(data: bytes, folder: Path) -> None:
        path = folder / name
        path.write_bytes(data)
        used(read_file(path).exercise)

    return read


def _encoded(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


@cache
def lines() -> tuple[Exercise, ...]:
    """Lines with everything in them: slides, slurs, rests, graces, fingers, several voices."""
    words = (
        "B minor pentatonic, strings 1-2, positions 1 2 1, fours down, eighths",
        "A minor, strings 1-3, position 2, threes up, triplets, one pick a string",
        "E minor pentatonic, strings 3-4, positions 1 2, steps 1 r 2 ~ | 3 4 ~, sixteenths, legato",
    )
    return tuple(exercise_from_line(each) for each in words)


# MIDI as a driver hands it over, from the stamps to what is said of the take.


@cache
def streams() -> tuple[tuple[Driven, ...], ...]:
    """A short line through several converters."""
    short = replace(lines()[0], name="short").excerpt(0, 11)
    found = []
    for style in ("bend", "mpe", "one-channel", *sorted(STYLES)[:3]):
        if style in STYLES:
            messages = played(short, "string 3, miss 7" if style == "mpe" else "", style=STYLES[style])
            found.append(_driven(messages))
    return tuple(found)


def _driven(messages: Sequence[StampedMessage]) -> tuple[Driven, ...]:
    before_ns = 0
    driven = []
    for message in messages:
        driven.append(Driven(1_000_000, (message.stamp_ns - before_ns) / NS_PER_SECOND, message.data))
        before_ns = message.stamp_ns
    return tuple(driven)


def hear(stream: tuple[Driven, ...], _folder: Path) -> None:
    """What a run does with it: nothing may be raised, and the judgement is JSON whatever came."""
    anchor, counted_ns = StampAnchor(), ZERO_NS
    exercise = lines()[0]
    run = Run(RunPlan(exercise, exercise.tempo), zero_ns=ZERO_NS, profile=PickupProfile(), quantise=quantised)
    before_ns = ZERO_NS
    for late_ns, delta_s, data in stream:
        if 0 <= delta_s < 1e6:
            counted_ns += round(delta_s * NS_PER_SECOND)
        now_ns = max(before_ns, counted_ns + late_ns)
        stamp_ns = anchor.stamp(now_ns, delta_s)
        assert stamp_ns <= now_ns
        run.update((StampedMessage(stamp_ns, data),) if data else (), now_ns)
        before_ns = now_ns
    run.finish(before_ns + NS_PER_SECOND)
    json.dumps(judgement(run.session), allow_nan=False)


# Takes: a file of ours with its header, judged as the history judges it.


@cache
def takes() -> tuple[bytes, ...]:
    """Takes of a short line, whole, a stretch, at the player's own pace."""
    short = LINE.excerpt(0, 9)
    return (
        take_of(short, passes=1),
        take_of(short, passes=2, faults="miss 3, late 5 40"),
        take_of(short, passes=1, pace="free", player="Ana", seed=None),
        take_of(short, passes=1, first_note=0, last_note=9),
    )


def bent_take(data: bytes, edit: Edit, seeds: Sequence[bytes]) -> bytes:
    """The header's JSON, or the events."""
    start = data.find(b'{"boxwalk_take"')
    if edit.kind % 2 or start < 0:
        return bent_midi_file(data, edit._replace(kind=edit.kind // 2), seeds)
    try:
        _, length = json.JSONDecoder().raw_decode(data[start:].decode("latin-1"))
    except ValueError:
        return bent_midi_file(data, edit._replace(kind=edit.kind // 2), seeds)
    header = data[start : start + length].decode("latin-1")
    bent = bent_json(header, edit._replace(kind=edit.kind // 2), [header]).replace(
        '"boxwalk_take": ', '"boxwalk_take":'
    )
    text = bent.encode("utf-8", "surrogatepass")
    body = data[22:start].rstrip(bytes(range(0x80, 0x100)))
    body = body[: body.rfind(b"\xff\x01") + 2] + _quantity(len(text)) + text + data[start + length :]
    return data[:18] + len(body).to_bytes(4) + body


def _quantity(value: int) -> bytes:
    """A variable-length quantity of four bytes."""
    return bytes((value >> shift & 0x7F) | (0x80 if shift else 0) for shift in (21, 14, 7, 0))


def judge(data: bytes, folder: Path) -> None:
    """What the history and the list of takes do with a file that lies in the folder of takes."""
    path = folder / "take.mid"
    path.write_bytes(data)
    assert len(list_takes(folder)) == 1
    kept = take_file_of("take.mid", data)
    heard_over(kept.take, kept.header)


# MusicXML, plain and packed.


@cache
def pages() -> tuple[str, ...]:
    """Our own export of each line, and short pages in other hands."""
    inside = (
        tab("1/5"),
        tab("1/7", technical='<hammer-on type="start">H</hammer-on>'),
        rest(),
        plain("E4"),
        tab("2/8"),
    )
    head = '<part-list><score-part id="P1"><part-name>Ledge</part-name></score-part></part-list>'
    strangers = page(measure(attributes(staff_tuning(), 4), *inside), measure(*inside), head=head)
    ends = '<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>'
    repeated = page(measure(attributes(staff_tuning("D2 A2 D3 G3 B3 E4", 2)), tab("1/3", None), *inside), measure(ends))
    return (*(musicxml(each).decode().split("?>", 1)[1] for each in lines()), strangers, repeated)


@cache
def archives() -> tuple[bytes, ...]:
    """The same as `.mxl`."""
    return tuple(compressed(each.encode()) for each in pages())


def bent_archive(data: bytes, edit: Edit, seeds: Sequence[bytes]) -> bytes:
    """The archive's bytes, the text of a member, or its name; packed again."""
    if edit.kind % 4 == 0:
        return bent_bytes(data, edit._replace(kind=edit.kind // 4), seeds)
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            members = [(info.filename, archive.read(info)) for info in archive.infolist()]
    except (zipfile.BadZipFile, zlib.error, ValueError, OSError, EOFError, RuntimeError, NotImplementedError):
        return bent_bytes(data, edit, seeds)
    if not members:
        return chosen(edit.what, seeds)
    at = edit.where % len(members)
    name, text = members[at]
    match edit.kind % 4:
        case 1:
            odd = ("../../out", "/out", "META-INF/container.xml", "a" * 300, "C:\\out", "..", "score.xml", "\u202e.xml")
            members[at] = (chosen(edit.what, odd), text)
        case _:
            bent = bent_xml(
                text.decode("utf-8", "replace").split("?>", 1)[-1], edit._replace(kind=edit.kind // 4), [""]
            )
            members[at] = (name, _encoded(bent))
    stream = BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says when a name comes twice, which is meant
        for member, content in members:
            archive.writestr(zipfile.ZipInfo(member), content, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


# Text: recipes, lists of notes, lines, tablature.


@cache
def recipes() -> tuple[str, ...]:
    """Shipped recipes and one list of notes."""
    shipped = sorted(EXERCISES.glob("*.toml"))[::6]
    return (*(path.read_text(encoding="utf-8") for path in shipped), *(note_list_text(each) for each in lines()))


@cache
def one_lines() -> tuple[str, ...]:
    """Lines of words."""
    return (
        "B minor pentatonic, strings 1-2, positions 1 2 1, fours down, eighths, legato",
        "A minor, strings all, position 2, threes up and down, triplets, one pick a string, accents beats",
        "E minor pentatonic, strings 3-4, positions 1 2, steps 1 r 2 ~ | 3 4 ~, sixteenths, start after an eighth",
        "C major, strings 1-3, positions climb by one from 1 for 4 turning, thirds up, 5 a beat, tempo 90",
        "G mixolydian, strings 1 3, position 3, mixed 3 4 5 by chance 7 down, eighth + eighth rest, backward",
    )


@cache
def tabs() -> tuple[str, ...]:
    """Our own text tablature, and plain systems in other hands."""
    strangers = (
        "Ledge path\nTuning: D A D G B e   Tempo 96   4/4\n\n"
        "e|--5-7-8p7-5------|---------------|\nB|-------------8-6-|5h6/8~----------|\nG|-----------------|--------x--5b7--|\n"
        "D|-----------------|---------------|\nA|-----------------|---------------|\nD|-----------------|--0------------|\n"
    )
    return (*(text_tablature(each) for each in lines()), strangers)


# Homework, both ways.


@cache
def homework() -> tuple[bytes, ...]:
    """An assignment and what came back."""
    short = replace(LINE.excerpt(0, 9), name="ridge-steps")
    given = assignment_of(short)
    return assignment_bytes(given), returned_bytes(returned_of(take_of(short, passes=1), assignment=given))


def bent_homework(data: bytes, edit: Edit, seeds: Sequence[bytes]) -> bytes:
    """The archive's bytes, a member's JSON, or a member's take."""
    try:
        members = unpacked(data)
    except HomeworkError:
        return bent_bytes(data, edit, seeds)
    if edit.kind % 5 == 0:
        return bent_bytes(data, edit._replace(kind=edit.kind // 5), seeds)
    name = chosen(edit.where, sorted(members))
    member, inner = members[name], edit._replace(kind=edit.kind // 5)
    if name.endswith(".json"):
        members[name] = _encoded(bent_json(member.decode("utf-8", "replace"), inner, ["{}"]))
    else:
        members[name] = bent_take(member, inner, takes())
    return packed(members)


def take_home(data: bytes, _folder: Path) -> None:
    """Opened by a pupil or collected by a teacher; its takes are measured or do not count."""
    try:
        assignment = assignment_in(data)
        for task in assignment.tasks:
            used(task.exercise)
    except HomeworkError:
        returned = returned_in(data)
        for take in returned.takes:
            assert isinstance(measured(lines_of(returned.assignment), take), MeasuredTake | Unused)


# The history, page by page and cell by cell; and what is remembered.


@cache
def histories() -> tuple[bytes, ...]:
    """A history with two takes, as one file."""
    with TemporaryDirectory() as place:
        folder = Path(place)
        short = RunPlan(line().excerpt(0, 9), line().tempo, passes=2)
        record(folder, short, "miss 3, string 5")
        with History.open(folder / "history.db", folder / "takes") as history:
            gather(history, missing_files(history))
            history.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            history.connection.execute("PRAGMA journal_mode = DELETE")
        return ((folder / "history.db").read_bytes(),)


def bent_history(data: bytes, edit: Edit, seeds: Sequence[bytes]) -> bytes:
    """A byte of a page, or a cell of a table."""
    if edit.kind % 3 == 0 or not data:
        return bent_bytes(data, edit._replace(kind=edit.kind // 3), seeds)
    with closing(sqlite3.connect(":memory:")) as connection, suppress(sqlite3.Error, OverflowError):
        connection.deserialize(data)
        tables = [row[0] for row in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
        table = chosen(edit.where, tables)
        columns = [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
        column = chosen(edit.what, columns)
        (before,) = connection.execute(f"SELECT {column} FROM {table} LIMIT 1").fetchone() or (b"",)  # noqa: S608 - our own names
        value = _odd_cell(before, edit)
        mark = "CAST(? AS TEXT)" if isinstance(value, str) else "?"
        value = _encoded(value) if isinstance(value, str) else value  # also what is no UTF-8
        change = f"UPDATE {table} SET {column} = {mark} WHERE rowid IN (SELECT min(rowid) FROM {table})"  # noqa: S608 - our own names
        connection.execute(change, (value,))
        connection.commit()
        return connection.serialize()
    return bent_bytes(data, edit, seeds)


def _odd_cell(before: object, edit: Edit) -> object:
    match before:
        case bytes():
            return bent_bytes(before, edit._replace(kind=edit.kind // 3), [b""])
        case str() if edit.what % 2:
            return bent_json(before, edit._replace(kind=edit.kind // 3), [""])
        case int() if edit.what % 2:
            return before + edit.what % 9 - 4
        case _:
            odd = chosen(edit.what, ODD_VALUES)
            return odd if isinstance(odd, int | float | str) and odd != 10**40 else None


def look_through(data: bytes, folder: Path) -> None:
    """Everything that the program asks of a history."""
    path = folder / "history.db"
    path.write_bytes(data)
    with History.open(path, folder / "takes", busy_s=0.0) as history:
        figures.days(history)
        figures.lines(history)
        figures.takes(history)
        figures.breaks(history)
        figures.verdict_counts(history)
        for take_id in history.take_ids():
            history.judged(take_id)
            with suppress(TakeError):
                history.file_of(take_id)
        facts_of(history, "", TODAY - timedelta(days=9), TODAY)
        known_of(history, "", TODAY)
        changes_by_today(history)
        export(history, folder / "out")


@cache
def memories() -> tuple[str, ...]:
    """What is remembered of two devices and of the last choices."""
    with TemporaryDirectory() as place:
        memory = Memory(Path(place) / "remembered.json")
        memory.keep_device("Pickup", SetUp(PickupProfile(latency_ns=9_000_000), "2026-03-14", {"strings": ("Six.",)}))
        memory.keep_choices(LastChoices("Pickup", "two-gates", "free", 3, "187/2"))
        return (memory.path.read_text(encoding="utf-8"),)


def remember(text: str, folder: Path) -> None:
    """What is read at every start: nothing may be raised."""
    path = folder / "remembered.json"
    path.write_bytes(_encoded(text))
    memory = Memory(path)
    memory.keep_choices(LastChoices("Other"))
    assert Memory(path).choices.input_name == "Other"


def _text_file(name: str) -> Callable[[str, Path], None]:
    read = _read_as(name)
    return lambda text, folder: read(_encoded(text), folder)


TARGETS = (
    Target("stream", streams, bent_stream, hear, ()),
    Target("take", takes, bent_take, judge, UNREADABLE, 2),
    Target("midi", lambda: tuple(map(midi_file, lines())), bent_midi_file, _read_as("line.mid"), (ExerciseError,), 2),
    Target("musicxml", pages, bent_xml, _text_file("page.musicxml"), (ExerciseError,), 2),
    Target("mxl", archives, bent_archive, _read_as("page.mxl"), (ExerciseError,)),
    Target("toml", recipes, bent_words, _text_file("line.toml"), (ExerciseError,), 2),
    Target("line", one_lines, bent_words, lambda text, _: used(exercise_from_line(text)), (ExerciseError,)),
    Target("tablature", tabs, bent_words, _text_file("line.tab"), (ExerciseError,), 2),
    Target("homework", homework, bent_homework, take_home, (HomeworkError,), 3),
    Target("history", histories, bent_history, look_through, (HistoryError,), 2),
    Target("remembered", memories, bent_json, remember, ()),
)
