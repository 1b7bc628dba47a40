"""What is being made: a line in words, or a variation of an exercise, with the rows that change it.

A bench is a value: every change gives another one, so that a change is taken back by going back to the one before. Both
kinds keep showing the last line that could be played while what was asked for cannot be.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from random import Random

from trainer.score.articulation import Articulation
from trainer.score.cell_words import SIZES
from trainer.score.compose import compose
from trainer.score.errors import ExerciseError, Unplayable
from trainer.score.exercise import Exercise
from trainer.score.line_editing import Draft, draft_of, fields_said, with_field
from trainer.score.note_list import note_list_text
from trainer.score.note_variations import varied_notes
from trainer.score.one_line import LineProblem, line_of, name_of_line
from trainer.score.recipe import Recipe
from trainer.score.toml_writing import recipe_to_toml
from trainer.score.variations import surprise, varied
from trainer.screens.pickers import ACCENTS, GROUPS, RHYTHMS, ROOTS, STARTS, Pick, Picker, pickers_of
from trainer.screens.words import key_words

FIRST_LINE = "A minor pentatonic, strings 1-2, climb by one from 1 for 4, fours down, eighths, 72"
"""What a builder without a line to begin with shows."""
AS_IT_IS = "as it is"
CHANCE = "chance"
"""The row that draws a variation."""
DRAWS = 12
TEMPOS = ("60%", "70%", "80%", "90%", "110%", "120%")


@dataclass(frozen=True, slots=True)
class Heading:
    """What a line is besides its notes: kept apart from the text, which would grow long by it."""

    title: str = ""
    about: str = ""
    tags: tuple[str, ...] = ()
    family: str = ""

    def over(self, recipe: Recipe) -> Recipe:
        """The recipe with these words where it has none of its own."""
        words = {"title": self.title, "about": self.about, "tags": self.tags, "family": self.family}
        return recipe.model_copy(update={name: word for name, word in words.items() if not getattr(recipe, name)})


NO_HEADING = Heading()


@dataclass(frozen=True, slots=True)
class LineBench:
    """A line in words, to which every row is a word."""

    draft: Draft
    recipe: Recipe
    """What the rows are about: what the line says, or said last when it could be read."""
    shown: Exercise
    """What the line plays, or played last when it could be."""
    heading: Heading = NO_HEADING

    caption = "Build an exercise"
    groups = GROUPS

    @property
    def text(self) -> str:
        """The line."""
        return self.draft.text

    @property
    def exercise(self) -> Exercise | None:
        """What it plays; None when it cannot be played."""
        return self.draft.exercise and replace(
            self.draft.exercise, title=self.suggested_title, family=self.heading.family or self.draft.exercise.family
        )

    @property
    def problems(self) -> tuple[LineProblem, ...]:
        """What is wrong, with the columns of the text."""
        return self.draft.problems

    @property
    def rows(self) -> tuple[Picker, ...]:
        """What can be picked."""
        return pickers_of(self.recipe)

    @property
    def suggested_title(self) -> str:
        """What it might be called."""
        said = self.draft.recipe.title if self.draft.recipe else ""
        return said or self.heading.title or f"{key_words(self.recipe.key.name)}, new line"

    def clause_of(self, row: int) -> tuple[int, int] | None:
        """Where the text says what a row shows: its columns; None where it does not say it."""
        return fields_said(self.text).get(self.rows[row].field)

    def with_pick(self, row: int, pick: Pick) -> "LineBench":
        """The line with another choice in a row."""
        return self.with_text(with_field(self.text, self.recipe, self.rows[row].field, pick.value))

    def with_text(self, text: str) -> "LineBench":
        """The line as it is written now."""
        draft = draft_of(text)
        return replace(self, draft=draft, recipe=draft.recipe or self.recipe, shown=draft.exercise or self.shown)

    def file_text(self, title: str) -> str:
        """The file to keep; only of a line that can be played."""
        heading = replace(self.heading, title=title)
        return recipe_to_toml(heading.over(self.recipe.model_copy(update={"title": ""})))


def line_bench(text: str = FIRST_LINE, heading: Heading = NO_HEADING) -> LineBench:
    """A bench for a line that can be played; the first line where it cannot."""
    draft = draft_of(text)
    if draft.recipe is None or draft.exercise is None:
        first = line_bench()
        return replace(first.with_text(text), heading=heading)
    return LineBench(draft, draft.recipe, draft.exercise, heading)


def bench_of(recipe: Recipe) -> LineBench:
    """A bench that begins with the line of another exercise and is to become one of its own."""
    return line_bench(_bare_line(recipe))


def _bare_line(recipe: Recipe) -> str:
    return line_of(recipe.model_copy(update={"title": "", "about": "", "tags": (), "family": ""}))


@dataclass(frozen=True, slots=True)
class VariationBench:
    """A variation of an exercise: every row is one change of it."""

    origin: Exercise
    recipe: Recipe | None
    """The origin's; None when it only lists its notes."""
    shown: Exercise
    exercise: Exercise | None
    """What was made of it; None when that cannot be played."""
    made: Recipe | None = None
    changes: Mapping[str, str] = field(default_factory=dict)
    draw: int = 0
    """Which draw of chance the changes are; 0: none."""
    problems: tuple[LineProblem, ...] = ()

    @property
    def caption(self) -> str:
        """What is being done."""
        return f"Vary {self.origin.title}"

    @property
    def groups(self) -> tuple[int, ...]:
        """How many rows belong together."""
        return (1, 4, 5, 4) if self.recipe else (5,)

    @property
    def text(self) -> str:
        """The line that it is; empty for one that lists its notes."""
        return "" if self.made is None else _bare_line(self.made)

    @property
    def rows(self) -> tuple[Picker, ...]:
        """What can be changed."""
        if self.recipe is None:
            return tuple(_change_row(name, word, picks, self.changes) for name, word, picks in _NOTE_ROWS)
        draws = (Pick("no", "0"), *(Pick(f"draw {number}", str(number)) for number in range(1, DRAWS + 1)))
        chance = Picker("surprise me", CHANCE, draws, self.draw, draws[self.draw].words, is_quiet=not self.draw)
        return (chance, *(_change_row(*row, self.changes) for row in _recipe_rows(self.recipe)))

    @property
    def suggested_title(self) -> str:
        """The origin's title with what was changed."""
        return (self.exercise or self.shown).title

    def clause_of(self, row: int) -> None:
        """The text cannot be written in here."""

    def with_pick(self, row: int, pick: Pick) -> "VariationBench":
        """The origin with another change, or with those that chance draws."""
        word, value = self.rows[row].field, str(pick.value)
        if word == CHANCE and self.recipe is not None and int(value):
            try:
                _, drawn = surprise(self.recipe, self.origin.name, Random(int(value)))
            except (ExerciseError, Unplayable) as error:
                return replace(self, exercise=None, problems=(LineProblem(0, 0, str(error).splitlines()[0]),))
            return self._changed(drawn, int(value))
        kept = {one: what for one, what in self.changes.items() if one != word} if word != CHANCE else {}
        return self._changed(kept | ({word: value} if value and word != CHANCE else {}), 0)

    def _changed(self, changes: Mapping[str, str], draw: int) -> "VariationBench":
        other = replace(self, changes=changes, draw=draw, problems=())
        try:
            if not changes:
                return replace(other, exercise=self.origin, shown=self.origin, made=self.recipe)
            if self.recipe is None:
                made = varied_notes(self.origin, changes)
                return replace(other, exercise=made, shown=made)
            recipe = varied(self.recipe, changes, self.origin.name)
            other = replace(other, made=recipe)  # its words are shown even when it cannot be played
            name = name_of_line(" ".join((self.origin.name, *(f"{word} {what}" for word, what in changes.items()))))
            made = compose(recipe, name)
            return replace(other, exercise=made, shown=made)
        except (ExerciseError, Unplayable) as error:
            told = f"{error.field}: {error}" if isinstance(error, Unplayable) else str(error)
            return replace(other, exercise=None, problems=(LineProblem(0, 0, told.splitlines()[0]),))

    def as_line(self) -> LineBench | None:
        """The same to be written on in words, still a twin; None for a line that has none."""
        if self.made is None:
            return None
        made = self.made
        return line_bench(self.text, Heading(made.title, made.about, made.tags, made.family if self.changes else ""))

    def file_text(self, title: str) -> str:
        """The file to keep."""
        if self.made is None:
            return note_list_text(replace(self.exercise or self.shown, title=title))
        return recipe_to_toml(self.made.model_copy(update={"title": title}))


