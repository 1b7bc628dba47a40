"""Finding exercises: by words, key, strings, technique, tempo, parts of difficulty, family, and step of the path."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, fields
from fractions import Fraction

from trainer.score.difficulty import Parts, parts_of
from trainer.score.exercise import Exercise
from trainer.score.practice_path import step_of
from trainer.theory.naming import UnknownWord, folded, named
from trainer.theory.technique import Technique

PART_NAMES = tuple(part.name.replace("_", " ") for part in fields(Parts))
"""The parts of difficulty as they are called in words, e.g. `notes a second`."""

TECHNIQUES: Mapping[str, Callable[[Exercise], bool]] = {
    "picked": lambda line: all(note.technique in {Technique.PICK, Technique.SLIDE} for note in line.notes),
    "legato": lambda line: any(note.technique in {Technique.HAMMER, Technique.PULL} for note in line.notes),
    "slid": lambda line: any(note.technique is Technique.SLIDE for note in line.notes),
    "unslid": lambda line: all(note.technique is not Technique.SLIDE for note in line.notes),
    "double stops": lambda line: len({note.onset_quarters for note in line.notes}) < len(line.notes),
}


def part_of(parts: Parts, name: str) -> float:
    """The part of a difficulty that is called `name` in words; `UnknownWord` with the nearest one."""
    by_name = dict(zip(PART_NAMES, (getattr(parts, part.name) for part in fields(Parts)), strict=True))
    return float(named(name, by_name, "a part of difficulty"))


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is looked for; what is empty or None does not matter."""

    words: tuple[str, ...] = ()
    """All of them in the name, title, key, text or tags."""
    tags: frozenset[str] = frozenset()
    key: str = ""
    """Words that the key begins with, or its scale is, e.g. `A minor`, `dorian`."""
    strings: int | None = None
    techniques: frozenset[str] = frozenset()
    slowest: Fraction = Fraction(0)
    fastest: Fraction | None = None
    at_least: Mapping[str, float] = field(default_factory=dict)
    at_most: Mapping[str, float] = field(default_factory=dict)
    """Parts of difficulty and their bounds, both included."""
    family: str = ""
    """The name of an exercise: it and its twins."""
    step: int | None = None
    """Of the path."""
    besides: frozenset[str] = frozenset()
    """Names that are left out, such as those that were played."""

    def __post_init__(self) -> None:
        for name in self.techniques:
            if name not in TECHNIQUES:
                raise UnknownWord(name, "a technique", TECHNIQUES)
        for name in (*self.at_least, *self.at_most):
            if folded(name) not in map(folded, PART_NAMES):
                raise UnknownWord(name, "a part of difficulty", PART_NAMES)

    def fits(self, line: Exercise) -> bool:
        """Whether an exercise is all that is wanted."""
        text = " ".join((line.name, line.title, line.key, line.about, *line.tags)).lower()
        tempo = line.tempo.quarters_per_minute
        step = step_of(line.name)
        return (
            line.name not in self.besides
            and all(word.lower() in text for word in self.words)
            and self.tags <= set(line.tags)
            and self._fits_key(line.key.lower())
            and (self.strings is None or len(line.courses) == self.strings)
            and all(TECHNIQUES[name](line) for name in self.techniques)
            and self.slowest <= tempo
            and (self.fastest is None or tempo <= self.fastest)
            and (not self.family or self.family in {line.name, line.family})
            and (self.step is None or (step is not None and step.number == self.step))
            and self._fits_parts(line)
        )

    def _fits_key(self, key: str) -> bool:
        wanted = self.key.lower()
        return not wanted or f"{key} ".startswith(f"{wanted} ") or key.partition(" ")[2] == wanted

    def _fits_parts(self, line: Exercise) -> bool:
        if not self.at_least and not self.at_most:
            return True
        parts = parts_of(line)
        return all(part_of(parts, name) >= bound for name, bound in self.at_least.items()) and all(
            part_of(parts, name) <= bound for name, bound in self.at_most.items()
        )


def twins_of(line: Exercise, lines: Iterable[Exercise]) -> tuple[Exercise, ...]:
    """Those of `lines` that are variations of what `line` is a variation of, and that one; `line` not among them."""
    family = line.family or line.name
    return tuple(other for other in lines if other.name != line.name and family in {other.name, other.family})
