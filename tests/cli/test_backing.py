import wave
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from tests.devices.test_outputs import Card
from trainer.cli import main
from trainer.devices.sound import SilentSound
from trainer.sounds.feels import FEELS
from trainer.sounds.samples import RATE, Pcm

PARTS = "click, backing, line"


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, words)
    return result.exit_code, result.output


def samples_of(path: Path) -> Pcm:
    with wave.open(str(path)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2")


def test_a_loop_is_written_as_long_as_its_bars(tmp_path: Path) -> None:
    path = tmp_path / "quarry.wav"

    code, said = run(
        "backing", "--key", "A minor", "--feel", "shuffle", "--chords", "i iv", "--tempo", "90", "--bars", "4",
        "--out", str(path),
    )  # fmt: skip

    assert (code, said) == (
        0,
        f"A minor, shuffle, i iv: Am, Dm, a loop of 4 bars, at 90.\n{path}: 10.67 s, repeats without a seam\n",
    )
    assert len(samples_of(path)) == round(16 * 60 * RATE / 90)


def test_a_file_of_several_loops_is_the_loop_repeated(tmp_path: Path) -> None:
    once, thrice = tmp_path / "once.wav", tmp_path / "thrice.wav"

    for path, loops in ((once, "1"), (thrice, "3")):
        run("backing", "--key", "E blues", "--tempo", "131", "--loops", loops, "--out", str(path))

    np.testing.assert_array_equal(samples_of(thrice), np.tile(samples_of(once), 3))


def test_a_part_can_be_left_out(tmp_path: Path) -> None:
    path = tmp_path / "silence.wav"

    code, _ = run("backing", "--key", "A minor", "--levels", "drums 0, bass 0, chords 0 %", "--out", str(path))

    assert code == 0
    assert not samples_of(path).any()


def test_the_feels_and_the_usual_chords_are_named() -> None:
    code, said = run("backing", "--feels", "--key", "D dorian")

    assert code == 0
    assert all(f"{name} " in said for name in (*FEELS, "pulse"))
    assert "usual chords in D dorian: i IV; " in said


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--key", "A minr"], "'minr' is not a scale; nearest: 'minor'"),
        (["--key", "A minor", "--feel", "shufle"], "'shufle' is not a feel; nearest: 'shuffle'"),
        (["--key", "A minor", "--chords", "i ivv"], "chords, column 3: 'ivv' is not a chord by its degree"),
        (["--key", "A minor", "--levels", "drumz 40"], "'drumz' is not a part with a level; nearest: 'drums'"),
        (["--key", "A minor", "--levels", "drums loud"], "level 'drums loud': expected a part and its percent"),
        (["--key", "A minor", "--levels", "drums 201"], "level drums 201: expected 0 to 200 percent"),
        (["--key", "A minor", "--bars", "1"], "1 bars for 2 chords: expected a bar or more for each"),
        (["--key", "A minor", "--tempo", "29"], "tempo 29: expected 30 to 300 quarters a minute"),
        (["--key", "A minor", "--tempo", "nan"], "tempo nan: expected 30 to 300 quarters a minute"),
        (["--key", "A minor", "--meter", "7/9"], "meter '7/9': expected e.g. 4/4 or 7/8"),
        (["--key", "A minor", "--meter", "7/8", "--feel", "shuffle"], "shuffle is in 4/4, not in 7/8"),
        ([], "say a key, such as --key 'A minor'"),
    ],
)
def test_what_makes_no_backing_is_told_in_one_sentence(words: list[str], message: str, tmp_path: Path) -> None:
    path = tmp_path / "none.wav"

    code, said = run("backing", *words, "--out", str(path))

    assert code == 2
    assert message in said
    assert not path.exists()


def test_any_meter_has_a_plain_backing(tmp_path: Path) -> None:
    path = tmp_path / "eleven.wav"

    code, said = run("backing", "--key", "A minor", "--meter", "11/8", "--tempo", "120", "--out", str(path))

    assert (code, "pulse" in said) == (0, True)
    assert len(samples_of(path)) == 4 * 11 * RATE // 4


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    code, said = run("backing", "--key", "A minor", "--out", str(tmp_path / "no" / "such.wav"))

    assert code == 2
    assert "cannot be saved" in said


