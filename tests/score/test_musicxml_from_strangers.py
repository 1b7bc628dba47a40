import io
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.score.pages import attributes, bar, measure, on_disk, page, plain, repeat, rest, staff_tuning, tab
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.musicxml_reading import read_musicxml

Read = Callable[..., Exercise]

H1 = '<hammer-on type="start">H</hammer-on>'
H2 = '<hammer-on type="stop"/>'
S1 = '<slide type="start"/>'
S2 = '<slide type="stop"/>'


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (page(measure(attributes("<divisions>0</divisions>", 1), rest())), "holds no notes to play"),
        (bar('<sound dalsegno="a"/>', tab("1/5")), r":1: a jump \(dalsegno\) is not followed: write"),
        (bar(tab("7/5")), "expected a string from 1 to 6, found 7"),
        (bar(tab("1/25")), "expected a fret from 0 to 24, found 25"),
        (bar(tab("1/x")), "<fret>: expected a number of at least 0, found 'x'"),
        (bar(tab("1/5"), tab("1/7", before="<chord/>")), "two notes at once on string 1, frets 5 and 7"),
        (bar(plain("C2")), r"C2 \(MIDI 36\) has no free place on frets 0 to 24 of standard"),
        (bar("<note><unpitched/><duration>60</duration></note>"), "neither a pitch nor a string and fret"),
        (bar('<sound tempo="900"/>', tab("1/5")), "tempo 900 is not in 10..400"),
        (bar(tab("1/5", 10**8)), "is longer than 20000 quarters"),
        (page(*[measure(tab("1/5"), repeat("backward", 'times="999"'))] * 9), "repeats written out"),
        ("<score-timewise/>", "is ordered by measure"),
        ("<html/>", "is not MusicXML: expected <score-partwise>, found <html>"),
        ("<score-partwise>", ":1: is not well-formed XML"),
        ("", "is not well-formed XML"),
    ],
)
def test_what_cannot_be_played_is_refused_in_one_line(read: Read, text: str, complaint: str) -> None:
    with pytest.raises(ExerciseError, match=complaint) as caught:
        read(text)

    assert str(caught.value).count("\n") == 0


BILLION = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))


@pytest.mark.parametrize(
    "prolog",
    [
        f'<!DOCTYPE score-partwise [<!ENTITY a0 "ha">{BILLION}]>',
        '<!DOCTYPE score-partwise [<!ENTITY a SYSTEM "file:///etc/hostname">]>',
        '<!DOCTYPE score-partwise [<!ENTITY % a SYSTEM "http://127.0.0.1:9/a.dtd"> %a;]>',
    ],
)
def test_entities_are_refused(read: Read, prolog: str) -> None:
    with pytest.raises(ExerciseError, match="declares entities or external references, which are refused"):
        read(page(measure(tab("1/5")), prolog=prolog))


def test_the_doctype_that_real_files_carry_is_accepted_and_not_fetched(read: Read) -> None:
    # Nothing listens on port 9 of this machine: fetching would fail.
    doctype = (
        '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://127.0.0.1:9/p.dtd">'
    )

    assert read(page(measure(tab("1/5")), prolog=doctype)).notes


def compressed(files: dict[str, str], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", method) as archive:
        for name, text in files.items():
            archive.writestr(name, text)
    return packed.getvalue()


def container(name: str) -> dict[str, str]:
    return {"META-INF/container.xml": f'<container><rootfiles><rootfile full-path="{name}"/></rootfiles></container>'}


def test_a_compressed_file_is_the_same_exercise(read: Read) -> None:
    text = bar(tab("1/5"), tab("1/8"))

    packed = read(compressed(container("score.xml") | {"score.xml": text}), "ridge-path.mxl")

    assert packed == read(text)


@pytest.mark.parametrize(
    ("data", "complaint"),
    [
        (compressed({"score.xml": bar(tab("1/5"))}), "without META-INF/container.xml"),
        (compressed(container("gone.xml")), "without gone.xml"),
        (compressed(container("../../etc/hostname")), "points outside itself"),
        (compressed(container("/etc/hostname")), "points outside itself"),
        (compressed(container("score.xml") | {"score.xml": " " * 17_000_000}), "is too large: expected at most 16 MB"),
        (compressed({"META-INF/container.xml": "<container/>"}), "names no score"),
        (compressed(container("score.xml"))[:60], "cannot be unpacked"),
        (b"no archive", "expected a zip archive"),
    ],
)
def test_a_bad_compressed_file_is_refused(read: Read, data: bytes, complaint: str) -> None:
    with pytest.raises(ExerciseError, match=complaint):
        read(data, "ridge-path.mxl")


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ExerciseError, match=r"gone\.musicxml: cannot be read \(No such file"):
        read_musicxml(tmp_path / "gone.musicxml")


WHOLE = bar(
    tab("1/5", technical=H1), tab("1/8", technical=H2), tab("2/3", None, notations=S1), tab("2/5", notations=S2)
)
PACKED = compressed(container("score.xml") | {"score.xml": WHOLE})


def refusal_of(data: bytes) -> str:
    """What is said about a file of these bytes; nothing if it is an exercise."""
    with tempfile.TemporaryDirectory() as folder:
        try:
            read_musicxml(on_disk(Path(folder), data, "a.musicxml"))
        except ExerciseError as error:
            return str(error)
    return ""


@settings(deadline=None, max_examples=150)
@given(
    st.one_of(
        st.binary(max_size=200),
        st.integers(0, len(PACKED)).map(lambda end: PACKED[:end]),
        st.integers(0, len(WHOLE)).map(lambda end: WHOLE[:end].encode()),
        st.tuples(st.integers(0, len(PACKED) - 1), st.binary(min_size=1, max_size=4)).map(
            lambda cut: PACKED[: cut[0]] + cut[1] + PACKED[cut[0] + len(cut[1]) :]
        ),
    )
)
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    assert "\n" not in refusal_of(data)


NUMBERS = ("60", "0", "-1", "1e9", "3/2", "999999999", "", "x", "1.5", "\u0663")


@settings(deadline=None, max_examples=150)
@given(st.lists(st.tuples(st.integers(0, 40), st.sampled_from(NUMBERS)), min_size=1, max_size=4))
def test_any_value_in_any_place_is_read_or_refused(changes: list[tuple[int, str]]) -> None:
    pieces = page(
        measure(
            attributes("<time><beats>4</beats><beat-type>4</beat-type></time>" + staff_tuning()), tab("1/5"), rest()
        ),
        measure(repeat("forward"), tab("1/8", None), tab("1/7"), plain("E4"), repeat("backward", 'times="2"')),
    ).split("</")
    for at, value in changes:
        # Every piece ends in the text of the element that closes after it.
        head, bracket, text = pieces[at % len(pieces)].rpartition(">")
        pieces[at % len(pieces)] = head + bracket + (value if text else text)

    assert "\n" not in refusal_of("</".join(pieces).encode())
