"""The archive that homework travels in: a zip of a few members, read as from a stranger.

Nothing in it is ever written to the disk under a name of its own, so a name can point nowhere; names that are not
expected are refused all the same, for such a file is not ours. What a header says of sizes is only a claim: no member
is unpacked further than its limit, and all of them together no further than theirs.

Reference: .ZIP File Format Specification 6.3 (APPNOTE), 4.3.16 "End of central directory record".
"""

import io
import re
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path

from trainer.homework.errors import HomeworkError

LARGEST_FILE_BYTES = 32 * 1024 * 1024
LARGEST_MEMBER_BYTES = 4 * 1024 * 1024
"""A take of an hour, converter bends included, is about 2 MB."""
LARGEST_UNPACKED_BYTES = 64 * 1024 * 1024
MOST_TAKES = 400
"""Thirty a day for two weeks, nearly."""
ASSIGNMENT, RETURN = "homework.json", "return.json"

_TAKE = re.compile(r"takes/[0-9]{1,6}\.mid")
_END_BYTES = 22
_END_SIGNATURE = b"PK\x05\x06"
_LARGEST_DIRECTORY_BYTES = 256 * (MOST_TAKES + 2)
_EPOCH = (1980, 1, 1, 0, 0, 0)
"""Members carry no date: the same homework is the same file."""


def take_name(number: int) -> str:
    """The member that holds take `number`."""
    return f"takes/{number:03}.mid"


def packed(members: Mapping[str, bytes]) -> bytes:
    """The archive of `members`; `HomeworkError` when it would be larger than what is read."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name, data in members.items():
            archive.writestr(zipfile.ZipInfo(name, _EPOCH), data, zipfile.ZIP_DEFLATED)
    if stream.tell() > LARGEST_FILE_BYTES or sum(map(len, members.values())) > LARGEST_UNPACKED_BYTES:
        raise HomeworkError("this is too much for one file: give back fewer takes, or make homework of fewer exercises")
    return stream.getvalue()


def read_file(path: Path) -> bytes:
    """The bytes of a file of homework; `HomeworkError` when it cannot be read or is too large."""
    try:
        with path.open("rb") as opened:
            data = opened.read(LARGEST_FILE_BYTES + 1)
    except (OSError, ValueError) as error:
        raise HomeworkError(f"cannot be read ({getattr(error, 'strerror', None) or error})") from error
    if len(data) > LARGEST_FILE_BYTES:
        raise HomeworkError(f"is too large: expected at most {LARGEST_FILE_BYTES // 1024 // 1024} MB")
    return data


def unpacked(data: bytes) -> dict[str, bytes]:
    """The members of an archive; `HomeworkError` for anything that `packed` does not make."""
    end = data[-_END_BYTES:]
    if not data.startswith(b"PK\x03\x04") or not end.startswith(_END_SIGNATURE) or len(end) < _END_BYTES:
        raise HomeworkError("is not a file of homework, or only the beginning of one")
    if int.from_bytes(end[12:16], "little") > _LARGEST_DIRECTORY_BYTES:
        raise HomeworkError(f"holds too many members: expected at most {MOST_TAKES} takes")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _members(archive)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, NotImplementedError, ValueError) as error:
        if isinstance(error, HomeworkError):
            raise
        # RuntimeError: it is encrypted; NotImplementedError: a compression that is not known.
        raise HomeworkError(f"is damaged and cannot be unpacked ({error})") from error


def _members(archive: zipfile.ZipFile) -> dict[str, bytes]:
    infos = archive.infolist()
    if len(infos) > MOST_TAKES + 2:
        raise HomeworkError(f"holds {len(infos)} members: expected at most {MOST_TAKES} takes")
    members: dict[str, bytes] = {}
    left = LARGEST_UNPACKED_BYTES
    for info in infos:
        name = info.filename
        if name not in (ASSIGNMENT, RETURN) and not _TAKE.fullmatch(name):
            raise HomeworkError(f"holds {name!a:.60}, which is no part of homework")
        if name in members:
            raise HomeworkError(f"holds {name} twice")
        if info.compress_type not in (zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED):
            raise HomeworkError(f"holds {name} in a compression that homework does not use")
        with archive.open(info) as member:
            data = member.read(LARGEST_MEMBER_BYTES + 1)
        left -= len(data)
        if len(data) > LARGEST_MEMBER_BYTES or left < 0:
            raise HomeworkError(f"unpacks to more than homework can be: {name} goes over the limit")
        members[name] = data
    return members
