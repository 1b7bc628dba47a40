from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.score.errors import ExerciseError
from trainer.score.reading import Reading
from trainer.score.text_tab_reading import read_text_tab, text_tab_from
from trainer.theory.technique import Technique

EMPTY = "----------------"


def tab(*strings: str, above: str = "", below: str = "") -> Reading:
    """The reading of one system; strings that are not given are empty."""
    labels = ("e", "B", "G", "D", "A", "E")
    width = max(len(string) for string in strings)
    rows = [*strings, *["-" * width] * (6 - len(strings))]
    lines = [f"{label}|{row.ljust(width, '-')}|" for label, row in zip(labels, rows, strict=True)]
    return text_tab_from("\n".join(filter(None, [above, *lines, below])), "line", "line.txt")


def onsets(reading: Reading) -> list[Fraction]:
    return [note.onset_quarters for note in reading.exercise.notes]


def places(reading: Reading) -> list[tuple[int, int]]:
    return [(note.course, note.fret) for note in reading.exercise.notes]


def techniques(reading: Reading) -> str:
    letters = {Technique.PICK: ".", Technique.HAMMER: "h", Technique.PULL: "p", Technique.SLIDE: "s"}
    return "".join(letters[note.technique] for note in reading.exercise.notes)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("5---7---8---5---", [0, 1, 2, 3]),
        ("-5---7---8---5---", [0, 1, 2, 3]),
        ("--5--7--8--5--", [0, 1, 2, 3]),
        ("-5-7-8-5-7-5-7-8-", [Fraction(n, 2) for n in range(8)]),
        ("5-7-8-5-7-8-5-7-8-5-7-8-", [Fraction(n, 3) for n in range(12)]),
        ("-5---7-8-5-------", [0, 1, Fraction(3, 2), 2]),
        ("-10--12--13--10-", [0, 1, 2, 3]),
    ],
)
def test_onsets_are_guessed_from_even_spacing(row: str, expected: list[Fraction]) -> None:
    reading = tab(row)

    assert onsets(reading) == expected
    assert "Onsets are guessed from the spacing: there is no count line." in reading.remarks


@pytest.mark.parametrize(
    ("row", "count", "expected"),
    [
        ("-5-7-8-5-", "   1 & 2 &", [0, Fraction(1, 2), 1, Fraction(3, 2)]),
        ("-5--7--8--5--7--8", "   1  +  2  +  3  +", [Fraction(n, 2) for n in range(6)]),
        ("-5-7-8-5-7-5-7-8-", "   1 e & a 2 e & a", [Fraction(n, 4) for n in range(8)]),
        ("-5----7----8---5-", "   1    trip let 2", [0, Fraction(1, 3), Fraction(2, 3), 1]),
        ("-5-----8-5-----8-", "   1     a 2     a", [0, Fraction(3, 4), 1, Fraction(7, 4)]),
        ("-5-7-8-5-7-8-7-5-8-7-", "   1 2 3 4 5 2 2 3 4 5", [Fraction(n, 5) for n in range(10)]),
        ("-5---7---8---5---", "   1   2   3   4", [0, 1, 2, 3]),
    ],
)
def test_onsets_come_from_the_count_line(row: str, count: str, expected: list[Fraction]) -> None:
    reading = tab(row, below=count)

    assert onsets(reading)[: len(expected)] == expected


def test_notes_between_two_counts_lie_between_them() -> None:
    reading = tab("-5-7-8-5-7-5-7-8-", below="   1   2   3   4")

    assert onsets(reading) == [Fraction(n, 2) for n in range(8)]


def test_notes_between_two_counts_stay_one_after_the_other() -> None:
    reading = tab("-5---7---8---5---7---", below="   1           2")

    assert onsets(reading) == [0, Fraction(1, 3), Fraction(2, 3), 1, Fraction(3, 2)]


