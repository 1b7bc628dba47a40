"""Which exercises the list shows, and in which order: along the path or by name, narrowed by filters and by words."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from trainer.score.difficulty import Parts, parts_of
from trainer.score.exercise import Exercise
from trainer.score.finding import TECHNIQUES, Wanted, part_of, twins_of
from trainer.score.practice_path import PATH, step_of
from trainer.screens.words import key_words, line_words
from trainer.theory.naming import counted

BESIDE_THE_PATH = "Beside the path"
"""Over the exercises that no step names, such as one's own."""
FILTERS = ("order", "key", "technique", "difficulty", "tempo", "strings", "played")
BY_PATH, BY_NAME = "along the path", "by name"
NOT_PLAYED = "not played yet"

_DIFFICULTIES: tuple[tuple[str, str, float, float], ...] = (
    ("up to 2 notes a second", "notes a second", 0, 2),
    ("2 to 4 notes a second", "notes a second", 2, 4),
    ("4 to 6 notes a second", "notes a second", 4, 6),
    ("over 6 notes a second", "notes a second", 6.1, 1e9),
    ("no shift", "shifts", 0, 0),
    ("1 to 8 shifts", "shifts", 1, 8),
    ("over 8 shifts", "shifts", 9, 1e9),
    ("reach up to 100 mm", "widest reach mm", 0, 100),
    ("reach over 100 mm", "widest reach mm", 101, 1e9),
    ("no string change", "string changes", 0, 0),
    ("no string skip", "string skips", 0, 0),
    ("with string skips", "string skips", 1, 1e9),
)
"""Words, the part of difficulty, and its bounds, both included."""
_TEMPOS = (("up to ♩ = 60", 0, 60), ("♩ = 60 to 80", 60, 80), ("♩ = 80 to 100", 80, 100), ("over ♩ = 100", 101, None))


class Known(NamedTuple):
    """What has been read of the library."""

    exercises: tuple[Exercise, ...]
    complaint: str
    """What is wrong with the first one that cannot be read; empty without one."""


