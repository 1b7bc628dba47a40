"""The plan of a day: what is played, for how long and why, with its breaks; things in it can be swapped and skipped.

Breaks are items of the plan. Nothing is gained by leaving one out: the minutes of a break are never given to playing,
and skipping it leaves a sentence that says how long is then played without one. Numbers of items stay as they were
first given, whatever is skipped.
"""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Self

PLAYED_AT_MOST = 20
"""Minutes between breaks, so that five minutes in every twenty-five are rest: common advice to players."""
CAUTIONS = (
    "Stop when anything hurts, tingles, goes numb or feels weak, and see a clinician if it stays: this is no medical "
    "advice. Your teacher's plan goes before this one."
)


class Kind(StrEnum):
    """What an item is for."""

    WARM_UP = "warm-up"
    LINE = "line"
    """A line by itself, at first."""
    SLOT = "in turn"
    """A line in a short slot, between others."""
    DRILL = "drill"
    REVIEW = "review"
    MUSIC = "music"
    BREAK = "break"


LINES = frozenset({Kind.LINE, Kind.SLOT})


class PlanError(ValueError):
    """A change that a plan does not have; `str()` is a sentence for the player."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What can be played in an item."""

    exercise: str
    """The name of a line; in music, the line whose key is played in."""
    title: str
    task: str
    """What to do."""
    why: str
    measured: str
    """What was measured, or that nothing was."""
    qpm: float
    passes: int
    start: str
    """The command that starts it."""
    stretch: tuple[int, int] | None = None
    """The first and the last note, when it is a part of the line."""


@dataclass(frozen=True, slots=True)
class Item:
    """One entry of a plan."""

    number: int
    kind: Kind
    minutes: int
    choice: Choice | None = None
    """None: a break."""
    others: tuple[Choice, ...] = ()
    """What may stand in its place, the nearest first."""

    @property
    def is_break(self) -> bool:
        """Whether the hands rest."""
        return self.kind is Kind.BREAK


@dataclass(frozen=True, slots=True)
class Plan:
    """A day, in order."""

    items: tuple[Item, ...]
    remarks: tuple[str, ...] = ()
    """What is not known yet, and what was changed."""

    @property
    def minutes(self) -> int:
        """From beginning to end, breaks included."""
        return sum(item.minutes for item in self.items)

    @property
    def longest_stretch_minutes(self) -> int:
        """The most that is played without a break."""
        return max(_stretches(self.items))

    def item(self, number: int) -> Item:
        """The item with this number; `PlanError` when there is none."""
        for item in self.items:
            if item.number == number:
                return item
        numbers = ", ".join(str(item.number) for item in self.items)
        raise PlanError(f"there is no item {number} in the plan: expected one of {numbers}")

    def swapped(self, number: int) -> Self:
        """The plan with something else of the same kind in an item; a line is swapped in all its slots."""
        item = self.item(number)
        if item.choice is None:
            raise PlanError(f"item {number} is a break: nothing is played in its place")
        taken = {each.choice.exercise for each in self.items if each.choice is not None and each.kind in LINES}
        is_line = item.kind in LINES
        fresh = [other for other in item.others if not is_line or other.exercise not in taken]
        if not fresh:
            raise PlanError(f"there is nothing else to put in the place of item {number}")
        chosen, out = fresh[0], item.choice
        return replace(
            self,
            items=tuple(
                _with(each, chosen) if each is item or (is_line and each.kind in LINES and each.choice == out) else each
                for each in self.items
            ),
        )

    def skipped(self, number: int) -> Self:
        """The plan without an item, and shorter by its minutes.

        A break that no longer has playing on both sides of it goes too.
        """
        item = self.item(number)
        if item.choice is not None and sum(not each.is_break for each in self.items) == 1:
            raise PlanError(f"item {number} is all that is left to play")
        left = _tidied(tuple(each for each in self.items if each is not item))
        if not item.is_break:
            return replace(self, items=left)
        place = self.items.index(item)
        before, after = _stretches(self.items[:place])[-1], _stretches(self.items[place + 1 :])[0]
        sentence = (
            f"Break {number} is skipped: {before + after} minutes are played on end, and this plan advises at most "
            f"{PLAYED_AT_MOST}. Its {item.minutes} minutes are not played instead; the plan ends earlier."
        )
        return replace(self, items=left, remarks=(*self.remarks, sentence))


@dataclass(frozen=True, slots=True)
class Day:
    """A plan, what it was made for, and what was begun of it."""

    plan: Plan
    minutes: int
    goal: str = ""
    """Empty: along the path."""
    started: tuple[int, ...] = ()
    """The numbers of its items."""

    @property
    def next_item(self) -> Item | None:
        """What comes behind the last item that was begun; None when nothing does."""
        begun = [place for place, item in enumerate(self.plan.items) if item.number in self.started]
        return next(iter(self.plan.items[begun[-1] + 1 if begun else 0 :]), None)


def _with(item: Item, chosen: Choice) -> Item:
    """The item with another choice; what stood there waits behind the others."""
    assert item.choice is not None  # noqa: S101 - breaks are not swapped
    return replace(item, choice=chosen, others=(*(other for other in item.others if other != chosen), item.choice))


def _tidied(items: tuple[Item, ...]) -> tuple[Item, ...]:
    """Without breaks that come first, last, or after another."""
    kept: list[Item] = []
    for item in items:
        if item.is_break and (not kept or kept[-1].is_break):
            continue
        kept.append(item)
    while kept and kept[-1].is_break:
        kept.pop()
    return tuple(kept)


def _stretches(items: tuple[Item, ...]) -> list[int]:
    """Minutes played between breaks."""
    stretches = [0]
    for item in items:
        if item.is_break:
            stretches.append(0)
        else:
            stretches[-1] += item.minutes
    return stretches
