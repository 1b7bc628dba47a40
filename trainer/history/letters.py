"""Verdicts on written notes as letters: one a note, a pass is a word.

Outcomes
--------
`.` matched within the hit window, `<` matched but earlier than that, `>` later; `p` another pitch, `s` another string
in its place; `x` missed; `_` open: never reached. All but the window can be read back; that is in the deviations. No
word begins with a sign that a spreadsheet takes for a formula.

Techniques
----------
A small letter: begun as written, as the stream tells (`p`ick, `h`ammer, pul`l`, `s`lide). A capital: begun otherwise
than written, namely so; `!` otherwise, though not told how. `.` taken as written where the stream leaves it open, `?`
not measurable, a blank: nothing was said.
"""

from trainer.following.verdict import TechniqueResult
from trainer.theory.technique import Technique

WITHIN, EARLY, LATE, PITCH, STRING, MISSED, OPEN = ".<>psx_"
MATCHED = frozenset((WITHIN, EARLY, LATE))
WRONG = frozenset((PITCH, STRING))
UNSAID = " "

_LETTERS = {Technique.PICK: "p", Technique.HAMMER: "h", Technique.PULL: "l", Technique.SLIDE: "s"}
TECHNIQUE_LETTERS: dict[tuple[TechniqueResult, Technique | None], str] = {
    **{(TechniqueResult.AS_WRITTEN, technique): letter for technique, letter in _LETTERS.items()},
    **{(TechniqueResult.OTHERWISE, technique): letter.upper() for technique, letter in _LETTERS.items()},
    (TechniqueResult.AS_WRITTEN, None): ".",
    (TechniqueResult.OTHERWISE, None): "!",
    (TechniqueResult.NOT_MEASURABLE, None): "?",
    **{  # told, yet not to be judged: no ear says so today
        (TechniqueResult.NOT_MEASURABLE, technique): digit for technique, digit in zip(_LETTERS, "1234", strict=True)
    },
}
TECHNIQUES_BY_LETTER = {letter: told for told, letter in TECHNIQUE_LETTERS.items()}
