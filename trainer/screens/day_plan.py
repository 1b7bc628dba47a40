"""The plan of the day on the screen: its items, why each is there, and a key that starts one.

An item that was started is marked. Breaks are items too; a skipped one leaves its sentence.
"""

from collections.abc import Callable, Sequence

import pygame

from trainer.coaching.plan import CAUTIONS, Day, Item, Kind, Plan
from trainer.coaching.rests import SinceBreak, rested_words
from trainer.playing.messages import StampedMessage
from trainer.screens.hints import foot_hints, hint_at
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.pick import Pick, PickScreen
from trainer.screens.screen import DAY, Action, Command, Pressed, Screen, Scrolled
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import unit_of

ROW_PX, TOP_PX, BOTTOM_PX = 40.0, 186.0, 366.0
"""Height of a row, where the rows begin, and what is left below them, at unit 1."""
STEP_MINUTES = 5
HINTS = (
    ("Enter", "start", Command.CHOOSE),
    ("→", "something else", Command.RIGHT),
    ("Delete", "skip", Command.ERASE_NEXT),
    ("\N{MINUS SIGN}", "fewer minutes", Command.SLOWER),
    ("+", "more", Command.FASTER),
    ("G", "goal", Command.GOAL),
    ("R", "plan anew", Command.RESTART),
    ("Esc", "leave", Command.BACK),
    ("F1", "keys, marks", Command.KEYS),
)
REST = "Put the guitar down for these minutes; stand up, let the hands hang. They are not for playing."
GAPS_PX = (30.0, 44.0, 50.0, 28.0)
"""Behind number, beginning, minutes and purpose, at unit 1."""


ALONG_THE_PATH = Pick("", "Where the path stands", "the first lines that are not clean at their own tempo yet")


