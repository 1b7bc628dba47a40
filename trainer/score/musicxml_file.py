"""MusicXML files: from bytes that nobody vouches for to a tree whose elements know their line.

A file is plain XML or a zip archive whose META-INF/container.xml names the score (MusicXML 4.0, "Compressed .MXL
files"). Documents often carry a DOCTYPE that points to the standard's own site: it is accepted and never fetched.
Entities and external references are refused (defusedxml), and so is anything that is, or unpacks to, more than
`LARGEST_BYTES`.
"""

import io
import zipfile
import zlib
from pathlib import Path
from xml.etree.ElementTree import Element, TreeBuilder

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import DefusedXMLParser, ParseError

# 16 MB: a score of several hundred pages; an exercise is under 1 MB.
LARGEST_BYTES = 16 * 1024 * 1024

_CONTAINER = "META-INF/container.xml"
_ZIP_SIGNATURE = b"PK\x03\x04"


class ScoreFileError(Exception):
    """Why a score cannot be read, and in which line of the file (0 = the file as a whole)."""

    def __init__(self, text: str, line: int = 0) -> None:
        super().__init__(text)
        self.text = text
        self.line = line


class LinedElement(Element):
    """An XML element that knows the line of its start tag."""

    line: int = 0


class _LiningBuilder(TreeBuilder):
    """Builds a tree whose elements carry the line that the parser is at."""

    def __init__(self) -> None:
        super().__init__(element_factory=LinedElement)
        self.parser: DefusedXMLParser | None = None

    def start(self, tag: str, attrs: dict[str, str], /) -> Element:
        element = super().start(tag, attrs)
        if isinstance(element, LinedElement) and self.parser is not None:
            element.line = self.parser.parser.CurrentLineNumber
        return element


def line_of(element: Element) -> int:
    """The line of the file that `element` begins in, 0 if unknown."""
    return element.line if isinstance(element, LinedElement) else 0


def read_score_tree(path: Path) -> Element:
    """The root element, a score-partwise, of the MusicXML file at `path`; `ScoreFileError` if there is none."""
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise ScoreFileError(f"cannot be read ({error.strerror or error})") from error
    _refuse_large(len(data))
    if data.startswith(_ZIP_SIGNATURE):
        data = _unpacked(data)
    elif path.suffix.lower() == ".mxl":
        raise ScoreFileError("is not a compressed MusicXML file: expected a zip archive")
    root = _parsed(data)
    if root.tag == "score-timewise":
        raise ScoreFileError("is ordered by measure (score-timewise); export it as score-partwise", line_of(root))
    if root.tag != "score-partwise":
        raise ScoreFileError(f"is not MusicXML: expected <score-partwise>, found <{root.tag:.40}>", line_of(root))
    return root


def _refuse_large(size_bytes: int) -> None:
    if size_bytes > LARGEST_BYTES:
        raise ScoreFileError(f"is too large: expected at most {LARGEST_BYTES // 1024 // 1024} MB")


def _parsed(data: bytes) -> Element:
    builder = _LiningBuilder()
    parser = builder.parser = DefusedXMLParser(target=builder)
    try:
        parser.feed(data)
        return parser.close()
    except ParseError as error:
        line, _ = error.position
        raise ScoreFileError(f"is not well-formed XML ({str(error).partition(':')[0]})", line) from error
    except DefusedXmlException as error:
        line = parser.parser.CurrentLineNumber
        raise ScoreFileError("declares entities or external references, which are refused", line) from error
    except (LookupError, ValueError) as error:
        # expat asks Python for encodings that it does not know itself.
        raise ScoreFileError(f"has an encoding that cannot be read ({error})") from error


def _unpacked(data: bytes) -> bytes:
    """The score inside a compressed MusicXML file. Nothing is written to the disk; members are read by name only."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            root = _parsed(_member(archive, _CONTAINER))
            names = [file.get("full-path", "") for file in root.iterfind("rootfiles/rootfile")]
            if not names:
                raise ScoreFileError(f"is a compressed file whose {_CONTAINER} names no score")
            return _member(archive, names[0])
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, NotImplementedError, ValueError) as error:
        # RuntimeError: the archive is encrypted; NotImplementedError: a compression that is not known.
        raise ScoreFileError(f"is a compressed file that cannot be unpacked ({error})") from error


def _member(archive: zipfile.ZipFile, name: str) -> bytes:
    if name.startswith("/") or ".." in name.split("/"):
        raise ScoreFileError(f"is a compressed file that points outside itself ({name})")
    try:
        with archive.open(name) as member:
            # The size in the directory is only a claim: read no further than the limit.
            data = member.read(LARGEST_BYTES + 1)
    except KeyError as error:
        raise ScoreFileError(f"is a compressed file without {name}") from error
    _refuse_large(len(data))
    return data
