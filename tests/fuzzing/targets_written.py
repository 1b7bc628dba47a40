"""Targets: what is written. MusicXML, recipes, lines of words, text tablature."""

import warnings
import zipfile
import zlib
from collections.abc import Sequence
from functools import cache
from io import BytesIO

from tests.fuzzing.bending import Edit, bent_bytes, chosen
from tests.fuzzing.bending_xml import bent_xml
from tests.fuzzing.reading import encoded, lines
from tests.score.pages import attributes, measure, page, plain, rest, staff_tuning, tab
from trainer.score.note_list import note_list_text
from trainer.sheets.musicxml_writing import compressed, musicxml
from trainer.sheets.text_tablature import text_tablature
from trainer.shipped import EXERCISES

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
            members[at] = (name, encoded(bent))
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
