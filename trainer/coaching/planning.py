"""Making the plan of a day, from the minutes there are, a goal, and what is known of the player.

What the order rests on, and how far it carries:

- First each line by itself, then in short slots by turns. Mixed practice was better for keeping and transferring skills
  in laboratory tasks (Shea and Morgan 1979); ten clarinettists were rated better on the next day after 3-minute slots
  where there was a difference (Carter and Grahn 2016); in applied settings the mean gain was not significant, and
  nineteen beginners showed none. So it is the order here, and nothing is promised of it.
- Reviews come after days, each time about twice as many: speed and accuracy gained over a night in piano sequences
  (Simmons 2012); lags within a quarter of an hour did nothing (Wiseheart et al. 2017). The doubling is of our own
  choice.
- Two new lines of one family are not begun on one day: learning a second, similar melody on an evening undid the gain
  of the night (Allen 2013).
- Five minutes of rest in twenty-five, warming up and varying material are common advice to players.

All lengths and shares are of our own choice, no source.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from trainer.coaching.clean import notes_a_second
from trainer.coaching.known import Known, KnownLine, days_ago_in_words
from trainer.coaching.plan import PLAYED_AT_MOST, Choice, Item, Kind, Plan
from trainer.score.exercise import Exercise
from trainer.score.practice_path import PATH, PathStep, step_of
from trainer.theory.naming import UnknownWord, counted, folded

SHORTEST, LONGEST = 5, 180
BREAK_MINUTES = 5
SLOT_MINUTES = 3
LONGEST_BLOCK = 36
"""After so many minutes other lines come: one passage is not repeated for an hour."""
WARM_UP_SHARE, NEW_SHARE, BEGUN_SHARE = 0.6, 0.7, 0.8
"""Of a line's own tempo: for warming up, for a line that is new, for one that was never clean."""
PLAYED_SHARE = 0.6
"""Of the minutes of an item: the rest of it the hands rest, or one thinks."""
MOST_OTHERS = 4
LONGEST_GAP_DAYS = 32


@dataclass(frozen=True, slots=True)
class _Shares:
    """Minutes of the parts of a plan."""

    warm_up: int
    lines: int
    drill: int
    review: int
    music: int


def planned(minutes: int, lines: Iterable[Exercise], known: Known | None = None, goal: str = "") -> Plan:
    """The plan of a day of `minutes`, breaks included; `lines` are all that can be played.

    `goal` is the name of a line, or a step of the path by number (`step 3`) or title; empty: where the player is on the
    path. `ValueError` for minutes outside `SHORTEST`..`LONGEST`, `UnknownWord` for a goal that is none.
    """
    if not SHORTEST <= minutes <= LONGEST:
        raise ValueError(f"{minutes} minutes: expected {SHORTEST} to {LONGEST}")
    return _Planner({line.name: line for line in lines}, known or Known(), goal).plan(minutes)


def is_settled(line: Exercise, known: Known) -> bool:
    """Whether a whole pass was clean at the line's own tempo, which is when the path goes on."""
    found = known.lines.get(line.name)
    return found is not None and found.clean_qpm is not None and found.clean_qpm >= line.tempo.quarters_per_minute


def gap_days(days_played: int) -> int:
    """After how many days a line is due again that was played on so many."""
    return min(LONGEST_GAP_DAYS, 1 << max(0, min(days_played, 10) - 1))


