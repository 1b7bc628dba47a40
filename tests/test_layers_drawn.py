"""The layers that DEVELOPERS.md draws are those that import-linter holds."""

import tomllib
from pathlib import Path

ROOT = Path(__file__).parent.parent


def test_the_layers_are_drawn_as_they_are_held() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = project["tool"]["importlinter"]["contracts"]
    held = next(contract["layers"] for contract in contracts if contract["type"] == "layers")

    section = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Who may import whom")[2]
    drawn = [line.strip() for line in section.partition("\n## ")[0].splitlines() if line.startswith("    ")]

    assert drawn == held[1:]
