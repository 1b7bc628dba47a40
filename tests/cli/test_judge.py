import json
from pathlib import Path

import mido
import pytest
from click.testing import CliRunner

from tests.builders import line, played
from trainer.cli import main
from trainer.playing.messages import StampedMessage


def saved(path: Path, messages: tuple[StampedMessage, ...]) -> Path:
    """A plain MIDI file of 1 ms ticks, as another program would write it."""
    track = mido.MidiTrack()
    at_ms = 0
    for message in messages:
        tick = round(message.stamp_ns / 1e6)
        track.append(mido.Message.from_bytes(message.data, time=tick - at_ms))
        at_ms = tick
    mido.MidiFile(ticks_per_beat=500, tracks=[track]).save(path)
    return path


def boxwalk(*arguments: object):
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_judge_prints_the_whole_judgement_as_json(tmp_path: Path) -> None:
    take = saved(tmp_path / "take.mid", played(line(), "miss 5"))

    result = boxwalk("judge", "two-gates", take, "--tempo", 120, "--starts-at", 2, "--json", "-")

    assert result.exit_code == 0
    notes = json.loads(result.stdout)["notes"]
    assert [note["index"] for note in notes if note["verdict"] != "matched"] == [5]


def test_judge_writes_the_judgement_to_a_file(tmp_path: Path) -> None:
    take = saved(tmp_path / "take.mid", played(line()))

    boxwalk("judge", "two-gates", take, "--tempo", 120, "--starts-at", 2, "--json", tmp_path / "out.json")

    assert json.loads((tmp_path / "out.json").read_text())["assessment"]["matched"] == 32


def test_judge_in_words_names_the_slips(tmp_path: Path) -> None:
    take = saved(tmp_path / "take.mid", played(line(), "miss 5"))

    result = boxwalk("judge", "two-gates", take, "--tempo", 120, "--starts-at", 2)

    assert "31 of 32 matched, 1 missed" in result.stdout
    assert "note 5: string 2 fret 12: missed" in result.stdout


def test_judge_explains_the_verdict_on_one_note(tmp_path: Path) -> None:
    take = saved(tmp_path / "take.mid", played(line(), "miss 5"))

    missed = boxwalk("judge", "two-gates", take, "--tempo", 120, "--starts-at", 2, "--explain", 5)
    matched = boxwalk("judge", "two-gates", take, "--tempo", 120, "--starts-at", 2, "--explain", 6)

    assert missed.stdout.splitlines()[0] == "Note 5, string 2 fret 12, due at 3.250 s: missed."
    assert "When it was heard: note 6 " in matched.stdout


@pytest.mark.parametrize("index", [-1, 32])
def test_judge_explains_no_note_that_is_not_written(tmp_path: Path, index: int) -> None:
    take = saved(tmp_path / "take.mid", played(line()))

    result = boxwalk("judge", "two-gates", take, "--starts-at", 2, "--explain", index)

    assert result.exit_code == 2
    assert f"note {index}: expected 0 to 31" in result.stderr


def test_a_batch_answers_one_object_a_line_in_order(tmp_path: Path) -> None:
    take = saved(tmp_path / "take.mid", played(line(), "miss 5"))
    entries = [
        {"exercise": "two-gates", "take": str(take), "tempo": 120, "starts_at": 2},
        {"exercise": "two-gates", "take": str(tmp_path / "absent.mid")},
        {"exercise": "two-gatez", "take": str(take)},
        {"exercise": "two-gates", "take": str(take), "paze": "free"},
        {"exercise": "two-gates", "take": str(take), "pace": "free"},
    ]
    manifest = tmp_path / "manifest.jsonl"
    manifest.write_text("\n".join(map(json.dumps, entries)) + "\nnot json\n")

    result = boxwalk("judge", "--batch", manifest)

    answers = [json.loads(answer) for answer in result.stdout.splitlines()]
    assert result.exit_code == 0
    assert [list(answer) == ["error"] for answer in answers] == [False, True, True, True, False, True]
    assert "nearest is 'pace'" in answers[3]["error"]
    assert "two-gates" in answers[2]["error"]


def test_a_long_batch_spread_over_processes_answers_as_the_takes_alone_do(tmp_path: Path) -> None:
    missed = [number % 30 for number in range(12)]
    takes = [saved(tmp_path / f"{n}.mid", played(line(), f"miss {index}")) for n, index in enumerate(missed)]
    entries = [{"exercise": "two-gates", "take": str(take), "tempo": 120, "starts_at": 2} for take in takes]
    entries.insert(5, {"exercise": "two-gates", "take": "absent.mid"})
    manifest = tmp_path / "manifest.jsonl"
    manifest.write_text("\n".join(map(json.dumps, entries)))

    result = boxwalk("judge", "--batch", manifest)

    answers = [json.loads(answer) for answer in result.stdout.splitlines()]
    assert "absent.mid" in answers.pop(5)["error"]
    assert [[n["index"] for n in answer["notes"] if n["verdict"] == "missed"] for answer in answers] == [
        [index] for index in missed
    ]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["judge", "two-gatez", "x.mid"], "nearest: 'two-gates'"),
        (["judge", "two-gates", "absent.mid"], "absent.mid"),
        (["judge", "two-gates"], "an EXERCISE and a TAKE are needed"),
        (["judge", "--batch", "absent.jsonl"], "absent.jsonl"),
        (["practise", "two-gates", "--headless", "--input", "simulated", "--faults", "mis 5"], "miss"),
        (["practise", "two-gates", "--headless", "--input", "simulated", "--style", "bnd"], "bend"),
        (["practise", "two-gates", "--headless", "--tempo", "4000"], "10 to 400"),
        (["replay", "nothing"], "there is no take"),
    ],
)
def test_bad_input_ends_with_one_clear_sentence_and_exit_code_2(arguments: list[str], words: str) -> None:
    result = boxwalk(*arguments)

    assert result.exit_code == 2
    assert words in result.stderr
    assert "Traceback" not in result.output


def test_a_broken_midi_file_is_one_clear_line(tmp_path: Path) -> None:
    broken = tmp_path / "broken.mid"
    broken.write_bytes(b"RIFF....not a midi file")

    result = boxwalk("judge", "two-gates", broken)

    assert result.exit_code == 2
    assert len(result.stderr.strip().splitlines()) == 1
    assert "broken.mid" in result.stderr
