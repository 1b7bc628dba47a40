import re
import stat
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.sheets.test_text_tablature import line
from trainer.score.library import exercise_names, load_exercise
from trainer.score.meter import Meter
from trainer.score.notation import bars_of
from trainer.sheets.engraving import engraved_pdf
from trainer.sheets.errors import SheetError
from trainer.sheets.lilypond_writing import lilypond, quoted
from trainer.sheets.paper import A4, LETTER
from trainer.theory.technique import Stroke

HEAD = re.compile(r"<([^<>]*)>(\d+\.*)")


def tablature(source: str) -> str:
    """The music of the tablature staff."""
    return source.partition("TextScript.stencil")[2].partition("\\bar")[0]


@pytest.mark.parametrize("name", exercise_names())
def test_every_bracket_is_closed_and_every_note_has_its_string(name: str) -> None:
    exercise = load_exercise(name)

    source = lilypond([exercise], A4)

    assert source.count("{") == source.count("}")
    strings = re.findall(r"\\(\d)", "".join(head for head, _ in HEAD.findall(tablature(source))))
    graces = sum(note.slide_from is not None for note in exercise.notes)
    signs = [sign for bar in bars_of(exercise) for voice in bar.voices for sign in voice]
    assert len(strings) == sum(len(sign.notes) for sign in signs) + graces


def test_notes_are_written_in_absolute_octaves() -> None:
    music = tablature(lilypond([line("1/0", "2/1", "6/0", "4/1")], A4))

    assert [head for head, _ in HEAD.findall(music)] == [r"e'\1", r"c'\2", r"e,\6", r"dis\4"]


def test_a_tuplet_holds_its_notes() -> None:
    exercise = line("1/5", "1/7", "1/8", "1/7", "1/5", step=Fraction(1, 5), meter=Meter(1, 4))

    music = tablature(lilypond([exercise], A4))

    assert re.search(r"\\tuplet 5/4 \{ (<[^>]*>16 ){5}\}", music)


def test_a_note_over_the_bar_line_is_tied() -> None:
    first, second = line("1/5", "1/7").notes
    held = replace(first, duration_quarters=Fraction(5))
    exercise = replace(line("1/5"), notes=(held, replace(second, onset_quarters=Fraction(5))))

    music = tablature(lilypond([exercise], A4))

    assert re.search(r"<a'\\1>1~ \|\s+<a'\\1>4 <b'\\1>16", music)


def test_strings_that_sound_on_are_voices_side_by_side() -> None:
    low, high = line("6/0", "1/5").notes
    exercise = replace(
        line("1/5"), notes=(replace(low, duration_quarters=Fraction(4)), high), length_quarters=Fraction(4)
    )

    music = tablature(lilypond([exercise], A4))

    assert "<< { <e,\\6>1 } \\\\ { s16 <a'\\1>16 " in music


def test_slides_and_slurs_lead_to_the_next_sign() -> None:
    music = tablature(lilypond([line("1/5", "h1/7", "p1/5", "s1/9", "s3>2/5")], A4))

    assert r"<a'\1>16( <b'\1>16^" in music
    assert '^"H")( ' in music
    assert '^"P")\\glissando ' in music
    assert r"\grace { <d'\2>16\glissando } <e'\2>16" in music


def test_strokes_fingers_accents_and_positions_stand_on_the_notation_staff() -> None:
    (note,) = line("3/4").notes
    exercise = replace(line("3/4"), notes=(replace(note, stroke=Stroke.UP, finger=2, accent=True, position=5),))

    source = lilypond([exercise], A4)

    assert '<b-2>16\\upbow->^\\markup \\box "5"' in source


@pytest.mark.parametrize(
    ("tuning", "clef", "strings"),
    [
        ("standard", "treble_8", "e, a, d g b e'"),
        ("bass", "bass_8", "e,, a,, d, g,"),
        ("ukulele", "treble", "g' c' e' a'"),
        ("e-flat", "treble_8", "dis, gis, cis fis ais dis'"),
    ],
)
def test_clef_and_open_strings_fit_the_tuning(tuning: str, clef: str, strings: str) -> None:
    source = lilypond([line("1/3", tuning=tuning)], A4)

    assert f'\\clef "{clef}"' in source
    assert f"\\stringTuning <{strings}>" in source


def test_key_and_paper_are_named() -> None:
    source = lilypond([replace(line("1/3"), key="Ab dorian")], LETTER)

    assert "\\key ges \\major" in source
    assert '(set-default-paper-size "letter")' in source


def test_no_text_can_end_its_string() -> None:
    assert quoted('a "b" \\c\n#(d)') == '"a \\"b\\" \\\\c #(d)"'


def test_an_engraver_that_fails_is_a_clear_complaint(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    program = tmp_path / "lilypond"
    program.write_text("#!/bin/sh\necho 'sheet.ly:3:1: error: no such thing' >&2\nexit 1\n", encoding="utf-8")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setenv("PATH", f"{tmp_path}:/bin:/usr/bin")

    with pytest.raises(SheetError, match=r"could not engrave this sheet: sheet\.ly:3:1: error: no such thing"):
        engraved_pdf([line("1/5")], A4)