@dataclass(slots=True)
class ExerciseList:
    """The exercises and what narrows them; `played()` names those of which a take by a player is kept."""

    exercises: Sequence[Exercise]
    played: Callable[[], frozenset[str]] = frozenset
    typed: str = ""
    family_of: Exercise | None = None
    """Only this one and its twins."""
    choices: dict[str, int] = field(default_factory=dict)
    _shown: tuple[Exercise, ...] | None = None
    _headings: dict[int, str] | None = None
    _played: frozenset[str] | None = None
    _parts: dict[str, Parts] = field(default_factory=dict)
    _texts: dict[str, str] = field(default_factory=dict)
    _twins: tuple[Exercise, tuple[Exercise, ...]] | None = None

    def take_in(self, exercises: Sequence[Exercise]) -> None:
        """There are other exercises now."""
        self.exercises, self._twins = exercises, None
        self._texts.clear()
        self._parts.clear()
        self._forget()

    def _forget(self) -> None:
        """What is shown is to be worked out anew."""
        self._shown = self._headings = None

    def options(self, name: str) -> tuple[str, ...]:
        """What a filter can be; the first does not narrow."""
        match name:
            case "order":
                return (BY_PATH, BY_NAME)
            case "key":
                return ("any key", *self._keys)
            case "technique":
                return ("any technique", *TECHNIQUES)
            case "difficulty":
                return ("any difficulty", *(words for words, *_ in _DIFFICULTIES))
            case "tempo":
                return ("any tempo", *(words for words, *_ in _TEMPOS))
            case "strings":
                return ("any strings", *(counted(number, "string") for number in self._strings))
            case _:
                return ("played or not", NOT_PLAYED)

    def words(self, name: str) -> str:
        """What a filter is."""
        words = self.options(name)[self.choices.get(name, 0)]
        return key_words(words) if name == "key" else words

    def step(self, name: str, step: int) -> None:
        """Another choice of a filter, round and round."""
        self.choices[name] = (self.choices.get(name, 0) + step) % len(self.options(name))
        self._forget()

    def clear(self) -> bool:
        """Let go the last thing that narrows the list; whether there was one."""
        if self.typed:
            self.search("")
        elif self.family_of is not None:
            self.only_family_of(None)
        elif any(place for name, place in self.choices.items() if name != "order"):
            self.choices = {"order": self.choices.get("order", 0)}
        else:
            return False
        self._forget()
        return True

    def search(self, typed: str) -> None:
        """Only what has all these words in title, key, strings or tags."""
        self.typed = typed
        self._forget()

    def only_family_of(self, line: Exercise | None) -> None:
        """Only this exercise and its twins; None: all again."""
        self.family_of = line
        self._forget()

    def twins(self, line: Exercise) -> tuple[Exercise, ...]:
        """The twins of an exercise; looked for when another one is asked about, not in each frame."""
        if self._twins is None or self._twins[0] is not line:
            self._twins = line, twins_of(line, self.exercises)
        return self._twins[1]

    @property
    def shown(self) -> tuple[Exercise, ...]:
        """What is shown, in order; worked out when something changes, not in each frame."""
        if self._shown is None:
            self._shown = self._narrowed()
        return self._shown

    @property
    def headings(self) -> Mapping[int, str]:
        """Along the path, the title of each step by the place in `shown` that it stands over."""
        if self._headings is None:
            self._headings = self._worked_out_headings()
        return self._headings

    def _worked_out_headings(self) -> dict[int, str]:
        if self.choices.get("order", 0) or self.family_of is not None:
            return {}
        found: dict[int, str] = {}
        before: str | None = None
        for place, line in enumerate(self.shown):
            step = step_of(line.name)
            title = BESIDE_THE_PATH if step is None else f"{step.number}  {step.title}"
            if title != before:
                found[place] = before = title
        return found

    @property
    def _strings(self) -> list[int]:
        """Every number of strings that a line uses."""
        return sorted({len(line.courses) for line in self.exercises})

    @property
    def _keys(self) -> tuple[str, ...]:
        """Every scale that occurs, then every key."""
        keys = sorted({line.key for line in self.exercises if line.key})
        return (*sorted({scale for key in keys if (scale := key.partition(" ")[2])}), *keys)

    def _narrowed(self) -> tuple[Exercise, ...]:
        wanted, words = self._wanted(), self.typed.lower().split()
        origin = self.family_of
        family = None if origin is None else {origin.name, *(one.name for one in twins_of(origin, self.exercises))}
        found = [
            line
            for line in self.exercises
            if (family is None or line.name in family)
            and (not words or all(word in self._text(line) for word in words))
            and wanted.fits(line)
            and self._fits_difficulty(line)
        ]
        if self.words("order") == BY_PATH:
            found.sort(key=_place_on_path)
        return tuple(found)

    def _text(self, line: Exercise) -> str:
        """What words are looked for in."""
        if line.name not in self._texts:
            self._texts[line.name] = f"{line.title} {line_words(line)} {' '.join(line.tags)}".lower()
        return self._texts[line.name]

    def _wanted(self) -> Wanted:
        at = self.choices.get
        technique = self.options("technique")[at("technique", 0)] if at("technique", 0) else None
        _, slowest, fastest = _TEMPOS[at("tempo", 0) - 1] if at("tempo", 0) else ("", 0, None)
        if at("played", 0) and self._played is None:
            self._played = self.played()
        return Wanted(
            key=self.options("key")[at("key", 0)] if at("key", 0) else "",
            strings=self._strings[at("strings", 0) - 1] if at("strings", 0) else None,
            techniques=frozenset({technique} if technique else ()),
            slowest=Fraction(slowest),
            fastest=None if fastest is None else Fraction(fastest),
            besides=(self._played or frozenset()) if at("played", 0) else frozenset(),
        )

    def _fits_difficulty(self, line: Exercise) -> bool:
        place = self.choices.get("difficulty", 0)
        if not place:
            return True
        if line.name not in self._parts:
            self._parts[line.name] = parts_of(line)
        _, part, least, most = _DIFFICULTIES[place - 1]
        return least <= part_of(self._parts[line.name], part) <= most


_PLACES = {name: place for place, name in enumerate(name for step in PATH for name in step.exercises)}


def _place_on_path(line: Exercise) -> tuple[int, str]:
    """Along the path, and what is beside it by title at the end."""
    return _PLACES.get(line.name, len(_PLACES)), line.title if line.name not in _PLACES else ""
