"""Reading the lock: which libraries at which versions, and by which hashes.

Reference: pip's documentation, "Requirements File Format" and "Hash-checking Mode".
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
LOCK = ROOT / ".requirements.lock"
LICENCES = ROOT / ".licences.md"
_PINNED = re.compile(
    r"(?P<name>[a-z0-9.-]+)==(?P<version>[^ ;]+)(?: ; (?P<where>.*?))? \\\n(?P<hashes>(?:    --hash.*\n)+)"
)
_HASH = re.compile(r"--hash=sha256:([0-9a-f]{64})")


@dataclass(frozen=True, slots=True)
class Pinned:
    """One library at one version."""

    name: str
    version: str
    where: str
    """The condition under which it is this version; empty: always."""
    hashes: frozenset[str]


def pinned(text: str) -> Iterator[Pinned]:
    """The libraries of a lock."""
    for found in _PINNED.finditer(text):
        yield Pinned(found["name"], found["version"], found["where"] or "", frozenset(_HASH.findall(found["hashes"])))