def test_durations_are_said_to_be_guessed() -> None:
    reading = tab("-5---7-8---------")

    assert [note.duration_quarters for note in reading.exercise.notes] == [1, Fraction(1, 2), Fraction(1, 2)]
    assert reading.remarks[0] == "Durations are guessed: text gives none, so a note lasts until the next one begins."


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("-5h7p5---7/9\\7--", ".hp.ss"),
        ("-5H7-P-5--7s9----", ".hp.s"),
        ("-5--h7--", ".h"),
        ("-5---t12--", ".h"),
        ("--h7-----", "h"),
    ],
)
def test_signs_join_frets(row: str, expected: str) -> None:
    assert techniques(tab(row)) == expected


def test_a_sign_leads_over_a_bar_line() -> None:
    assert techniques(tab("-5---5h-|-7---5---", *["--------|---------"] * 5)) == "..h."


def test_a_slide_to_nowhere_joins_nothing_and_is_listed() -> None:
    reading = tab("-7\\--------7---", "-----5---8------")

    assert techniques(reading) == "...."
    assert "1 slide out to nowhere left out (bar 1)." in reading.remarks


def test_what_a_line_has_no_room_for_is_listed() -> None:
    reading = tab("-7b9r7--x--<12>--(12)--5~~-", "-x--------------------/7--q-")

    assert "1 bend left out: a line holds no bends, the fret is played plain (bar 1)." in reading.remarks
    assert "2 dead notes left out: they have no pitch to follow (bar 1)." in reading.remarks
    assert "1 harmonic read as fretted notes at their fret (bar 1)." in reading.remarks
    assert any(remark.startswith("vibrato signs left out") for remark in reading.remarks)
    assert "1 slide in from nowhere read as picked notes (bar 1)." in reading.remarks
    assert places(reading) == [(1, 7), (1, 12), (2, 7), (1, 5)]


def test_unknown_signs_on_a_string_are_listed() -> None:
    reading = tab("-5---?---7--", "--q---------")

    assert places(reading) == [(1, 5), (1, 7)]
    assert "2 unknown signs (? q) left out (bar 1)." in reading.remarks


def test_other_text_is_listed_with_its_lines() -> None:
    text = "\n".join([*[f"{label}|-5---7---|" for label in "eBGDAE"], "", "a verse", "", "another"])

    remarks = text_tab_from(text, "line", "line.txt").remarks

    assert "2 lines of other text left out (lines 8, 10)." in remarks


def test_several_systems_follow_each_other() -> None:
    system = "\n".join(f"{label}|-5---7---8---5---|" if label == "e" else f"{label}|{'-' * 17}|" for label in "eBGDAE")

    assert onsets(text_tab_from(f"{system}\n\n{system}", "line", "x")) == list(range(8))
    assert onsets(text_tab_from(f"{system}\n{system}", "line", "x")) == list(range(8))


@pytest.mark.parametrize(
    ("labels", "name"),
    [
        ("e B G D A E", "standard"),
        ("e B G D A D", "drop-d"),
        ("Eb Bb Gb Db Ab Eb", "e-flat"),
        ("G D A E", "bass"),
        ("e B G D A E B", "seven-string"),
        ("E B G D A E B F#", "eight-string"),
        ("D A F# D A D", "open-d"),
    ],
)
def test_letters_tell_the_tuning(labels: str, name: str) -> None:
    text = "\n".join(f"{label.ljust(2)}|-5---7---8---5---|" for label in labels.split())

    assert text_tab_from(text, "line", "x").exercise.tuning.name == name


def test_without_letters_the_usual_tuning_is_taken_and_said() -> None:
    reading = text_tab_from("\n".join(["-5---7---8---5--", *[EMPTY] * 5]), "line", "x")

    assert reading.exercise.tuning.name == "standard"
    assert "No tuning is given: standard is taken." in reading.remarks


def test_words_above_give_title_tuning_capo_tempo_and_meter() -> None:
    heading = "Old mine\nTuning: Drop D\nCapo: 2nd fret\nTempo: 92 3/4\n\n"
    text = heading + "\n".join(["|-5---7---8---|", *["|-------------|"] * 5])

    line = text_tab_from(text, "line", "x").exercise

    assert (line.title, line.tuning.name, line.meter.beats) == ("Old mine", "drop-d, capo 2", 3)
    assert line.tempo.quarters_per_minute == 92
    assert line.notes[0].pitch == 64 + 2 + 5


