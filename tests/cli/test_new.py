from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from trainer.cli import main
from trainer.score.library import exercise_names, load_exercise

LINE = "A dorian, strings 1-3, whole neck, thirds up and down, triplets, 72"


@pytest.fixture(autouse=True)
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty data folder; the folder of own exercises within it."""
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path / "exercises"


def boxwalk(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_a_new_line_is_shown_and_nothing_is_kept_unless_asked(own: Path) -> None:
    result = boxwalk("new", LINE)

    assert result.exit_code == 0
    assert "A dorian" in result.stdout
    assert (
        "As a line: A dorian, strings 1-3, climb by one from lowest, thirds up and down, triplets, 72" in result.stdout
    )
    assert not own.exists()


def test_what_is_kept_is_found_by_its_name_like_a_shipped_one(own: Path) -> None:
    kept = boxwalk("new", LINE, "--name", "my-ledge", "--save")

    assert kept.exit_code == 0
    assert f"Kept as {own / 'my-ledge.toml'}" in kept.stdout
    assert "my-ledge" in exercise_names([own])
    assert load_exercise("my-ledge", [own]).notes == load_exercise(LINE).notes
    assert boxwalk("show", "my-ledge").exit_code == 0
    assert "my-ledge" in boxwalk("exercises", "my-ledge").stdout


def test_nothing_is_written_over(own: Path) -> None:
    boxwalk("new", LINE, "--name", "my-ledge", "--save")
    before = (own / "my-ledge.toml").read_bytes()

    again = boxwalk("new", "A dorian, positions 1, up", "--name", "my-ledge", "--save")

    assert again.exit_code == 2
    assert "there is an exercise 'my-ledge' already" in again.stderr
    assert (own / "my-ledge.toml").read_bytes() == before
    assert boxwalk("new", LINE, "--name", "quarry-steps", "--save").exit_code == 2


@pytest.mark.parametrize("name", ["../outside", "My Ledge", "a/b", "", "x" * 61])
def test_a_name_that_could_leave_the_folder_is_refused(own: Path, name: str) -> None:
    result = boxwalk("new", LINE, "--name", name, "--save") if name else boxwalk("vary", "two-gates", "key=")

    assert result.exit_code == 2
    assert not own.exists()


def test_a_folder_that_cannot_be_made_is_told_in_a_sentence(tmp_path: Path, own: Path) -> None:
    own.write_text("in the way", encoding="utf-8")

    result = boxwalk("new", LINE, "--name", "my-ledge", "--save")

    assert result.exit_code == 2
    assert "cannot be" in result.stderr
    assert own.read_text(encoding="utf-8") == "in the way"
    assert list(tmp_path.iterdir()) == [own]


def test_a_variation_is_a_twin_of_what_it_was_made_of(own: Path) -> None:
    result = boxwalk("vary", "quarry-steps", "key=C#", "articulation=legato", "--name", "steps-in-c-sharp", "--save")

    assert result.exit_code == 0
    twin = load_exercise("steps-in-c-sharp", [own])
    assert (twin.key, twin.family) == ("C# minor pentatonic", "quarry-steps")
    again = boxwalk("vary", "steps-in-c-sharp", "rhythm=triplets", "--name", "third", "--save")
    assert again.exit_code == 0
    assert load_exercise("third", [own]).family == "quarry-steps"


def test_a_surprise_says_what_it_changed() -> None:
    result = boxwalk("vary", "quarry-steps", "--surprise", 4)

    assert result.exit_code == 0
    assert result.stdout.startswith("Changed: ")
    assert boxwalk("vary", "quarry-steps", "--surprise", 4).stdout == result.stdout


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("vary", "quarry-steps"), "nothing to change"),
        (("vary", "quarry-steps", "legato"), "'legato' is not a change"),
        (("vary", "quarry-stepz", "key=C"), "there is no exercise 'quarry-stepz'; nearest: 'quarry-steps'"),
        (("vary", "quarry-steps", "last_fret=12"), "route: position"),
        (("new", "A dorian, whole nekc, up"), "'nekc'"),
    ],
)
def test_bad_input_ends_with_one_clear_message(arguments: tuple[str, ...], message: str) -> None:
    result = boxwalk(*arguments)

    assert result.exit_code == 2
    assert message in result.stderr
    assert "Traceback" not in result.stderr


PLAYED = """
title = "As played"
key = "A minor pentatonic"
notes = [
    { at = 0, string = 1, fret = 5, lasts = 1 },
    { at = 1, string = 1, fret = 8, lasts = 1, how = "hammer" },
]
"""


def test_a_line_that_was_captured_is_varied_note_by_note_and_kept(own: Path) -> None:
    own.mkdir()
    (own / "played.toml").write_text(PLAYED, encoding="utf-8")

    result = boxwalk("vary", "played", "key=B", "tempo=+10", "--name", "played-in-b", "--save")

    assert result.exit_code == 0
    twin = load_exercise("played-in-b", [own])
    assert [(note.fret, note.technique.value) for note in twin.notes] == [(7, "pick"), (10, "hammer")]
    assert (twin.key, twin.family, twin.tempo.quarters_per_minute) == ("B minor pentatonic", "played", 130)


@pytest.mark.parametrize("change", [("rhythm=triplets",), ("--surprise", "1"), ("key=C", "--surprise", "1")])
def test_what_a_captured_line_cannot_have_is_said(own: Path, change: tuple[str, ...]) -> None:
    own.mkdir()
    (own / "played.toml").write_text(PLAYED, encoding="utf-8")

    result = boxwalk("vary", "played", *change)

    assert result.exit_code == 2
    assert "recipe" in result.stderr


def test_exercises_are_filtered_and_a_broken_own_one_hides_no_others(own: Path) -> None:
    own.mkdir()
    (own / "broken.toml").write_text("key = 'H major'", encoding="utf-8")

    result = boxwalk("exercises", "--key", "D dorian", "--strings", 4, "--tempo", "60-90", "--at-most", "shifts=20")

    assert result.exit_code == 0
    assert result.stdout.split("\n")[1].startswith("mist ")
    assert "Left out: " in result.stderr
    assert "broken.toml:1: key: 'H' is not a note" in result.stderr


def test_the_path_is_shown_step_by_step() -> None:
    result = boxwalk("exercises", "--path", "--step", 1)

    assert result.stdout.startswith("1. First stones")
    assert result.stdout.index("first-stones ") < result.stdout.index("garden-wall ")
    assert "quarry-steps" not in result.stdout


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--tempo", "fast"), "'fast' is not a range of tempos"),
        (("--at-most", "shifts"), "'shifts' is not a bound"),
        (("--at-most", "shfts=3"), "nearest: 'shifts'"),
        (("--technique", "slidd"), "nearest: 'slid'"),
    ],
)
def test_a_slip_in_a_filter_is_named(arguments: tuple[str, ...], message: str) -> None:
    result = boxwalk("exercises", *arguments)

    assert result.exit_code == 2
    assert message in result.stderr


def test_what_makes_a_line_hard_is_shown_part_by_part() -> None:
    result = boxwalk("show", "narrow-gate-inside", "--parts", "--hand", "child")

    assert result.exit_code == 0
    assert "     4  notes a second" in result.stdout
    assert "bar 1: 3>2 in, 2>1 in, 1>3 out" in result.stdout
    assert "All of it lies under the hand: child." in result.stdout
    assert "Too far: bar 1, note " in boxwalk("show", "long-terrace", "--hand", "child").stdout
    assert boxwalk("show", "long-terrace", "--hand", "chid").exit_code == 2