class _Planner:
    """What may be played today, in the order in which it is wanted."""

    def __init__(self, lines: Mapping[str, Exercise], known: Known, goal: str) -> None:
        if not lines:
            raise ValueError("there is no line to plan with")
        self._lines = lines
        self._known = known
        self._goal_line, self._goal_step = _goal(goal, lines)
        self._wanted = self._without_new_relatives(self._in_order())

    def plan(self, minutes: int) -> Plan:
        """The items, with exactly as many minutes as there are."""
        breaks = max(0, ceil((minutes - PLAYED_AT_MOST) / (PLAYED_AT_MOST + BREAK_MINUTES)))
        while True:
            items = self._items(minutes - BREAK_MINUTES * breaks)
            cuts = _cuts(items, breaks)
            if cuts is not None:
                break
            breaks += 1
        return Plan(tuple(_numbered(_with_breaks(items, cuts, BREAK_MINUTES * breaks))), tuple(self._remarks()))

    def _items(self, played: int) -> list[Item]:
        shares = self._shares(played)
        lines = list(self._line_items(shares.lines))
        first_slot = next((place for place, item in enumerate(lines) if item.kind is Kind.SLOT), len(lines))
        items = [_item(Kind.WARM_UP, shares.warm_up, self._warm_ups()), *lines[:first_slot]]
        if shares.drill:
            items.append(_item(Kind.DRILL, shares.drill, [self._drill()]))
        items.extend(lines[first_slot:])
        if shares.review:
            items.append(_item(Kind.REVIEW, shares.review, self._reviews()))
        items.append(_item(Kind.MUSIC, shares.music, self._music(shares.music)))
        return items

    def _shares(self, played: int) -> _Shares:
        def share(of: float, most: int, least_played: int) -> int:
            return min(most, max(2, round(played * of))) if played >= least_played else 0

        warm_up = share(0.12, 10, 10) or 1
        music = share(0.15, 15, 10) or 1
        drill = share(0.12, 5, 9) if self._drill_line() is not None else 0
        review = share(0.1, 5, 12) if self._due() else 0
        return _Shares(warm_up, played - warm_up - music - drill - review, drill, review, music)

    def _line_items(self, minutes: int) -> Iterator[Item]:
        """Lines by themselves first, then by turns; other lines after `LONGEST_BLOCK`."""
        blocks = ceil(minutes / LONGEST_BLOCK)
        pool = list(self._wanted)
        for block_minutes in _evenly(minutes, blocks):
            at_once = 1 if block_minutes < 6 else 2 if block_minutes < 12 else 3
            if len(pool) < at_once:
                pool = list(self._wanted)
            lines, pool = pool[:at_once], pool[at_once:]
            others = [self._line_choice(line, SLOT_MINUTES) for line in pool[:MOST_OTHERS]]
            yield from self._block(lines, others, block_minutes)

    def _block(self, lines: Sequence[Exercise], others: Sequence[Choice], minutes: int) -> Iterator[Item]:
        alone = minutes // len(lines) if minutes < 6 else max(2, min(5, minutes // (2 * len(lines))))
        for line in lines:
            yield _item(Kind.LINE, alone, [self._line_choice(line, SLOT_MINUTES), *others])
        rest = minutes - alone * len(lines)
        for turn, slot in enumerate(_evenly(rest, max(1, round(rest / SLOT_MINUTES))) if rest else ()):
            line = lines[turn % len(lines)]
            yield _item(Kind.SLOT, slot, [self._line_choice(line, SLOT_MINUTES), *others])

    def _in_order(self) -> list[Exercise]:
        """The lines to work on, those that the goal means first, then along the path, unsettled ones first."""
        on_path = [self._lines[name] for step in PATH for name in step.exercises if name in self._lines]
        begun = [self._lines[name] for name in self._known.lines if name in self._lines]
        open_lines = [line for line in on_path if not is_settled(line, self._known)]
        first: list[Exercise] = []
        if self._goal_line is not None:
            step = step_of(self._goal_line.name)
            first = [self._goal_line, *(self._of_step(step) if step else [])]
        elif self._goal_step is not None:
            first = self._of_step(self._goal_step)
        unsettled = [line for line in begun if not is_settled(line, self._known)]
        return list(
            {line.name: line for line in (*first, *open_lines, *unsettled, *on_path, *self._lines.values())}.values()
        )

    def _of_step(self, step: PathStep) -> list[Exercise]:
        lines = [self._lines[name] for name in step.exercises if name in self._lines]
        return sorted(lines, key=lambda line: is_settled(line, self._known))

    def _without_new_relatives(self, lines: Sequence[Exercise]) -> list[Exercise]:
        """Of the new lines of one family only the first; the goal stays in any case."""
        kept: list[Exercise] = []
        new_families: set[str] = set()
        for line in lines:
            family = line.family or line.name
            is_new = line.name not in self._known.lines
            if not is_new or family not in new_families:
                kept.append(line)
            if is_new:
                new_families.add(family)
        return kept

    def _line_choice(self, line: Exercise, minutes: int) -> Choice:
        found = self._known.lines.get(line.name)
        own = float(line.tempo.quarters_per_minute)
        if found is None:
            qpm, task = own * NEW_SHARE, "Slowly, until the hand knows the way."
        elif found.clean_qpm is None:
            qpm, task = own * BEGUN_SHARE, "At a tempo at which it can be clean."
        else:
            qpm, task = found.clean_qpm, "From the fastest clean tempo; a little faster after three clean passes."
        return _practised(line, qpm, minutes, task, self._why(line), _measured(found))

    def _why(self, line: Exercise) -> str:
        if line is self._goal_line:
            return "It is the goal."
        step = step_of(line.name)
        if step is None:
            return "It was begun and has not been clean at its own tempo yet."
        if self._goal_step is not None and step.number == self._goal_step.number:
            return f"It belongs to the goal, step {step.number}: {step.title}."
        state = "has been clean at its own tempo" if is_settled(line, self._known) else "not yet clean at its own tempo"
        return f"Step {step.number} of the path, {step.title}; {state}."

    def _warm_ups(self) -> list[Choice]:
        """What goes easily: lines that were clean, the slowest first; else the first of the path."""
        clean = [
            self._lines[name] for name, one in self._known.lines.items() if one.clean_passes and name in self._lines
        ]
        todays = {line.name for line in self._wanted[:3]}
        # What is due again stays for the review.
        easy = sorted(
            clean,
            key=lambda line: (
                line.name in todays,
                self._known.lines[line.name].days_ago > 1,
                notes_a_second(line, float(line.tempo.quarters_per_minute)),
            ),
        )
        first = [self._lines[name] for name in PATH[0].exercises if name in self._lines]
        lines = list({line.name: line for line in (*easy, *first)}.values()) or list(self._lines.values())
        return [
            _practised(
                line,
                float(line.tempo.quarters_per_minute) * WARM_UP_SHARE,
                2,
                "Easily and evenly, well below its tempo.",
                "Warming up before anything fast is common advice.",
                _measured(self._known.lines.get(line.name)),
            )
            for line in lines[: MOST_OTHERS + 1]
        ]

    def _drill_line(self) -> Exercise | None:
        weakness = self._known.weakness
        line = self._lines.get(weakness.exercise) if weakness is not None else None
        return line if weakness is not None and line is not None and weakness.to_index < len(line.notes) else None

    def _drill(self) -> Choice:
        """The weak transition with a note before and after it."""
        weakness, line = self._known.weakness, self._drill_line()
        if weakness is None or line is None:
            raise ValueError("there is no weakness to drill")
        stretch = max(0, weakness.from_index - 1), min(len(line.notes) - 1, weakness.to_index + 1)
        found = self._known.lines.get(line.name)
        own = float(line.tempo.quarters_per_minute)
        qpm = BEGUN_SHARE * (own if found is None or found.clean_qpm is None else found.clean_qpm)
        part = line.excerpt(*stretch)
        if weakness.drill is not None:
            part, qpm = weakness.drill.exercise, float(weakness.drill.exercise.tempo.quarters_per_minute)
        return Choice(
            exercise=line.name,
            title=f"{line.title}, notes {stretch[0]} to {stretch[1]}",
            task="Only these notes, slowly and evenly; then longer versions, and back into the whole line.",
            why="It is the transition that stands out most from the others.",
            measured=weakness.sentence,
            qpm=round(qpm),
            passes=_passes(part, qpm, 2),
            start=f"boxwalk coach {line.name}",
            stretch=stretch,
        )

    def _due(self) -> list[KnownLine]:
        """Lines of earlier days that are not worked on today anyway, the one most overdue first."""
        todays = {*(line.name for line in self._wanted[:3]), self._warm_ups()[0].exercise}
        before = [
            one
            for name, one in self._known.lines.items()
            if one.days_ago >= 1 and name in self._lines and name not in todays
        ]
        return sorted(before, key=lambda one: -one.days_ago / gap_days(one.days_played))

    def _reviews(self) -> list[Choice]:
        choices = []
        for one in self._due()[: MOST_OTHERS + 1]:
            line = self._lines[one.name]
            due = gap_days(one.days_played)
            state = "It is due again" if one.days_ago >= due else "Nothing is overdue; it comes nearest"
            why = (
                f"{state}: played on {counted(one.days_played, 'day', 'days')}, "
                f"reviewed after about {counted(due, 'day', 'days')}, last {days_ago_in_words(one.days_ago)}."
            )
            qpm = one.clean_qpm or float(line.tempo.quarters_per_minute) * BEGUN_SHARE
            choices.append(_practised(line, qpm, 2, "Once more after days: what has stayed?", why, one.words()))
        return choices

    def _music(self, minutes: int) -> list[Choice]:
        choices = []
        for line in self._wanted[: MOST_OTHERS + 1]:
            qpm = round(float(line.tempo.quarters_per_minute) * NEW_SHARE)
            key, under = (line.key, "a backing") if line.key else ("the key of the line", "the click")
            seconds = min(600, minutes * 60)
            choices.append(
                Choice(
                    exercise=line.name,
                    title=f"Improvise in {key}",
                    task=f"Make music over {under} in {key}, with turns from {line.title}.",
                    why="Lines are there to be played with. Nothing is judged here.",
                    measured="Nothing is measured.",
                    qpm=qpm,
                    passes=1,
                    start=f"boxwalk capture --pace click --tempo {qpm} --seconds {seconds}",
                )
            )
        return choices

    def _remarks(self) -> Iterator[str]:
        if self._known.is_empty:
            yield (
                "Nothing is known of your playing yet: the lines are the first of the path or the goal, at guessed "
                "tempi. Each take that is kept makes the next plan less of a guess."
            )
        if self._drill_line() is None:
            yield f"No drill: {self._known.why_no_weakness}."
        if not self._due() and not self._known.is_empty:
            yield "No review: nothing else was played on an earlier day."