@pytest.mark.parametrize("words", [["backing", "--key", "A minor"], ["hear", "two-gates"]])
def test_without_a_card_a_file_is_offered(words: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trainer.devices.outputs.remembered_sound", lambda *_: SilentSound("no card"))

    code, said = run(*words)

    assert code == 2
    assert "No sound: no card. --out FILE.wav writes it to a file." in said


@pytest.mark.parametrize("words", [["backing", "--key", "A minor", "--minutes", "1"], ["hear", "two-gates", "--loop"]])
def test_it_sounds_until_it_is_over_and_the_card_is_given_back(
    words: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    card, slept = Card(), []
    monkeypatch.setattr("trainer.devices.outputs.remembered_sound", lambda *_: card)
    monkeypatch.setattr("time.sleep", slept.append)

    code, said = run(*words)

    assert (code, "Ctrl C ends." in said) == (0, True)
    assert (len(card.played), len(slept), card.is_closed) == (1, 1, True)


def test_the_parts_of_a_line_are_written_mixed_or_each_on_its_own(tmp_path: Path) -> None:
    mixed, each = tmp_path / "mixed.wav", tmp_path / "each.wav"

    for path, more in ((mixed, []), (each, ["--each"])):
        code, _ = run("hear", "two-gates", "--with", PARTS, "--count-in", "1", "--out", str(path), *more)
        assert code == 0

    parts = [samples_of(tmp_path / f"each-{part}.wav").astype(int) for part in PARTS.split(", ")]
    total = np.zeros(max(map(len, parts)), int)
    for part in parts:
        total[: len(part)] += part
    heard = samples_of(mixed)
    gain = np.abs(heard).max() / np.abs(total).max()  # turned down as a whole where it would clip
    assert gain <= 1.0
    np.testing.assert_allclose(heard, gain * total, atol=3)
    assert not each.exists()


def test_a_line_is_written_at_any_tempo_and_as_often_as_asked(tmp_path: Path) -> None:
    fast, slow = tmp_path / "fast.wav", tmp_path / "slow.wav"

    run("hear", "two-gates", "--tempo", "120", "--out", str(fast))
    run("hear", "two-gates", "--tempo", "40", "--passes", "2", "--out", str(slow))

    assert len(samples_of(slow)) == pytest.approx(6 * len(samples_of(fast)), abs=0.2 * RATE)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--with", "klick"], "--with: 'klick' is not a part; nearest: 'click'"),
        (["--with", " , "], "--with: expected one or more of click, backing, line"),
        (["--each"], "--each goes with --out FILE.wav"),
        (["--loop", "--out", "x.wav"], "--loop goes without --out"),
        (["--click", "sometimes"], "'sometimes' is not a way of the click"),
        (["--feel", "swung"], "'swung' is not a feel; nearest: 'swing'"),
        (["--chords", "i ix"], "chords, column 3: 'ix' is not a chord"),
        (["--tempo", "5"], "tempo 5.0: expected 10 to 400"),
    ],
)
def test_what_cannot_be_heard_is_told_in_one_sentence(words: list[str], message: str) -> None:
    code, said = run("hear", "two-gates", *words)

    assert code == 2
    assert message in said


def test_practice_takes_the_ways_of_click_and_backing_for_this_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from trainer.sounds.backing import Accompaniment, Levels
    from trainer.sounds.click_way import ClickWay, Thinning
    from trainer.sounds.mix import Mix

    opened = []
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    monkeypatch.setattr("trainer.app.open_window", lambda station, plan, _size: opened.append((station.desk.mix, plan)))

    code, _ = run(
        "practise", "two-gates", "--input", "simulated", "--silent", "--backing", "--click", "on 1",
        "--subdivision", "2", "--no-accents", "--feel", "Shuffle", "--chords", "i VI", "--levels", "line 50",
    )  # fmt: skip

    ((mix, plan),) = opened
    assert code == 0
    assert plan.with_backing
    assert mix == Mix(
        ClickWay(2, accents=False, thinning=Thinning.ONE), Accompaniment("shuffle", "i VI"), Levels(line=50)
    )
    assert not (tmp_path / "remembered.json").exists()
