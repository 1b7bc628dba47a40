"""Which kind of file an ending asks for, and what is written to it."""

from collections.abc import Sequence
from pathlib import Path

from trainer.score.exercise import Exercise
from trainer.sheets.errors import SheetError
from trainer.sheets.paper import A4, Paper
from trainer.theory.naming import nearest

# Writers are imported where they are needed: a MIDI file needs no fonts.
_BOOKLETS = (".pdf", ".svg", ".txt")
_SINGLES = (".musicxml", ".mxl", ".xml", ".mid", ".midi", ".ly")
ENDINGS = (*_BOOKLETS, *_SINGLES)


def files_of(
    exercises: Sequence[Exercise], path: Path, *, title: str = "", paper: Paper = A4, engraved: bool = False
) -> tuple[tuple[Path, bytes], ...]:
    """What to write for `exercises` to a file of this name: each file's path and bytes.

    It is one file, but for a picture of several pages, which becomes `NAME-1.svg`, `NAME-2.svg`. `SheetError` for an
    ending that is not known or that holds a single exercise only.
    """
    ending = path.suffix.lower()
    _check(len(exercises), path, engraved=engraved)
    if engraved:
        from trainer.sheets.engraving import engraved_pdf

        return ((path, engraved_pdf(exercises, paper)),)
    match ending:
        case ".pdf" | ".svg":
            return _drawn(exercises, path, title, paper)
        case ".txt":
            from trainer.sheets.text_tablature import text_tablature

            return ((path, "\n\n".join(text_tablature(exercise) for exercise in exercises).encode()),)
        case ".mid" | ".midi":
            from trainer.sheets.midi_writing import midi_file

            return ((path, midi_file(exercises[0])),)
        case ".ly":
            from trainer.sheets.lilypond_writing import lilypond

            return ((path, lilypond(exercises, paper).encode()),)
        case _:
            from trainer.sheets.musicxml_writing import compressed, musicxml

            document = musicxml(exercises[0])
            return ((path, compressed(document) if ending == ".mxl" else document),)


def _check(count: int, path: Path, *, engraved: bool) -> None:
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        guess = nearest(ending, ENDINGS)
        hint = f"; nearest: {guess}" if guess else ""
        raise SheetError(f"{path}: {ending or 'a name without an ending'} is not one of {', '.join(ENDINGS)}{hint}")
    if engraved and ending != ".pdf":
        raise SheetError(f"{path}: an engraved sheet is a .pdf, not a {ending}")
    if count > 1 and ending not in (*_BOOKLETS, ".ly"):
        raise SheetError(f"{path}: a {ending} file holds one exercise, not {count}; a booklet is a .pdf, .svg or .txt")


def _drawn(exercises: Sequence[Exercise], path: Path, title: str, paper: Paper) -> tuple[tuple[Path, bytes], ...]:
    from trainer.sheets.pages import booklet_of, sheet_of

    if len(exercises) == 1:
        document = sheet_of(exercises[0], paper)
    else:
        document = booklet_of(exercises, title or "Exercises", paper)
    if path.suffix.lower() == ".pdf":
        from trainer.sheets.pdf_writing import pdf

        return ((path, pdf(document)),)
    from trainer.sheets.svg_writing import svgs

    pages = svgs(document)
    if len(pages) == 1:
        return ((path, pages[0]),)
    return tuple((path.with_stem(f"{path.stem}-{number}"), page) for number, page in enumerate(pages, start=1))
