"""The judging core from a script of ten lines, as README.md shows it."""

import re
import subprocess
import sys
from pathlib import Path

import trainer
from tests.kept_takes import keep_take

ROOT = Path(__file__).parents[1]
SCRIPT = """\
from pathlib import Path
from trainer.judging import Asked, judge_take
from trainer.playing.take import read_take
from trainer.score.library import load_exercise

take = read_take(Path("take.mid"))
judged = judge_take(load_exercise("two-gates"), take, Asked(pace="click"))
for note in judged["notes"]:
    if note["verdict"] != "matched":
        print(note["index"], note["verdict"], note["deviation_ms"])
"""


def run(script: str, folder: Path) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=folder,
        env={"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.splitlines()


def test_ten_lines_judge_a_take(tmp_path: Path) -> None:
    keep_take(tmp_path / "takes", "two-gates", faults="miss 3, string 6", passes=1)
    (kept,) = (tmp_path / "takes").glob("*.mid")
    kept.rename(tmp_path / "take.mid")

    said = run(SCRIPT, tmp_path)

    assert len(SCRIPT.splitlines()) == 10
    assert [line.split()[:2] for line in said] == [["3", "missed"], ["6", "wrong-string"]]


def test_the_core_takes_no_window_no_port_and_no_card_with_it(tmp_path: Path) -> None:
    keep_take(tmp_path / "takes", "two-gates", passes=1)
    (kept,) = (tmp_path / "takes").glob("*.mid")
    kept.rename(tmp_path / "take.mid")

    said = run(
        SCRIPT + "import sys\nprint({'pygame', 'rtmidi', 'sounddevice', 'matplotlib'} & set(sys.modules))", tmp_path
    )

    assert said == ["set()"]


def test_the_readme_shows_this_very_script() -> None:
    shown = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)

    assert shown in ([], [SCRIPT])


def test_type_hints_are_shipped() -> None:
    assert Path(trainer.__file__).with_name("py.typed").is_file()
