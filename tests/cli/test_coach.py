"""`boxwalk coach`, from takes that another program might have written."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.builders import line, played
from tests.cli.test_judge import boxwalk, saved
from tests.kept_takes import keep_take
from trainer.devices.skill import Skill
from trainer.score.library import load_exercise

STEADY = Skill(name="steady", timing_sd_ns=8_000_000)
LATE = "late 11 25"


def takes(folder: Path, count: int, faults: str = "", *, passes: int = 1, seed: int = 1) -> list[Path]:
    written = line("two-gates").repeated(passes)
    return [
        saved(folder / f"take-{number}.mid", played(written, faults, skill=STEADY, seed=100 * seed + number))
        for number in range(count)
    ]


def coached(*arguments: object) -> dict[str, object]:
    result = boxwalk("coach", "two-gates", *arguments, "--tempo", 120, "--starts-at", 2, "--json")
    assert result.exit_code == 0, result.stderr
    answer: dict[str, object] = json.loads(result.stdout)
    return answer


def ranked(answer: dict[str, object]) -> list[tuple[int, int]]:
    rows = sorted(answer["transitions"], key=lambda row: row["rank"])  # type: ignore[call-overload, attr-defined]
    return [(row["from"], row["to"]) for row in rows]


def test_five_takes_with_one_late_note_name_the_transition_into_it(tmp_path: Path) -> None:
    answer = coached("--takes", *takes(tmp_path, 5, LATE))

    first = next(row for row in answer["transitions"] if row["rank"] == 1)  # type: ignore[attr-defined]
    low, high = first["late_interval_ms"]
    assert (answer["enough"], answer["passes"], len(answer["transitions"])) == (True, 5, 31)  # type: ignore[arg-type]
    assert (first["from"], first["to"], first["misses"], first["weak"]) == (10, 11, 0, True)
    assert low < 25 < high
    assert "From note 10 to 11 (string 3 fret 12 to string 3 fret 9, bar 2) you come" in str(answer["sentence"])


def test_the_answer_has_the_keys_that_were_agreed(tmp_path: Path) -> None:
    answer = coached("--takes", *takes(tmp_path, 2))

    assert list(answer) == ["enough", "passes", "transitions", "sentence"]
    assert list(answer["transitions"][0]) == [  # type: ignore[index]
        "from",
        "to",
        "late_ms",
        "late_interval_ms",
        "spread_ms",
        "misses",
        "rank",
        "weak",
    ]


def test_passes_in_one_take_count_each(tmp_path: Path) -> None:
    faults = ", ".join(f"late {11 + 32 * number} 25" for number in range(5))

    answer = coached("--takes", *takes(tmp_path, 1, faults, passes=5))

    assert answer["passes"] == 5
    assert ranked(answer)[0] == (10, 11)


def test_takes_at_the_players_own_pace_are_counted_too(tmp_path: Path) -> None:
    answer = coached("--takes", *takes(tmp_path, 5, LATE), "--pace", "free")

    assert answer["passes"] == 5
    assert ranked(answer)[0] == (10, 11)


def test_few_takes_are_not_enough_and_it_says_how_many_more(tmp_path: Path) -> None:
    answer = coached("--takes", *takes(tmp_path, 3, "late 11 80"))

    assert answer["enough"] is False
    assert not any(row["weak"] for row in answer["transitions"])  # type: ignore[attr-defined]
    assert answer["sentence"] == (
        "Not enough yet: 3 passes heard, 2 more are needed before anything can be called weak."
    )


def test_through_pickup_and_judging_the_planted_transition_ranks_first(tmp_path: Path) -> None:
    first = sum(ranked(coached("--takes", *takes(tmp_path, 5, LATE, seed=seed)))[0] == (10, 11) for seed in range(1, 9))

    assert first >= 6


def test_through_pickup_and_judging_an_even_player_is_told_of_no_weakness(tmp_path: Path) -> None:
    named = sum(
        any(row["weak"] for row in coached("--takes", *takes(tmp_path, 5, seed=seed))["transitions"])  # type: ignore[attr-defined]
        for seed in range(1, 9)
    )

    assert named <= 2


def test_in_words_the_line_is_marked_and_a_drill_offered_and_written(tmp_path: Path) -> None:
    drill = tmp_path / "drill.toml"

    result = boxwalk(
        "coach", "two-gates", "--takes", *takes(tmp_path, 5, LATE), "--tempo", 120, "--starts-at", 2, "--drill", drill
    )

    assert result.exit_code == 0
    assert "you come" in result.stdout
    assert "strings are not compared" in result.stdout
    assert "weak: late" in result.stdout
    assert f"`boxwalk practise {drill}`" in result.stdout
    drilled = [(note.course, note.fret) for note in load_exercise(str(drill)).notes]
    assert drilled == [(note.course, note.fret) for note in line("two-gates").notes[9:13]]


def test_an_even_player_is_told_that_nothing_stands_out(tmp_path: Path) -> None:
    files = takes(tmp_path, 5, seed=3)

    result = boxwalk("coach", "two-gates", "--takes", *files, "--tempo", 120, "--starts-at", 2)
    refused = boxwalk(
        "coach", "two-gates", "--takes", *files, "--tempo", 120, "--starts-at", 2, "--drill", tmp_path / "d.toml"
    )

    assert "Nothing stands out: over the last 5 passes" in result.stdout
    assert refused.exit_code == 2
    assert "there is nothing to drill" in refused.stderr


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--takes", "absent.mid"), "absent.mid"),
        (("--takes",), "--takes"),
        (("--tempo", "9000", "--takes", "absent.mid"), "absent.mid"),
    ],
)
def test_bad_input_gets_a_clear_sentence(arguments: tuple[str, ...], words: str) -> None:
    result = boxwalk("coach", "two-gates", *arguments)

    assert result.exit_code == 2
    assert words in result.stderr


def test_without_takes_and_none_kept_it_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))

    result = boxwalk("coach", "two-gates")

    assert result.exit_code == 2
    assert "no take of 'two-gates' that you played is kept" in result.stderr


def test_without_takes_the_kept_ones_of_the_line_are_taken_but_not_simulated_ones(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    keep_take(tmp_path / "takes", "two-gates", passes=2)
    keep_take(tmp_path / "takes", "two-gates", passes=4, plays=0.5, minutes=1)
    keep_take(tmp_path / "takes", "two-gates", passes=3, minutes=2, by_hand=False)
    keep_take(tmp_path / "takes", "two-gates-slid", passes=3, minutes=3)

    result = boxwalk("coach", "two-gates", "--json")

    answer = json.loads(result.stdout)
    assert answer["passes"] == 4
    assert [row["misses"] for row in answer["transitions"]] == [0] * 31


def test_a_history_that_cannot_be_read_is_told_and_the_files_of_takes_are_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    keep_take(tmp_path / "takes", "two-gates", passes=2)
    boxwalk("history")
    with closing(sqlite3.connect(tmp_path / "history.db")) as newer:
        newer.execute("PRAGMA user_version = 99")

    result = boxwalk("coach", "two-gates", "--json")

    assert json.loads(result.stdout)["passes"] == 2
    assert "written by a newer Boxwalk" in result.stderr
    assert "The files of takes are read instead." in result.stderr


def test_the_takes_of_others_are_not_the_players(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    keep_take(tmp_path / "takes", "two-gates", passes=2, player="anna")

    mine, hers = boxwalk("coach", "two-gates"), boxwalk("coach", "two-gates", "--player", "anna")

    assert (mine.exit_code, hers.exit_code) == (2, 0)
    assert "--player NAME is for others: anna" in mine.stderr
    assert hers.stdout.startswith("The last 2 passes over two-gates with the click, 2026-03-01.")


def test_how_takes_are_read_is_said_of_named_takes_alone() -> None:
    result = boxwalk("coach", "two-gates", "--tempo", 90)

    assert result.exit_code == 2
    assert "they go with --takes" in result.stderr
