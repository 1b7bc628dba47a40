from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.score.pages import attributes, measure, page, staff_tuning, tab
from trainer.cli import main
from trainer.score.library import load_exercise

BEND = "<bend><bend-alter>2</bend-alter></bend>"


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path / "data"))
    return tmp_path / "data" / "exercises"


@pytest.fixture
def bent(tmp_path: Path) -> Path:
    path = tmp_path / "bent.musicxml"
    path.write_text(page(measure(attributes(staff_tuning()), tab("1/5", technical=BEND), tab("1/7"))))
    return path


def boxwalk(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_import_shows_the_line_and_what_could_not_be_used(bent: Path) -> None:
    result = boxwalk("import", bent)

    assert result.exit_code == 0
    assert "e |-5--" in result.stdout
    assert "* 1 bend by 2 semitones read as plain notes: a line holds no bends" in result.stdout


def test_show_says_it_too(bent: Path) -> None:
    assert "* 1 bend by 2 semitones" in boxwalk("show", bent).stdout


def test_what_is_saved_can_be_shown_by_its_name(bent: Path, own_folder: Path) -> None:
    result = boxwalk("import", bent, "--save", "hill-song")

    assert f"Kept as {own_folder / 'hill-song.toml'}" in result.stdout
    assert [note.fret for note in load_exercise(str(own_folder / "hill-song.toml")).notes] == [5, 7]
    assert boxwalk("show", "hill-song").exit_code == 0


@pytest.mark.parametrize("name", ["../escape", "Two Gates", "", "a/b", "x" * 61])
def test_a_name_that_is_no_name_is_refused_before_anything_is_written(name: str, bent: Path, own_folder: Path) -> None:
    result = boxwalk("import", bent, "--save", name)

    assert result.exit_code == 2
    assert "is not a name: expected small letters, digits and hyphens" in result.stderr
    assert not own_folder.exists()


def test_nothing_is_overwritten(bent: Path, own_folder: Path) -> None:
    boxwalk("import", bent, "--save", "hill-song")
    before = (own_folder / "hill-song.toml").read_bytes()

    result = boxwalk("import", bent, "--save", "hill-song")

    assert result.exit_code == 2
    assert "there is an exercise 'hill-song' already" in result.stderr
    assert (own_folder / "hill-song.toml").read_bytes() == before


@pytest.mark.parametrize(
    ("name", "content", "reason"),
    [
        ("gone.mid", None, "there is no such file"),
        ("line.pdf", "x", ".pdf is not one of .toml, .musicxml"),
        ("line.txt", "no tablature", "holds no tablature"),
    ],
)
def test_what_cannot_be_read_ends_in_one_sentence(name: str, content: str | None, reason: str, tmp_path: Path) -> None:
    if content is not None:
        (tmp_path / name).write_text(content)

    result = boxwalk("import", tmp_path / name)

    assert result.exit_code == 2
    assert reason in result.stderr


def test_a_part_is_only_chosen_where_there_are_several(tmp_path: Path) -> None:
    (tmp_path / "line.txt").write_text("x")

    assert "has one part only" in boxwalk("import", tmp_path / "line.txt", "--part", "2").stderr