Bench = LineBench | VariationBench


def variation_bench(origin: Exercise, recipe: Recipe | None) -> VariationBench:
    """A bench on which an exercise is varied; nothing is changed yet."""
    return VariationBench(origin, recipe, origin, origin, recipe)


Change = tuple[str, str, tuple[Pick, ...]]
"""A row's name, the word of the change, and what it may become."""


def _change_row(name: str, word: str, picks: tuple[Pick, ...], changes: Mapping[str, str]) -> Picker:
    offered = (Pick(AS_IT_IS, ""), *picks)
    values = [pick.value for pick in offered]
    value = changes.get(word, "")
    now = values.index(value) if value in values else None
    return Picker(name, word, offered, now, offered[now].words if now is not None else value, is_quiet=now == 0)


def _same(values: tuple[str, ...]) -> tuple[Pick, ...]:
    return tuple(Pick(value, value) for value in values)


_DIRECTIONS = (Pick("the other way round", "turned"),)
_SLURS = _same(tuple(Articulation))
_TEMPOS = tuple(Pick(f"{share[:-1]} %", share) for share in TEMPOS)
_SEMITONES = tuple(
    Pick(f"{abs(n)} {'semitone' if abs(n) == 1 else 'semitones'} {'up' if n > 0 else 'down'}", f"{n:+d}")
    for n in (*range(1, 8), *range(-1, -8, -1))
)
_NOTE_ROWS: tuple[Change, ...] = (
    ("key", "key", _SEMITONES),
    ("direction", "direction", _DIRECTIONS),
    ("picking", "articulation", _same(("picked", "legato"))),
    ("slides", "slid", (Pick("picked instead", "no"),)),
    ("tempo", "tempo", _TEMPOS),
)