def _goal(words: str, lines: Mapping[str, Exercise]) -> tuple[Exercise | None, PathStep | None]:
    """The line or the step that a goal means."""
    if not words.strip():
        return None, None
    wanted = folded(words)
    for step in PATH:
        if wanted in {f"step-{step.number}", folded(step.title)}:
            return None, step
    for name, line in lines.items():
        if wanted in {folded(name), folded(line.title)}:
            return line, None
    choices = (*lines, *(f"step {step.number}" for step in PATH), *(step.title for step in PATH))
    raise UnknownWord(words, "an exercise or a step of the path", choices)


def _measured(found: KnownLine | None) -> str:
    return "Not played yet: nothing was measured." if found is None else found.words()


def _practised(line: Exercise, qpm: float, minutes: int, task: str, why: str, measured: str) -> Choice:
    rounded = max(20, round(qpm))
    passes = _passes(line, rounded, minutes)
    start = f"boxwalk practise {line.name} --tempo {rounded} --passes {passes}"
    return Choice(line.name, line.title, task, why, measured, rounded, passes, start)


def _passes(line: Exercise, qpm: float, minutes: int) -> int:
    """How often a line fits, with rests between."""
    seconds = float(line.length_quarters) * 60 / qpm
    return max(1, min(12, int(PLAYED_SHARE * minutes * 60 / seconds)))