class DayPlanScreen:
    """One plan.

    `planned(minutes, goal)` makes one, or raises `ValueError` for minutes that are too few or too many; `start(item,
    back)` is the screen that plays an item and leads back, or a sentence when it cannot; `goals` can be chosen beside
    the way along the path; `rest(now_ns)` is how long was played since the last break; `leave_to()` leaves. `day` is a
    plan to go on with, and `keep(day)` is told of whatever is begun or changed.
    """

    takes_text = False

    def __init__(
        self,
        planned: Callable[[int, str], Plan],
        *,
        start: Callable[[Item, Screen], Screen | str],
        leave_to: Callable[[], Screen | None],
        minutes: int = 30,
        goals: Sequence[Pick] = (),
        rest: Callable[[int], SinceBreak] = lambda _now_ns: SinceBreak(0, 0),
        day: Day | None = None,
        keep: Callable[[Day], None] = lambda _day: None,
    ) -> None:
        self._planned = planned
        self._start = start
        self._leave_to = leave_to
        self._keep = keep
        day = day or Day(planned(minutes, ""), minutes)
        self.plan, self._minutes, self._started = day.plan, day.minutes, frozenset(day.started)
        self._goals = (ALONG_THE_PATH, *goals)
        self._goal = next((pick for pick in self._goals if pick.value == day.goal), ALONG_THE_PATH)
        self._rest = rest
        self._now_ns = 0
        self._break_began_ns: int | None = None
        self._selected = (day.next_item or self.plan.items[-1]).number
        self._notice = ""
        self._painter = PagePainter()

    @property
    def selected(self) -> Item:
        """The item that is chosen."""
        return self.plan.item(self._selected)

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - only time matters
        """Stay."""
        self._now_ns = now_ns
        return self

    def handle(self, action: Action) -> Screen | None:
        """Choose, start, swap, skip, or leave."""
        match action:
            case Command.BACK:
                return self._leave_to()
            case Command.QUIT:
                return None
            case Command.KEYS:
                return KeysScreen(self, place=DAY)
            case Command.CHOOSE:
                return self._begin()
            case Command.GOAL:
                return PickScreen(
                    "Goal of the day", self._goals, now=self._goal.value, chosen=self._aim_at, back_to=self
                )
            case Pressed() if self._painter.latest is not None:
                pressed = hint_at(HINTS, *self._painter.latest, action)
                return self._press_row(action) if pressed is None else self.handle(pressed)
            case Scrolled(lines=lines):
                self._move(1 if lines > 0 else -1)
            case Command():
                self._do(action)
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the plan."""
        self._now_ns = now_ns
        size = surface.get_size()
        unit, numbers = unit_of(*size), [item.number for item in self._shown(size)]
        top_px = (TOP_PX + numbers.index(self._selected) * ROW_PX) * unit
        painter = self._painter.ground(surface, Rect(36 * unit, top_px, size[0] - 36 * unit, top_px + ROW_PX * unit))
        painter.draw(surface, self._glyphs(size, painter))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        return texts_of(self._glyphs(size, painter), painter.fonts)

    def _begin(self) -> Screen:
        item = self.selected
        if item.choice is None:
            self._break_began_ns = self._now_ns
            self._started_now(item)
            return self
        following = self._start(item, self)
        if isinstance(following, str):
            self._notice = following
            return self
        self._started_now(item)
        return following

    def _started_now(self, item: Item) -> None:
        self._notice, self._started = "", self._started | {item.number}
        self._tell()

    def _tell(self) -> None:
        self._keep(Day(self.plan, self._minutes, self._goal.value, tuple(sorted(self._started))))

    def _aim_at(self, goal: str) -> Screen:
        """Plan anew for a goal."""
        self._goal = next(pick for pick in self._goals if pick.value == goal)
        self._do(Command.RESTART)
        return self

    def _press_row(self, pressed: Pressed) -> Screen | None:
        """A row is chosen by pressing it, and started by pressing it again."""
        size, _ = self._painter.latest or ((0, 0), None)
        unit = unit_of(*size)
        row = int((pressed.y_px / unit - TOP_PX) // ROW_PX)
        shown = self._shown(size)
        if not 0 <= row < len(shown):
            return self
        if shown[row].number == self._selected:
            return self._begin()
        self._selected, self._notice = shown[row].number, ""
        return self

    def _do(self, command: Command) -> None:
        self._notice, before = "", self.plan
        try:
            match command:
                case Command.UP:
                    self._move(-1)
                case Command.DOWN:
                    self._move(1)
                case Command.RIGHT:
                    self.plan = self.plan.swapped(self._selected)
                case Command.ERASE_NEXT | Command.ERASE:
                    self._skip()
                case Command.FASTER | Command.SLOWER:
                    self._plan_anew(self._minutes + (STEP_MINUTES if command is Command.FASTER else -STEP_MINUTES))
                case Command.RESTART:
                    self._plan_anew(self._minutes)
                case _:
                    pass
        except ValueError as error:
            self._notice = f"{str(error)[:1].upper()}{str(error)[1:]}."
        if self.plan is not before:
            self._tell()

    def _plan_anew(self, minutes: int) -> None:
        self.plan = self._planned(minutes, self._goal.value)
        self._minutes = minutes
        self._selected, self._started = self.plan.items[0].number, frozenset()

    def _skip(self) -> None:
        place = self._place()
        before = len(self.plan.remarks)
        self.plan = self.plan.skipped(self._selected)
        self._selected = self.plan.items[min(place, len(self.plan.items) - 1)].number
        self._notice = " ".join(self.plan.remarks[before:])

    def _move(self, by: int) -> None:
        place = min(len(self.plan.items) - 1, max(0, self._place() + by))
        self._selected = self.plan.items[place].number

    def _place(self) -> int:
        return self.plan.items.index(self.selected)

    def _shown(self, size: tuple[int, int]) -> tuple[Item, ...]:
        """As many rows as fit, the chosen one among them."""
        unit = unit_of(*size)
        room = max(1, int((size[1] - (TOP_PX + BOTTOM_PX) * unit) / (ROW_PX * unit)))
        first = max(0, min(self._place() - room // 2, len(self.plan.items) - room))
        return self.plan.items[first : first + room]

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts = unit_of(*size), painter.fonts
        left_px, right_px = 48 * unit, size[0] - 48 * unit
        longest = self.plan.longest_stretch_minutes
        words = f"{self.plan.minutes} minutes, at most {longest} on end"
        goal = fonts.elided(f"Goal: {_lower(self._goal.words)}", Size.BODY, (right_px - left_px) * 0.62)
        cautions = fonts.wrapped(CAUTIONS, Size.SMALL, right_px - left_px)[:2]
        return [
            Text(left_px, 50 * unit, "Today's plan", Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(right_px, 50 * unit, words, Size.BODY, Ink.INK, Anchor.RIGHT),
            Text(left_px, 98 * unit, goal, Size.BODY, Ink.INK, Anchor.LEFT),
            *self._rest_words(right_px, unit),
            *(
                Text(left_px, (136 + 28 * place) * unit, line, Size.SMALL, Ink.MUTED, Anchor.LEFT)
                for place, line in enumerate(cautions)
            ),
            *self._rows(size, painter),
            *self._details(size, painter),
            *foot_hints(HINTS, size, painter),
        ]

    def _rest_words(self, right_px: float, unit: float) -> list[Text]:
        """How long was played since the last break, in any room."""
        rest = self._rest(self._now_ns)
        ink = Ink.NOW if rest.is_due else Ink.MUTED
        return [Text(right_px, 98 * unit, rest.words(), Size.BODY, ink, Anchor.RIGHT)] if rest.words() else []

    def _rows(self, size: tuple[int, int], painter: Painter) -> list[Text]:
        unit, fonts = unit_of(*size), painter.fonts
        begins, at = {}, 0
        for item in self.plan.items:
            begins[item.number] = at
            at += item.minutes
        number_px, at_px, minutes_px, kind_px, what_px = self._columns_px(painter)
        rows: list[Text] = []
        for place, item in enumerate(self._shown(size)):
            y_px = (TOP_PX + (place + 0.5) * ROW_PX) * unit
            ink = Ink.MUTED if item.number in self._started else Ink.INK
            title = fonts.elided(_title(item), Size.BODY, size[0] - 200 * unit - what_px)
            rows += [
                Text(number_px, y_px, str(item.number), Size.BODY, Ink.MUTED, Anchor.RIGHT),
                Text(at_px, y_px, _clock(begins[item.number]), Size.BODY, Ink.MUTED, Anchor.RIGHT),
                Text(minutes_px, y_px, f"{item.minutes} min", Size.BODY, ink, Anchor.RIGHT),
                Text(kind_px, y_px, item.kind.value, Size.BODY, ink, Anchor.LEFT),
                Text(what_px, y_px, title, Size.BODY, ink, Anchor.LEFT),
            ]
            if item.number in self._started:
                rows.append(Text(size[0] - 48 * unit, y_px, "started", Size.SMALL, Ink.MUTED, Anchor.RIGHT))
        return rows

    def _columns_px(self, painter: Painter) -> tuple[float, float, float, float, float]:
        """Right edges of number, beginning and minutes, left edges of the purpose and of what is played."""
        behind = [gap_px * painter.unit for gap_px in GAPS_PX]

        def widest_px(*texts: str) -> float:
            return max(painter.fonts.width_px(text, Size.BODY) for text in texts)

        number_px = 48 * painter.unit + widest_px("88")
        at_px = number_px + behind[0] + widest_px("0:00", _clock(self.plan.minutes))
        minutes_px = at_px + behind[1] + widest_px("88 min")
        kind_px = minutes_px + behind[2]
        return number_px, at_px, minutes_px, kind_px, kind_px + widest_px(*Kind) + behind[3]

    def _details(self, size: tuple[int, int], painter: Painter) -> list[Text]:
        """What to do in the chosen item, why, what was measured; below that what is not known, or what was changed."""
        unit = unit_of(*size)
        choice = self.selected.choice
        first = (
            [(REST, Ink.INK), (self._break_words(), Ink.INK)]
            if choice is None
            else [
                (choice.task, Ink.INK),
                (f"{choice.why} {choice.measured}", Ink.INK),
            ]
        )
        room_px = size[0] - 96 * unit
        remark = self._notice or " ".join(self.plan.remarks)
        lines = [
            *((line, ink) for words, ink in first for line in painter.fonts.wrapped(words, Size.BODY, room_px)[:2]),
            *(
                (line, Ink.NOW if self._notice else Ink.MUTED)
                for line in painter.fonts.wrapped(remark, Size.SMALL, room_px)[:3]
            ),
        ]
        top_px = size[1] - (BOTTOM_PX - 40) * unit
        return [
            Text(
                48 * unit,
                top_px + place * 36 * unit,
                line,
                Size.BODY if ink is Ink.INK else Size.SMALL,
                ink,
                Anchor.LEFT,
            )
            for place, (line, ink) in enumerate(lines)
        ]

    def _break_words(self) -> str:
        """How much of a break is over: since it was started, or since the last take ended."""
        if self._break_began_ns is None or self._selected not in self._started:
            return "Enter counts its minutes."
        rest = self._rest(self._now_ns)
        rested_ns = max(self._now_ns - self._break_began_ns, rest.rested_ns)
        return f"Rested {rested_words(rested_ns)}."


def _lower(words: str) -> str:
    return words[:1].lower() + words[1:]


def _title(item: Item) -> str:
    if item.choice is None:
        return "Rest your hands"
    return item.choice.title if item.kind is Kind.MUSIC else f"{item.choice.title}, ♩ = {item.choice.qpm:g}"


def _clock(minutes: int) -> str:
    """How long after the beginning, in hours and minutes."""
    return f"{minutes // 60}:{minutes % 60:02d}"
