"""Words: finding what those mean that people type, saying what they may have meant, and counting.

Names are compared without case; spaces, underscores and hyphens are one and the same.
"""

from collections.abc import Iterable, Mapping, Sequence
from difflib import SequenceMatcher
from typing import TypeVar

V = TypeVar("V")

# A word less like every choice than this is not a slip of the finger; then the choices themselves are shown.
LIKENESS_OF_A_SLIP = 0.5
MOST_CHOICES_SHOWN = 12


class UnknownWord(ValueError):  # noqa: N818 - it names what was found, as `KeyError` names the key
    """A word that means nothing here; `str()` says what was expected and the nearest valid word."""

    def __init__(self, word: str, expected: str, choices: Iterable[str] = ()) -> None:
        self.word = word
        self.expected = expected
        self.nearest = nearest(word, choices := tuple(choices))
        hint = ""
        if self.nearest is not None:
            hint = f"; nearest: {self.nearest!r}"
        elif 0 < len(choices) <= MOST_CHOICES_SHOWN:
            hint = f": {', '.join(choices)}"
        super().__init__(f"{word!r} is not {expected}{hint}" if word else f"expected {expected}{hint}")


def folded(name: str) -> str:
    """`name` as it is compared: lower case, with hyphens for spaces and underscores."""
    return "-".join(name.lower().replace("_", " ").replace("-", " ").split())


def nearest(word: str, choices: Iterable[str]) -> str | None:
    """The choice most like `word`; None when no choice is like it."""

    def likeness(choice: str) -> float:
        return SequenceMatcher(None, folded(word), folded(choice)).ratio()

    # The ratio is at most twice the shorter length by the sum of both: what is far too long need not be compared.
    near = (choice for choice in choices if 3 * len(folded(choice)) >= len(folded(word)))
    best = max(near, key=likeness, default=None)
    return best if best is not None and likeness(best) >= LIKENESS_OF_A_SLIP else None


def named(name: str, values: Mapping[str, V], expected: str) -> V:
    """The value filed under `name`; `UnknownWord` with the nearest name when there is none."""
    for key, value in values.items():
        if folded(key) == folded(name):
            return value
    raise UnknownWord(name, expected, values)


def counted(number: int, noun: str, plural: str = "") -> str:
    """A number with its noun.

    >>> counted(1, "pass"), counted(3, "pass"), counted(0, "more try", "more tries")
    ('1 pass', '3 passes', '0 more tries')
    """
    return f"{number} {noun if number == 1 else plural or noun + ('es' if noun.endswith('s') else 's')}"


def listed(words: Sequence[str]) -> str:
    """Words as a sentence lists them.

    >>> listed(["slides", "shifts", "turns"])
    'slides, shifts and turns'
    """
    return " and ".join(filter(None, [", ".join(words[:-1]), *words[-1:]]))