def _item(kind: Kind, minutes: int, choices: Sequence[Choice]) -> Item:
    return Item(0, kind, minutes, choices[0], tuple(choices[1:]))


def _evenly(total: int, parts: int) -> list[int]:
    """`total` in whole parts that differ by at most one, the longer ones first."""
    return [total // parts + (place < total % parts) for place in range(parts)]


def _cuts(items: Sequence[Item], breaks: int) -> list[int] | None:
    """Before which items the breaks come, so that the longest stretch is as short as can be; None: it is too long."""
    if not breaks:
        return [] if sum(item.minutes for item in items) <= PLAYED_AT_MOST else None
    for most in range(max(item.minutes for item in items), PLAYED_AT_MOST + 1):
        cuts: list[int] = []
        stretch = 0
        for place, item in enumerate(items):
            if stretch + item.minutes > most:
                cuts.append(place)
                stretch = 0
            stretch += item.minutes
        if len(cuts) <= breaks:
            return cuts
    return None


def _with_breaks(items: Sequence[Item], cuts: Sequence[int], minutes: int) -> Iterator[Item]:
    lengths = dict(zip(cuts, _evenly(minutes, len(cuts)), strict=True)) if cuts else {}
    for place, item in enumerate(items):
        if place in lengths:
            yield Item(0, Kind.BREAK, lengths[place])
        yield item


def _numbered(items: Iterable[Item]) -> Iterator[Item]:
    for number, item in enumerate(items, start=1):
        yield Item(number, item.kind, item.minutes, item.choice, item.others)
