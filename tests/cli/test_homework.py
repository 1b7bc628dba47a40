import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from tests.homework.builders import keep_take
from trainer.cli import main, replay_window
from trainer.homework.container import RETURN, packed, unpacked
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise

LINE = "A minor pentatonic, strings 1-2, positions 1, threes up, eighths"


class Rooms:
    """A teacher and pupils, each with a data folder, and one folder that files are handed over in."""

    def __init__(self, place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.place = place
        self._monkeypatch = monkeypatch
        self.post = place / "post"
        self.post.mkdir()
        monkeypatch.chdir(self.post)

    def by(self, who: str, *arguments: object, code: int = 0, columns: int = 200) -> Result:
        self._monkeypatch.setenv("BOXWALK_DATA", str(self.place / who))
        result = CliRunner().invoke(main, ["homework", *map(str, arguments)], env={"COLUMNS": str(columns)})
        assert result.exit_code == code, result.output + result.stderr
        return result

    def takes(self, who: str) -> Path:
        folder = self.place / who / "takes"
        folder.mkdir(parents=True, exist_ok=True)
        return folder

    @contextmanager
    def given_out(self, *pupils: str) -> Iterator[Exercise]:
        """Homework made and opened by each pupil long ago."""
        who = [word for pupil in pupils for word in ("--for", pupil)]
        self.by("teacher", "make", f"{LINE}; target 100; passes 2", "--title", "Week 12", "--teacher", "Zoë", *who)
        for pupil in pupils:
            self.by(pupil, "open", "week-12.walkwork")
            (record,) = (self.place / pupil / "homework" / "opened").glob("*.json")
            told = json.loads(record.read_text())
            record.write_text(json.dumps(told | {"since": "2026-03-01T00:00:00+00:00"}))
        (path,) = (self.place / pupils[0] / "exercises").iterdir()
        yield load_exercise(str(path))


@pytest.fixture
def rooms(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Rooms:
    return Rooms(tmp_path, monkeypatch)


def test_homework_goes_out_and_comes_back_and_is_one_table(rooms: Rooms) -> None:
    with rooms.given_out("Ana", "Ben", "Cleo") as line:
        keep_take(rooms.takes("Ana"), line, tempo=104)
        keep_take(rooms.takes("Ben"), line, tempo=90, faults="miss 3")
    for pupil in ("Ana", "Ben"):
        rooms.by(pupil, "return", "--name", pupil)

    told = rooms.by("teacher", "collect", rooms.post).stdout

    ana, ben = (next(row for row in told.splitlines() if row.startswith(name)) for name in ("Ana", "Ben"))
    assert ana.split()[2:9] == ["100", "2", "(asked", "2)", "104", "(2", "of"]
    assert ben.split()[2:9] == ["100", "0", "(asked", "2)", "90", "(1", "of"]
    assert "Nothing yet from Cleo." in told


def test_on_a_narrow_terminal_the_rows_stand_one_below_the_other(rooms: Rooms) -> None:
    with rooms.given_out("Ana") as line:
        keep_take(rooms.takes("Ana"), line, tempo=104)
    rooms.by("Ana", "return", "--name", "[red]Ana", "-o", "back.walkdone")

    told = rooms.by("teacher", "collect", "back.walkdone", columns=80).stdout

    assert "\n[red]Ana\n" in told
    assert "target 100; there 2 (asked 2); fastest clean 104 (2 of 2); working not enough" in " ".join(told.split())


def test_a_pupil_sees_what_to_do_and_of_the_others_nothing(rooms: Rooms) -> None:
    with rooms.given_out("Ana", "Ben"):
        told = rooms.by("Ana", "open").stdout

    assert "Week 12, from Zoë, edition 1" in told
    assert "2 clean passes at ♩ = 100" in told
    assert "Ben" not in told
    assert b"Ben" not in b"".join(unpacked((rooms.post / "week-12.walkwork").read_bytes()).values())


def test_only_takes_of_the_homework_by_this_player_since_it_was_opened_go_back(rooms: Rooms) -> None:
    with rooms.given_out("Ana") as line:
        folder = rooms.takes("Ana")
        keep_take(folder, line)
        keep_take(folder, line, player="brother")
        keep_take(folder, line, date="2025-01-01T10:00:00+01:00")
        keep_take(folder, line, seed=4)
        keep_take(folder, load_exercise("two-gates"), passes=1)

    result = rooms.by("Ana", "return", "--name", "Ana", "-o", "back.walkdone")

    assert ": 1 take, your name, nothing else." in result.stdout
    assert result.stderr == "Left out: 1 take by the simulated player.\n"


def test_a_figure_edited_by_hand_is_told_to_the_teacher(rooms: Rooms) -> None:
    with rooms.given_out("Ana") as line:
        keep_take(rooms.takes("Ana"), line, tempo=80)
    rooms.by("Ana", "return", "--name", "Ana", "-o", "back.walkdone")
    members = unpacked(Path("back.walkdone").read_bytes())
    Path("back.walkdone").write_bytes(
        packed(members | {RETURN: members[RETURN].replace(b'"fastest": "80"', b'"fastest": "120"')})
    )

    (pupil,) = json.loads(rooms.by("teacher", "collect", "back.walkdone", "--json").stdout)["assignments"][0]["pupils"]

    assert pupil["exercises"][0]["fastest_clean"] == {"tempo": 80.0, "clean": 2, "passes": 2}
    assert "the file says clean up to 120" in pupil["remarks"][0]
    assert "measured clean up to 80" in pupil["remarks"][0]


def test_the_next_file_is_compared_with_the_one_before_though_only_the_new_one_is_given(rooms: Rooms) -> None:
    with rooms.given_out("Ana") as line:
        keep_take(rooms.takes("Ana"), line, tempo=80)
        rooms.by("Ana", "return", "--name", "Ana", "-o", "first.walkdone")
        rooms.by("teacher", "collect", "first.walkdone")
        keep_take(rooms.takes("Ana"), line, tempo=104)
    rooms.by("Ana", "return", "--name", "Ana", "-o", "second.walkdone")
    made_later = unpacked(Path("second.walkdone").read_bytes())
    told = json.loads(made_later[RETURN]) | {"made": "2099-01-01T10:00:00+00:00"}
    Path("second.walkdone").write_bytes(packed(made_later | {RETURN: json.dumps(told).encode()}))

    values = json.loads(rooms.by("teacher", "collect", "second.walkdone", "--json").stdout)

    change = values["assignments"][0]["pupils"][0]["exercises"][0]["change"]
    assert (change["fastest_clean_then"], change["clean_at_target"]) == (80.0, 2)
    assert json.loads(rooms.by("teacher", "collect", "--json").stdout) == values


def test_any_take_is_replayed(rooms: Rooms, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[Any] = []
    monkeypatch.setattr(
        replay_window, "open_replay", lambda _, header, exercise, __, **_note: shown.append((header, exercise))
    )
    with rooms.given_out("Ana") as line:
        keep_take(rooms.takes("Ana"), line, tempo=80)
        keep_take(rooms.takes("Ana"), line, tempo=104, date="2026-03-15T10:00:00+01:00")
    rooms.by("Ana", "return", "--name", "Ana", "-o", "back.walkdone")
    rooms.by("teacher", "collect", "back.walkdone")

    rooms.by("teacher", "collect", "--replay", "ana", line.name)
    rooms.by("teacher", "collect", "back.walkdone", "--replay", "Ana", line.name, "--take", 1)

    nobody = rooms.by("teacher", "collect", "--replay", "Anna", line.name, code=2)
    nothing = rooms.by("teacher", "collect", "--replay", "Ana", "ridge", code=2)
    assert "'Anna' is not a pupil in the table; nearest: 'Ana'" in nobody.stderr
    assert "'ridge' is not an exercise of this homework" in nothing.stderr
    assert [header.quarters_per_minute for header, _ in shown] == [104, 80]
    assert [exercise.notes for _, exercise in shown] == [line.notes, line.notes]


def test_a_new_edition_keeps_what_is_not_given_anew(rooms: Rooms) -> None:
    with rooms.given_out("Ana", "Ben"):
        told = rooms.by("teacher", "make", "--again", "week-12.walkwork", "--note", "Slower").stdout

    assert "Week 12, from Zoë, edition 2\nFor Ana, Ben.\nSlower\n" in told
    assert "Edition 2 takes the former's place." in rooms.by("Ana", "open", "week-12-2.walkwork").stdout


def test_an_articulation_is_a_variation_of_the_line(rooms: Rooms) -> None:
    told = rooms.by("teacher", "make", "two-gates; articulation legato", "-o", "x.walkwork").stdout

    assert "1. two-gates-legato: 5 clean passes" in told


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (["two-gate"], "there is no exercise 'two-gate'; nearest: 'two-gates'"),
        (["two-gates; tarqet 90"], "is not what can be asked of an exercise; nearest: 'target'"),
        (["two-gates; target fast"], "target 'fast': expected 10 to 400"),
        (["two-gates; target nan"], "target 'nan': expected 10 to 400"),
        (["two-gates; target 1e400"], "expected 10 to 400"),
        (["two-gates; passes 0"], "passes '0': expected 1 to 200"),
        (["two-gates; articulation legatto"], "nearest: 'legato'"),
        (["two-gates", "two-gates"], "one and the same line is asked for twice"),
        ([], "which exercises?"),
    ],
)
def test_what_a_teacher_mistypes_is_said(rooms: Rooms, words: list[str], complaint: str) -> None:
    assert complaint in rooms.by("teacher", "make", *words, code=2).stderr


def test_files_that_cannot_be_used_are_named_and_the_others_are_shown(rooms: Rooms) -> None:
    with rooms.given_out("Ana") as line:
        keep_take(rooms.takes("Ana"), line)
    rooms.by("Ana", "return", "--name", "Ana", "-o", "a.walkdone")
    Path("b.walkdone").write_bytes(Path("a.walkdone").read_bytes()[:-1])

    result = rooms.by("teacher", "collect", rooms.post, "nowhere.walkdone")

    assert "Ana" in result.stdout
    assert [line.split(" ", 3)[2] for line in result.stderr.splitlines()] == [
        str(rooms.post / "b.walkdone"),
        "nowhere.walkdone",
    ]


def test_nothing_is_written_over(rooms: Rooms) -> None:
    Path("x.walkwork").write_text("mine")

    assert "is there already" in rooms.by("teacher", "make", "two-gates", "-o", "x.walkwork", code=2).stderr
    assert Path("x.walkwork").read_text() == "mine"


def test_what_is_missing_is_said(rooms: Rooms) -> None:
    assert "no homework has been opened yet" in rooms.by("Ana", "return", "--name", "Ana", code=2).stderr
    assert "Say it with --name NAME" in rooms.by("Ana", "return", code=2).stderr
    assert "there is nothing to show: give the files" in rooms.by("teacher", "collect", code=2).stderr
    assert "cannot be read" in rooms.by("Ana", "open", "none.walkwork", code=2).stderr
    with rooms.given_out("Ana"):
        assert "is kept since it was opened" in rooms.by("Ana", "return", "--name", "Ana", code=2).stderr
