"""Homework on the screen, for pictures and tests: an invented teacher, an invented class."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from trainer.score.library import load_exercise
from trainer.screens.homework import HomeworkDoors, HomeworkScreen
from trainer.screens.homework_making import MakingDoors, MakingScreen, Outcome
from trainer.screens.homework_making_picture import Draft, ItemDraft
from trainer.screens.homework_picture import Done, Item, Sheet
from trainer.screens.homework_table import Collected, TableDoors, TableScreen
from trainer.screens.homework_table_picture import Cell, Grid, PupilRow
from trainer.screens.pick import Pick, PickScreen
from trainer.screens.screen import Action, Command, Screen, Typed
from trainer.screens.words import brief_words

from .desk import Page

NAMES = ("two-gates", "quarry-steps-legato", "ridge-path", "first-stones", "garden-wall")
NOTE = (
    "Begin slowly enough that nothing is missed, and go up only when three passes on end were clean. Bring the file on "
    "Thursday. Warm up first, and stop when anything hurts."
)


def item(name: str, target: int, passes: int, articulation: str = "", note: str = "") -> Item:
    line = load_exercise(name)
    return Item(line.title, Fraction(target), passes, articulation, note, brief_words(line))


SHEET = Sheet(
    "Week 12",
    "From Zoë. 3 exercises. Open since 10 Mar.",
    NOTE,
    (
        item("two-gates", 96, 5, note="Watch the slide into the second gate: late there last week."),
        item("quarry-steps-legato", 84, 4, "legato"),
        item("ridge-path", 108, 3),
    ),
)
LONG = Sheet(
    "All of the ridge", "12 exercises. Open since 3 Mar.", "", tuple(item(NAMES[n % 5], 90, 5) for n in range(12))
)
WORDY = replace(
    SHEET,
    note=" ".join(f"Stone {n} lies on the path." for n in range(1, 60)),
    items=tuple(replace(one, note=" ".join(f"Step {n} is steep." for n in range(1, 60))) for one in SHEET.items),
)
DONE = Done(
    (5, 1, 0),
    (
        "The fastest clean pass was at ♩ = 104. 14.2 minutes in 6 takes, the last on 14 Mar.",
        "The fastest clean pass was at ♩ = 84. 6.0 minutes in 3 takes, the last on 13 Mar.",
        "Nothing of it has been played yet.",
    ),
    ("Left out: 2 takes by the simulated player.",),
)
WRITTEN = (
    "Written: /home/ana/Documents/ana_week-12_2026-03-14.walkdone (84 kB), 9 takes and your name. Give that file to "
    "Zoë."
)
HOME_OF_TAKES = "It will be in /home/ana/Documents."


def pupil(
    *actions: Action,
    sheets: tuple[Sheet, ...] = (SHEET, LONG),
    done: Done | str = DONE,
    notice: str = "",
) -> HomeworkScreen:
    screen = HomeworkScreen(
        HomeworkDoors(
            sheets=lambda: sheets,
            done=lambda number: done if number == 0 else "Your takes are being counted ... 12 of 40 judged.",
            play=lambda number, item, _back: Page(f"play {number} {item}"),
            look=lambda: "",
            name=lambda _number: "Ana",
            written_to=lambda: HOME_OF_TAKES,
            give_back=lambda _number, name: f"{name}: {WRITTEN}",
            choose_file=lambda _back: Page("files"),
            make=lambda _back: Page("make"),
            table=lambda _back: Page("table"),
            leave=lambda: Page("list"),
        ),
        notice=notice,
    )
    for action in actions:
        screen.handle(action)
    return screen


def files(*actions: Action, count: int = 4, answer: str = "") -> PickScreen:
    """The files that lie about."""
    picks = [
        Pick(f"/home/ana/Downloads/week-{n}.walkwork", f"week-{n}.walkwork", f"{n} Mar, /home/ana/Downloads")
        for n in range(12, 12 - count, -1)
    ]
    screen = PickScreen(
        "Open homework",
        picks,
        now="",
        chosen=lambda _path: answer or Page("opened"),
        back_to=Page("back"),
        wants_path=True,
    )
    for action in actions:
        screen.handle(action)
    return screen


DRAFT = Draft(
    "Week 13",
    "Zoë",
    "Ana, Ben, Cleo",
    NOTE,
    (
        ItemDraft("two-gates", "Two gates", "96", "5", "", "Watch the slide"),
        ItemDraft("quarry-steps", "Quarry steps", "84", "4", "legato"),
        ItemDraft("ridge-path", "Ridge path", "108", "3", "one pick a string"),
    ),
)
PICKS = [Pick(name, load_exercise(name).title, brief_words(load_exercise(name))) for name in NAMES]


def making(
    *actions: Action,
    draft: Draft | None = DRAFT,
    write: Callable[[Draft], Outcome] = lambda _draft: Outcome(
        "Written: /home/zoe/Documents/week-13.walkwork.", is_written=True
    ),
) -> MakingScreen:
    screen = MakingScreen(MakingDoors(PICKS, dict.fromkeys(NAMES, "90"), write, lambda: Page("left")), draft)
    for action in actions:
        screen.handle(action)
    return screen


def cell(tempo: str, below: str, *, is_there: bool = False, is_otherwise: bool = False) -> Cell:
    tempi = "5 of 5 clean passes at ♩ = 96 or faster; clean up to 104; working tempo 101, 80 % interval 97 to 105."
    change = "+8, +3 clean at the target, +6.1 minutes."
    details = (
        f"Ana, Two gates: {tempi}",
        "Weakest transition: string 2 fret 8 to string 1 fret 5: 31 ms late.",
        f"14.2 minutes in 6 takes, the last on 14 Mar. Since the file of 7 Mar: {change}",
    )
    weakest = "" if tempo.startswith("(") else "2/8 – 1/5: 31 ms late"
    return Cell(tempo, below, weakest, is_there, is_otherwise, details)


def row(name: str, number: int, remarks: tuple[str, ...] = ()) -> PupilRow:
    cells = (
        cell(
            f"{90 + number} of 96", f"{6 + number}.2 min · 14 Mar · +8", is_there=number > 6, is_otherwise=bool(remarks)
        ),
        cell("(84) of 84", "3.0 min · 13 Mar · first clean pass"),
        cell(f"{100 + number} of 108", "12.4 min · 12 Mar · same tempo", is_there=number > 8),
    )
    return PupilRow(name, "back on 14 Mar", cells, remarks)


CLAIM = (
    "Two gates: the file says clean up to 140, 9 of 9 passes clean, 14.2 min; measured clean up to 104, 5 of 9 passes "
    "clean, 14.2 min."
)
PUPILS = ("Ana", "Ben", "Cleo", "Dan", "Eva", "Finn", "Gwen", "Hugo", "Ida", "Jon", "Kim", "Leo", "Mia", "Nils", "Oda")
GRID = Grid(
    "Week 12",
    "Given out on 10 Mar, 15 pupils so far.",
    ("Two gates", "Quarry steps, slurred", "Ridge path"),
    tuple(row(name, n, (CLAIM,) if n == 1 else ()) for n, name in enumerate(PUPILS)),
    "Nothing yet from Pia, Rolf.",
)
WIDE = Grid(
    "All of the ridge",
    "Edition 2, given out on 3 Mar, 2 pupils so far.",
    tuple(load_exercise(NAMES[n % 5]).title for n in range(9)),
    tuple(PupilRow(name, "back on 9 Mar", (cell("88 of 96", "2.0 min · 8 Mar"),) * 9, ()) for name in PUPILS[:2]),
    "",
)


def table(*actions: Action, grids: tuple[Grid, ...] = (GRID, WIDE), words: str = "") -> TableScreen:
    def takes(grid: int, pupil: int, exercise: int, back: Screen) -> Screen | str:
        return takes_of(back) if exercise != 1 else f"{PUPILS[pupil]} gave back no take of it {grid}."

    screen = TableScreen(
        TableDoors(
            collected=lambda: Collected(grids, words),
            takes=takes,
            choose_files=lambda _back: Page("files"),
            make=lambda _back: Page("make"),
            leave=lambda: Page("left"),
        )
    )
    for action in actions:
        screen.handle(action)
    return screen


def takes_of(back: Screen) -> PickScreen:
    """The takes of a cell."""
    picks = [
        Pick(str(n), f"Take {n}, {7 + n} Mar at 18:0{n}, ♩ = {80 + 4 * n}", f"{n % 4} of 4 passes clean, 1.{n} min")
        for n in range(1, 7)
    ]
    return PickScreen("Ana: Two gates", picks, now="6", chosen=lambda n: Page(f"replay {n}"), back_to=back)


HOMEWORK = {
    "homework": pupil,
    "homework-counting": lambda: pupil(Command.RIGHT, *[Command.DOWN] * 9),
    "homework-long-note": lambda: pupil(sheets=(WORDY,), notice=WRITTEN),
    "homework-long-note-turned": lambda: pupil(Command.NEXT_BAR, sheets=(WORDY,)),
    "homework-naming": lambda: pupil(Command.KEEP),
    "homework-given-back": lambda: pupil(notice=WRITTEN),
    "homework-none": lambda: pupil(
        sheets=(), notice="Week-12.txt is no file of homework: expected one that ends in .walkwork or .walkdone."
    ),
    "homework-files": files,
    "homework-path": lambda: files(*map(Typed, "/home/ana/Downloads/lessons/autumn/quarry/2026/" * 3)),
    "homework-no-files": lambda: files(count=0),
    "homework-refused": lambda: files(
        Command.CHOOSE,
        answer="week-12.walkwork: exercise 1, two-gates, is not as the teacher gave it out: someone has changed it. "
        "Ask for the file again.",
    ),
    "homework-making": lambda: making(*[Command.DOWN] * 4),
    "homework-making-empty": lambda: making(draft=None),
    "homework-making-written": lambda: making(
        *[Command.DOWN] * 5, *[Command.NEXT_CHOICE] * 3, *map(Typed, NOTE[:60]), Command.KEEP
    ),
    "homework-table": table,
    "homework-table-edited": lambda: table(Command.DOWN, words="12 of 200 takes judged ..."),
    "homework-table-much-left-out": lambda: table(
        words=" ".join(f"Left out: file-{n}.walkdone is damaged." for n in range(1, 40))
    ),
    "homework-table-wide": lambda: table(Command.NEXT_CHOICE, *[Command.RIGHT] * 6),
    "homework-table-none": lambda: table(
        grids=(),
        words="Left out: /home/zoe/Downloads/notes.walkdone is not a file of homework, or only the beginning of one.",
    ),
    "homework-table-takes": lambda: takes_of(Page("table")),
}
