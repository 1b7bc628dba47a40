"""How the verdicts of a take lie in bytes: records of fixed length, little-endian, without gaps.

- notes, 20 bytes for each written note up to the end of the last pass that was played: `heard` (for a missed note the
  last one heard before the gap), `at_ns` (its onset; for a missed note when that was known) and `deviation_ns`
  (`NO_DEVIATION`: nothing was due). Of several attempts the latest; zeros for an open note.
- extras, 13 bytes for each heard note that belongs to no written one: `heard`, `at_ns`, whether it is charged.
- jumps, 12 bytes each: `heard`, `from`, `to`.

A record for every note of ten years is 80 MB, read in a fraction of a second; a table row for each is several times
that (see `tests/benchmarks/history.py`).
"""

import struct
from collections.abc import Iterable

NOTE = struct.Struct("<iqq")
EXTRA = struct.Struct("<iq?")
JUMP = struct.Struct("<iii")
NO_DEVIATION = -(1 << 63)
"""Stands for None."""
NOTE_FIELDS = (("heard", "<i4"), ("at_ns", "<i8"), ("deviation_ns", "<i8"))
"""The same for numpy: `numpy.frombuffer(notes, list(NOTE_FIELDS))`."""


def packed(form: struct.Struct, records: Iterable[tuple[int, ...]]) -> bytes:
    """Records one behind the other."""
    return b"".join(form.pack(*record) for record in records)
