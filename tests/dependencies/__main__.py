"""Prints the table of licences: of each library in the lock, as the installed package says it."""

import sys
from importlib.metadata import PackageNotFoundError, metadata

from tests.dependencies.lock import LOCK, pinned

_HEAD = """# Licences of the libraries

What each package says of itself; made by `python -m tests.dependencies`. The fonts in `trainer/shipped/fonts` have
theirs beside them.

| library | version | licence |
| --- | --- | --- |
"""


def main() -> None:
    rows: dict[str, list[str]] = {}
    for library in pinned(LOCK.read_text(encoding="utf-8")):
        rows.setdefault(library.name, []).append(library.version)
    sys.stdout.write(_HEAD)
    for name, versions in rows.items():
        sys.stdout.write(f"| {name} | {', '.join(versions)} | {licence(name)} |\n")


def licence(name: str) -> str:
    """The licence in the words of the package: an SPDX expression, its classifiers, or the first line of its text."""
    try:
        told = metadata(name)
    except PackageNotFoundError:
        return "not installed here"
    if "License-Expression" in told:
        return str(told["License-Expression"])
    classifiers = [each.rpartition(" :: ")[2] for each in told.get_all("Classifier", []) if each.startswith("License")]
    if words := [each for each in classifiers if each != "OSI Approved"]:
        return ", ".join(words)
    return str(told["License"]).splitlines()[0] if told["License"] else "not said"


if __name__ == "__main__":
    main()
