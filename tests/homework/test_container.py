import io
import zipfile
import zlib

import pytest

from trainer.homework.container import (
    ASSIGNMENT,
    LARGEST_MEMBER_BYTES,
    MOST_TAKES,
    RETURN,
    packed,
    take_name,
    unpacked,
)
from trainer.homework.errors import HomeworkError


def archive(*members: tuple[str, bytes], compression: int = zipfile.ZIP_DEFLATED) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", compression) as written:
        for name, data in members:
            written.writestr(name, data)
    return stream.getvalue()


def test_what_is_packed_is_unpacked_and_the_same_members_are_the_same_file() -> None:
    members = {ASSIGNMENT: b"{}", RETURN: b"[]", take_name(1): bytes(range(256))}

    data = packed(members)

    assert unpacked(data) == members
    assert packed(members) == data


@pytest.mark.parametrize(
    "name",
    [
        "../takes/001.mid",
        "/etc/passwd",
        "takes/../homework.json",
        "takes\\001.mid",
        "C:1.mid",
        "takes/٣.mid",
        "takes/",
    ],
)
def test_a_member_of_any_other_name_is_refused(name: str) -> None:
    with pytest.raises(HomeworkError, match="which is no part of homework"):
        unpacked(archive((name, b"x")))


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_member_that_is_there_twice_is_refused() -> None:
    with pytest.raises(HomeworkError, match=r"holds homework\.json twice"):
        unpacked(archive((ASSIGNMENT, b"a"), (ASSIGNMENT, b"b")))


def test_a_member_is_unpacked_up_to_its_limit_and_not_a_byte_further() -> None:
    assert len(unpacked(archive((RETURN, bytes(LARGEST_MEMBER_BYTES))))[RETURN]) == LARGEST_MEMBER_BYTES
    with pytest.raises(HomeworkError, match=r"return\.json goes over the limit"):
        unpacked(archive((RETURN, bytes(LARGEST_MEMBER_BYTES + 1))))


def test_members_that_are_small_each_and_large_together_are_refused() -> None:
    bomb = archive(*((take_name(number), bytes(LARGEST_MEMBER_BYTES)) for number in range(17)))

    assert len(bomb) < 200_000
    with pytest.raises(HomeworkError, match=r"takes/016\.mid goes over the limit"):
        unpacked(bomb)


def test_a_size_that_the_directory_lies_about_is_not_believed() -> None:
    data = bytearray(archive((RETURN, bytes(100))))
    at = data.index(b"PK\x01\x02") + 24
    data[at : at + 4] = (5).to_bytes(4, "little")

    with pytest.raises(HomeworkError, match="is damaged"):
        unpacked(bytes(data))


def test_more_members_than_takes_go_into_a_file_are_refused() -> None:
    many = archive(*((take_name(number), b"") for number in range(MOST_TAKES + 3)))

    with pytest.raises(HomeworkError, match=f"expected at most {MOST_TAKES} takes"):
        unpacked(many)


def test_a_directory_of_very_many_members_is_not_even_read() -> None:
    data = bytearray(archive((RETURN, b"x")))
    data[-10:-6] = (10**8).to_bytes(4, "little")

    with pytest.raises(HomeworkError, match="holds too many members"):
        unpacked(bytes(data))


@pytest.mark.parametrize("compression", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_other_compressions_are_refused(compression: int) -> None:
    with pytest.raises(HomeworkError, match="compression that homework does not use"):
        unpacked(archive((RETURN, b"x"), compression=compression))


def test_an_encrypted_member_is_refused() -> None:
    data = bytearray(archive((RETURN, b"x")))
    for signature, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        data[data.index(signature) + offset] |= 1

    with pytest.raises(HomeworkError, match="cannot be unpacked"):
        unpacked(bytes(data))


@pytest.mark.parametrize("data", [b"", b"PK", b"MThd", zlib.compress(b"x" * 99), bytes(1000)])
def test_what_is_no_archive_is_refused(data: bytes) -> None:
    with pytest.raises(HomeworkError, match="is not a file of homework"):
        unpacked(data)


def test_every_beginning_of_a_file_is_refused() -> None:
    data = packed({ASSIGNMENT: b'{"a": 1}'})

    for end in range(len(data)):
        with pytest.raises(HomeworkError):
            unpacked(data[:end])
