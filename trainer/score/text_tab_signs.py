r"""The signs on one string of text tablature: frets, what joins them, and what a line has no room for.

Signs, common practice, no source (there is no standard): `h` hammer-on, `p` pull-off, `/` `\` `s` slide, `t` tap; each
leads to the next fret on its string. Where dashes stand between the sign and that fret, it only counts as joined when
no other string plays in between: `7\` at the end of a phrase slides off to nowhere. `b` bend, `r` release, `~` `v` `w`
vibrato, `x` dead note, `<12>` `[12]` harmonic, `(7)` a note that sounds on or is barely played.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from trainer.score.limits import LAST_FRET
from trainer.score.text_tab_lines import TextTabError

_TOKEN = re.compile(r"\d+|[~vw]+|[-=.* ]+|.")
_JOINING = "hHpP/\\sStT^"
_OPENING = {"<": "harmonic", "[": "harmonic", "(": "bracket", "{": "bracket"}


class Unused(StrEnum):
    """What is read and not written into a line, in words."""

    BEND = "bend"
    VIBRATO = "vibrato"
    DEAD = "dead note"
    HARMONIC = "harmonic"
    BRACKET = "note in brackets"
    SLIDE_IN = "slide in from nowhere"
    SLIDE_OUT = "slide out to nowhere"
    UNKNOWN = "unknown sign"


@dataclass(frozen=True, slots=True)
class TabNote:
    """A fret on a string."""

    bar: int
    column: int
    """In its bar."""
    course: int
    fret: int
    sign: str = ""
    """What joins it to the fret before on its string: h, p, /, \\, s, t or nothing."""
    is_close: bool = True
    """Whether the sign stands right before it."""
    leads: bool = False
    """Whether a sign stands right behind it, and a fret right behind that."""
    is_bracketed: bool = False
    line: int = 0


@dataclass(frozen=True, slots=True)
class UnusedSign:
    """Something that a line has no room for."""

    kind: Unused
    bar: int
    text: str


class StringReader:
    """Reads one string from bar to bar; a sign at the end of a bar leads into the next."""

    def __init__(self, course: int) -> None:
        self.notes: list[TabNote] = []
        self.unused: list[UnusedSign] = []
        self._course = course
        self._sign = ""
        self._is_close = True
        self._is_bending = False
        self._opened = ""

    def read(self, text: str, bar: int, column: int, line: int) -> None:
        """Read what stands between two bar lines; `column` is where it begins in its bar."""
        self._opened = ""
        for match in _TOKEN.finditer(text):
            sign, at = match[0], column + match.start()
            if sign.isdecimal():
                self._number(sign, bar, at, line, text[match.end() : match.end() + 2])
            elif sign[0] in "-=.* ":
                self._is_close = self._is_bending = False
            elif sign in _JOINING:
                self._sign, self._is_close = ("h" if sign == "^" else sign.lower()), True
            else:
                self._other(sign, bar)

    def _number(self, sign: str, bar: int, column: int, line: int, behind: str) -> None:
        if self._is_bending:
            return  # the pitch that a bend reaches, not a note
        if int(sign[:4]) > LAST_FRET or len(sign) > 2:
            expected = f"expected frets from 0 to {LAST_FRET}, with a dash between two of them"
            raise TextTabError(f"string {self._course}: {expected}, found {sign[:10]}", line)
        if self._opened == "harmonic":
            self.unused.append(UnusedSign(Unused.HARMONIC, bar, sign))
        self.notes.append(
            TabNote(
                bar,
                column,
                self._course,
                int(sign),
                self._sign,
                self._is_close,
                leads=len(behind) == 2 and behind[0] in "/\\" and behind[1].isdecimal(),
                is_bracketed=self._opened == "bracket",
                line=line,
            )
        )
        self._sign = ""

    def _other(self, sign: str, bar: int) -> None:
        match sign[0]:
            case "b" | "B" | "r" | "R":
                if not self._is_bending:
                    self.unused.append(UnusedSign(Unused.BEND, bar, sign))
                self._is_bending = True
            case "~" | "v" | "w":
                self.unused.append(UnusedSign(Unused.VIBRATO, bar, sign))
            case "x" | "X":
                self.unused.append(UnusedSign(Unused.DEAD, bar, sign))
                self._sign = ""
            case "<" | "[" | "(" | "{":
                self._opened = _OPENING[sign]
            case ">" | "]" | ")" | "}":
                self._opened = ""
            case ":" | "o" | "+":
                pass  # the dots of a repeat sign, which is told apart by its bar lines
            case _:
                self.unused.append(UnusedSign(Unused.UNKNOWN, bar, sign))

    def left_over(self, bar: int) -> Iterator[UnusedSign]:
        """A sign that led to no fret at all."""
        if self._sign in ("/", "\\", "s"):
            yield UnusedSign(Unused.SLIDE_OUT, bar, self._sign)
