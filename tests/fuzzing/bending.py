"""Edits: how bytes, words and JSON values are bent, each by three whole numbers."""

import json
import re
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple, TypeVar

T = TypeVar("T")


class Edit(NamedTuple):
    """One edit: what is done, where, and with what; each number is taken modulo whatever there is to choose from."""

    kind: int
    where: int
    what: int


Bend = Callable[[T, Edit, Sequence[T]], T]
"""(what there is now, the edit, the valid ones to take parts from) -> what there is then."""

ODD_BYTES = (0, 1, 0x3F, 0x40, 0x7F, 0x80, 0xC0, 0xF0, 0xF7, 0xFE, 0xFF)
ODD_NUMBERS = (0, 1, 2, 0x7F, 0x80, 0xFF, 0x100, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF)
ODD_WORDS = (
    *("", "0", "-1", "1/0", "0/0", "1e999", "1e999999999", "nan", "inf", "-0", "3/2", "00007", "9" * 400, "9" * 5000),
    *("\0", "\ud800", "\u202e", "\ufeff", "é", "弦", "\U0001f3b8", "\u0661", "½", "²", "\r", "\x0b", "\u2028", "\t"),
    *("#", '"', "'", '"""', "'''", "\\", "\\u", "[", "]", "[[", "{", "}", "=", ":", ";", ",", "|", "-", "~", "/", "*"),
    *("true", "null", "None", "1979-05-27", "0x10", "0b1", "1_0", "pick", "slide", "-" * 300, "x" * 3000),
)
ODD_VALUES: tuple[Any, ...] = (
    *(None, True, False, 0, 1, -1, 2**31, 2**63, 10**40, 0.5, -0.0, 1e308, [], {}, [[]], [None], {"a": {}}),
    *ODD_WORDS,
)
_WORD = re.compile(r"[0-9]+|[^\W0-9]+|\s+|.", re.DOTALL)


def chosen(number: int, among: Sequence[T]) -> T:
    """One of several."""
    return among[number % len(among)]


def bent_bytes(data: bytes, edit: Edit, seeds: Sequence[bytes]) -> bytes:
    """Bytes set, taken out, put in, doubled, cut off, or gone on with those of another file."""
    at = edit.where % (len(data) + 1)
    head, tail = data[:at], data[at:]
    match edit.kind % 9:
        case 0:
            return head + bytes((edit.what % 256,)) + tail[1:]
        case 1:
            return head + bytes((chosen(edit.what, ODD_BYTES),)) + tail[1:]
        case 2:
            return head + tail[1 + edit.what % 16 :]
        case 3:
            return head + tail[: 1 + edit.what % 64] * (1 + edit.what % 3) + tail
        case 4:
            return head + edit.what.to_bytes(8, "little")[: 1 + edit.what % 8] + tail
        case 5:
            return head
        case 6:
            other = chosen(edit.what, seeds)
            return head + other[edit.what % (len(other) + 1) :]
        case 7:
            return head + chosen(edit.what, ODD_NUMBERS).to_bytes(4) + tail[4:]
        case _:
            length = 1 + edit.what % 32
            return head + tail[length : 2 * length] + tail[:length] + tail[2 * length :]


def bent_words(text: str, edit: Edit, seeds: Sequence[str]) -> str:
    """Words or lines taken out, doubled, moved, or put in the place of others; numbers become others."""
    parts = text.splitlines(keepends=True) if edit.kind % 12 in (0, 1, 2) else _WORD.findall(text)
    if not parts:
        return chosen(edit.what, seeds)
    at, to = edit.where % len(parts), edit.what % len(parts)
    match edit.kind % 12:
        case 0 | 3:
            del parts[at]
        case 1 | 4:
            parts.insert(to, parts[at])
        case 2 | 5:
            parts[at], parts[to] = parts[to], parts[at]
        case 6:
            parts[at] = chosen(edit.what, ODD_WORDS)
        case 7:
            parts.insert(at, chosen(edit.what, ODD_WORDS))
        case 8:
            parts[at] = chosen(edit.what, _WORD.findall(chosen(edit.what, seeds)) or [""])
        case 9:
            parts[at] *= 1 + edit.what % 40
        case 10 | 11:
            numbers = [place for place, part in enumerate(parts) if part.isdecimal()] or [at]
            parts[chosen(edit.where, numbers)] = str(edit.what if edit.what % 2 else edit.what % 30 - 3)
    return "".join(parts)


def bent_json(text: str, edit: Edit, seeds: Sequence[str]) -> str:
    """A value anywhere in a JSON text replaced, taken out, doubled or called otherwise; sometimes its words bent."""
    try:
        values = json.loads(text)
    except (ValueError, RecursionError):
        return bent_words(text, edit, seeds)
    places = _places(values)
    if edit.kind % 8 == 0 or not places:
        return bent_words(text, edit, seeds)
    holder, key = places[edit.where % len(places)]
    match edit.kind % 8:
        case 1 | 2 | 3:
            holder[key] = chosen(edit.what, ODD_VALUES)
        case 4:
            del holder[key]
        case 5 if isinstance(holder, list):
            holder[key:key] = [holder[key]] * (1 + edit.what % 5)
        case 5:
            holder[chosen(edit.what, ODD_WORDS)] = holder[key]
        case 6:
            other, other_key = places[edit.what % len(places)]
            holder[key] = json.loads(json.dumps(other[other_key]))
        case _:
            value = holder[key]
            is_number = isinstance(value, int | float)
            holder[key] = value + edit.what % 7 - 3 if is_number else bent_words(str(value), edit, seeds)[:9000]
    return json.dumps(values)


def _places(values: Any) -> list[tuple[Any, Any]]:
    """(holder, key) of every value in a JSON value."""
    found: list[tuple[Any, Any]] = []
    waiting = [values] if isinstance(values, dict | list) else []
    while waiting:
        holder = waiting.pop()
        inside = list(holder.items()) if isinstance(holder, dict) else list(enumerate(holder))
        for key, value in inside:
            found.append((holder, key))
            if isinstance(value, dict | list):
                waiting.append(value)
    return found