def test_signs_of_typesetters_are_read_as_dashes_and_bars() -> None:
    text = "\n".join(f"{label}│–5–––7–––8–––5–––│" for label in "eBGDAE")

    assert len(text_tab_from(text, "line", "x").exercise.notes) == 24


def broken(text: str) -> str:
    with pytest.raises(ExerciseError) as caught:
        text_tab_from(text, "line", "line.txt")
    return str(caught.value)


def test_mistakes_are_named_with_their_line() -> None:
    def rows(*strings: str) -> str:
        return "\n".join(f"{label}|{string}|" for label, string in zip("eBGDAE", strings, strict=True))

    assert "expected 4 to 8 adjacent lines" in broken("no tablature here")
    assert broken(rows("-5-|-7-", *["---|---"] * 4, "-------")) == (
        "line.txt:6: 1 bar on this string: expected 2 bars, as on the first"
    )
    assert broken(rows("-5123-7-", *["--------"] * 5)) == (
        "line.txt:1: string 1: expected frets from 0 to 24, with a dash between two of them, found 5123"
    )
    assert "the lowest string is on top" in broken("\n".join(f"{label}|-5---7---|" for label in "EADGBE"))
    assert broken(rows(*["--------"] * 6)) == "line.txt: holds no notes to play"
    assert broken("x" * 3000) == "line.txt:1: has 3000 characters: expected at most 2000"


def test_files_that_are_no_text_or_too_large_are_refused(tmp_path: Path) -> None:
    binary, large = tmp_path / "binary.txt", tmp_path / "large.txt"
    binary.write_bytes(b"e|-5-\0-|")
    large.write_bytes(b"-" * 600_000)

    for path, reason in ((binary, "is not text"), (large, "is too large"), (tmp_path / "none.txt", "cannot be read")):
        with pytest.raises(ExerciseError, match=reason):
            read_text_tab(path)


def read_or_complain(text: str) -> Reading | str:
    try:
        return text_tab_from(text, "line", "line.txt")
    except ExerciseError as error:
        return str(error)


signs = st.text(alphabet="-|0123457hps/\\bx~()<>[]:*.=^t", min_size=4, max_size=60)


@settings(deadline=None, max_examples=200)
@given(st.lists(st.tuples(st.sampled_from(["", "e", "B", "G#", "D"]), signs), min_size=1, max_size=9), st.text())
def test_any_text_is_read_or_refused_in_a_sentence(rows: list[tuple[str, str]], below: str) -> None:
    width = max(len(row) for _, row in rows)
    text = "\n".join(f"{label}|---{row.ljust(width, '-')}---|" for label, row in rows) + "\n" + below

    found = read_or_complain(text)

    if isinstance(found, Reading):
        tuning = found.exercise.tuning
        assert all(note.pitch == tuning.pitch_at(note.location) for note in found.exercise.notes)
        assert onsets(found) == sorted(onsets(found))
    else:
        assert found.startswith("line.txt")


@settings(deadline=None, max_examples=150)
@given(st.lists(st.sampled_from([*"123456789&ea.+", "trip", "let", "ta", "(1)", "(2)", "12"]), max_size=40))
def test_any_count_line_is_read(words: list[str]) -> None:
    row = "-5" * 60

    found = tab(row, below="   " + " ".join(words))

    assert len(set(onsets(found))) <= 60


@pytest.mark.parametrize(
    "count", ["1 2 3 4 5 6 7 " * 30, "1 ta ta ta ta ta ta ta ta ta ta ta " * 40, "1 . . . . . " * 100]
)
def test_count_lines_made_to_confuse_are_read_in_bounds(count: str) -> None:
    # A search without bounds would take hours here.
    assert len(onsets(tab("-5" * 900, below="   " + count))) == 900