def _recipe_rows(recipe: Recipe) -> tuple[Change, ...]:
    """Every change but chance, in the words of `score/variations`."""
    rows = {row.name: row.picks for row in pickers_of(recipe)}

    def texts(name: str) -> tuple[Pick, ...]:
        return tuple(Pick(pick.words, str(pick.value)) for pick in rows[name])

    return (
        ("key", "key", tuple(Pick(key_words(root), root) for root in ROOTS)),
        ("strings", "strings", texts("strings")),
        ("tuning", "tuning", texts("tuning")),
        ("positions", "route", texts("positions")),
        ("picking", "articulation", _SLURS),
        ("shifts", "slid", (Pick("slid", "yes"), Pick("picked", "no"))),
        ("mirrored", "mirrored", (Pick("upside down", "yes"),)),
        ("direction", "direction", _DIRECTIONS),
        ("in groups of", "grouping", _same(tuple(SIZES))),
        ("rhythm", "rhythm", _same(RHYTHMS)),
        ("accents on", "accents", _same(ACCENTS)),
        ("begins", "start", tuple(Pick(pick.words, _article(str(pick.value))) for pick in _same(STARTS))),
        ("tempo", "tempo", _TEMPOS),
    )


def _article(start: str) -> str:
    """A start in the words that chance draws it in."""
    word = start.removeprefix("after ")
    return start if word == start else f"after {'an' if word[0] in 'aeiou' else 'a'} {word}"
