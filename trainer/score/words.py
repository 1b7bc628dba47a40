"""The small words that routes, cells and rhythms are written with."""

from trainer.theory.naming import UnknownWord

_NUMBERS = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}


def number_of(word: str) -> int | None:
    """The whole number that a word or figure stands for; None when it stands for none."""
    if word.isascii() and word.isdigit() and len(word) <= 6:
        return int(word)
    return _NUMBERS.get(word.lower())


def whole_number(word: str, expected: str) -> int:
    """The whole number that a word or figure stands for; `UnknownWord` when it stands for none."""
    number = number_of(word)
    if number is None:
        raise UnknownWord(word, expected)
    return number


def number_word(number: int) -> str:
    """A whole number as it is written in a sentence: in words up to eight.

    >>> number_word(4), number_word(12)
    ('four', '12')
    """
    return next((word for word, value in _NUMBERS.items() if value == number and number > 1), str(number))


class Words:
    """The words of a text, taken one after the other."""

    def __init__(self, text: str) -> None:
        self._rest = text.replace(",", " ").split()
        self._rest.reverse()

    def __bool__(self) -> bool:
        return bool(self._rest)

    @property
    def next(self) -> str:
        """The word to come in lower case; empty at the end."""
        return self._rest[-1].lower() if self._rest else ""

    @property
    def after_next(self) -> str:
        """The word after the one to come in lower case; empty when there is none."""
        return self._rest[-2].lower() if len(self._rest) > 1 else ""

    def take(self, expected: str) -> str:
        """The next word as written; `UnknownWord` at the end of the text."""
        if not self._rest:
            raise UnknownWord("", expected)
        return self._rest.pop()

    def skip(self, *words: str) -> bool:
        """Pass over the words that come if they are these; whether they were."""
        if tuple(word.lower() for word in reversed(self._rest[-len(words) :])) != words:
            return False
        del self._rest[-len(words) :]
        return True

    def number(self, expected: str) -> int:
        """The next word as a whole number; `UnknownWord` for anything else."""
        return whole_number(self.take(expected), expected)
