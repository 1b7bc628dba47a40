from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise, load_recipe
from trainer.screens.benches import FIRST_LINE, Bench, LineBench, bench_of, line_bench, variation_bench
from trainer.screens.builder import MOST_LETTERS, NOT_KEPT, BuilderScreen, Doors, Kept
from trainer.screens.keys import KeysScreen
from trainer.screens.screen import Action, Command, Pressed, Screen, Scrolled, Typed
from trainer.tablature.glyphs import Rect

from .desk import Page

import pygame  # isort: skip  # after the desk, which chooses the driver

SIZE = (1280, 720)


class Room:
    """A builder, and what went out of its doors."""

    def __init__(self, bench: Bench | None = None, *, taken: str = "") -> None:
        self.played: list[Exercise] = []
        self.kept: list[tuple[str, str]] = []
        self.heard: list[str] = []
        self._taken = taken
        self.screen = BuilderScreen(
            bench or line_bench(),
            Doors(
                play=self._play,
                keep=self._keep,
                hear=self._hear,
                hush=lambda: self.heard.append("silence"),
                sound_status=lambda: "Sound on a card",
                leave=lambda: Page("list"),
            ),
        )

    def _play(self, exercise: Exercise, builder: Screen) -> Screen:
        assert builder is self.screen
        self.played.append(exercise)
        return Page("practice")

    def _keep(self, title: str, text: str) -> Kept:
        if title == self._taken:
            return Kept("Not kept: the name is taken.")
        self.kept.append((title, text))
        return Kept("Kept.", title.lower().replace(" ", "-"))

    def _hear(self, exercise: Exercise) -> int:
        self.heard.append(exercise.title)
        return 0

    def do(self, *actions: Action) -> Screen | None:
        """The screen after some actions, all but the last of which stay."""
        for action in actions[:-1]:
            assert self.screen.handle(action) is self.screen
        return self.screen.handle(actions[-1])

    def type(self, text: str) -> None:
        self.do(*map(Typed, text))

    @property
    def text(self) -> str:
        return self.screen.bench.text

    def row(self, name: str) -> str:
        """What a row says."""
        return next(picker.says for picker in self.screen.view().rows if picker.name == name)

    def press(self, area: Rect) -> Screen | None:
        return self.do(Pressed((area.left_px + area.right_px) / 2, (area.top_px + area.bottom_px) / 2))


def varying(name: str) -> Room:
    return Room(variation_bench(load_exercise(name), load_recipe(name)[1]))


def test_arrows_go_through_rows_and_choices_and_the_words_follow() -> None:
    room = Room()

    room.do(Command.RIGHT)
    assert room.text == FIRST_LINE.replace("A minor", "Bb minor")
    room.do(Command.LEFT, Command.DOWN, Command.DOWN, Command.RIGHT)
    assert room.text == FIRST_LINE + ", e-flat tuning"
    assert (room.row("key"), room.row("tuning")) == ("A", "E flat")


def test_letters_go_into_the_words_and_the_rows_follow() -> None:
    room = Room()

    room.type(", legato")

    assert room.text == FIRST_LINE + ", legato"
    assert room.row("picking") == "legato"
    assert room.screen.view().cursor == len(FIRST_LINE) + 8


def test_a_mistake_is_pointed_at_and_the_last_line_stays_in_sight() -> None:
    room = Room()
    before = room.screen.bench.shown

    room.type(", foxes")
    view = room.screen.view()

    assert [room.text[p.column : p.column + p.width] for p in view.problems] == ["foxes"]
    assert room.screen.bench.shown == before
    assert view.summary.startswith("as it last was: 16 notes")
    assert room.do(Command.CHOOSE) is room.screen
    assert room.played == []


def test_the_cursor_moves_and_letters_are_taken_out_on_both_sides_of_it() -> None:
    room = Room()
    room.do(Command.UP, Command.FIRST, Command.RIGHT, Command.ERASE, Typed("E"))
    assert room.text == FIRST_LINE.replace("A minor", "E minor")
    room.do(
        Command.FIRST,
        Command.ERASE_NEXT,
        Typed("G"),
        Command.LAST,
        Command.ERASE,
        Command.ERASE,
        Typed("9"),
        Typed("6"),
    )

    assert room.text == FIRST_LINE.replace("A minor", "G minor").replace("72", "96")


def test_the_text_has_an_end() -> None:
    room = Room()

    room.do(Typed("x" * (MOST_LETTERS - len(FIRST_LINE))), Typed("y"))

    assert len(room.text) == MOST_LETTERS
    assert room.text.endswith("x")


def test_changes_are_taken_back_one_by_one() -> None:
    room = Room()
    room.do(Command.RIGHT, Command.RIGHT)
    room.type("x")

    room.do(Command.UNDO, Command.UNDO, Command.UNDO, Command.UNDO)

    assert room.text == FIRST_LINE


def test_enter_plays_what_was_made_at_once() -> None:
    room = Room()

    page = room.do(Command.RIGHT, Command.CHOOSE)

    assert isinstance(page, Page)
    assert [line.key for line in room.played] == ["Bb minor pentatonic"]


def test_it_is_kept_under_a_title_and_then_played_by_its_name() -> None:
    room = Room(taken="Old steps")
    room.do(Command.RIGHT, Command.KEEP, *[Command.ERASE] * 80)
    room.type("Old steps")
    room.do(Command.CHOOSE)
    assert (room.screen.view().naming, room.screen.view().told) == ("Old steps", "Not kept: the name is taken.")
    room.do(*[Command.ERASE] * 9)
    room.type("New steps")
    room.do(Command.CHOOSE)

    assert [title for title, _ in room.kept] == ["New steps"]
    assert 'title = "New steps"' in room.kept[0][1]
    assert room.screen.view().naming is None
    room.do(Command.CHOOSE)
    assert [(line.name, line.title) for line in room.played] == [("new-steps", "New steps")]
    room.do(Command.RIGHT, Command.CHOOSE)
    assert room.played[1].name != "new-steps"


def test_it_is_kept_by_the_mouse_alone() -> None:
    room = Room()
    for words in ("keep", "go on building", "keep", "keep it"):
        room.press(dict(room.screen.texts(SIZE))[words])

    assert (len(room.kept), room.screen.view().naming, room.screen.view().told) == (1, None, "Kept.")


def test_naming_can_be_given_up_and_what_cannot_be_played_is_not_kept() -> None:
    room = Room()
    room.do(Command.KEEP, Command.BACK)
    assert room.screen.view().naming is None
    room.type(", foxes")

    room.do(Command.KEEP)

    assert (room.screen.view().naming, room.screen.view().told) == (None, "This cannot be played yet.")
    assert room.kept == []


def test_leaving_asks_once_more_where_something_would_be_lost() -> None:
    assert isinstance(Room().do(Command.BACK), Page)
    room = Room()
    room.do(Command.RIGHT, Command.BACK)
    assert room.screen.view().told == NOT_KEPT
    assert isinstance(room.do(Command.BACK), Page)
    kept = Room()
    kept.do(Command.RIGHT, Command.KEEP, Command.CHOOSE)

    assert isinstance(kept.do(Command.BACK), Page)


def test_it_is_heard_until_it_changes_and_the_note_that_sounds_is_shown() -> None:
    room = Room()
    surface = pygame.display.set_mode(SIZE)
    room.screen.draw(surface, 0)
    silent = pygame.surfarray.array3d(surface)

    room.do(Command.LISTEN)
    room.screen.update((), 1_000_000_000)
    room.screen.draw(surface, 1_000_000_000)
    sounding = pygame.surfarray.array3d(surface)
    room.do(Command.RIGHT)

    assert (silent != sounding).any(axis=2).sum() > 100
    assert room.heard == ["A minor pentatonic, new line", "silence"]


def test_the_page_of_the_note_that_sounds_is_turned_to() -> None:
    line = load_exercise("long-terrace")
    room = Room(bench_of(load_recipe("long-terrace")[1]))
    surface = pygame.display.set_mode(SIZE)
    room.screen.draw(surface, 0)
    first = [text for text, _ in room.screen.texts(SIZE)]

    room.do(Command.LISTEN)
    now_ns = line.tempo.ns(line.notes[-1].onset_quarters)
    room.screen.update((), now_ns)
    room.screen.draw(surface, now_ns)

    assert [text for text, _ in room.screen.texts(SIZE)] != first
    assert room.screen._page == room.screen._paint(SIZE).line.pages - 1


def test_of_a_text_of_many_rows_those_around_the_cursor_or_the_mistake_are_seen() -> None:
    room = Room()
    room.type(", accent 1 3 5 7" * 18)

    def first_and_last() -> tuple[bool, bool]:
        words = [text for text, _ in room.screen.texts(SIZE)]
        return any(text.startswith("A minor") for text in words), any(text.endswith("5 7") for text in words)

    assert first_and_last() == (False, True)
    room.do(Command.FIRST)
    assert first_and_last()[0]


def test_a_variation_is_one_key_away_and_letters_go_on_with_it_in_words() -> None:
    room = varying("quarry-steps")
    room.do(Command.RIGHT)
    assert room.row("surprise me") == "draw 1"
    drawn = room.text

    room.type(", 80")

    assert isinstance(room.screen.bench, LineBench)
    assert room.text == drawn + ", 80"
    assert "the tempo is given twice" in room.screen.view().problems[0].text
    room.do(*[Command.ERASE] * 4, Command.CHOOSE)
    assert room.played[0].family == "quarry-steps"


def test_a_line_that_lists_its_notes_has_no_words_to_write() -> None:
    room = Room(variation_bench(load_exercise("two-gates"), None))

    room.do(Typed("x"), Command.ERASE, Command.BUILD)

    assert room.text == ""
    assert "lists its notes" in room.screen.view().told


def test_the_mouse_picks_rows_choices_arrows_letters_and_hints() -> None:
    room = Room()
    room.screen.texts(SIZE)

    def picture_areas() -> tuple[dict[int, Rect], dict[tuple[int, int], Rect]]:
        room.screen.texts(SIZE)
        painted = room.screen._painted
        assert painted is not None
        view = room.screen.view()
        rows = {(row, step): area for row, step, area in painted.picture.row_targets(view)}
        return dict(painted.picture.choice_targets(view)), rows

    room.press(picture_areas()[1][3, 0])
    assert room.screen.view().open_row == 3
    choices = picture_areas()[0]
    strings = [pick.words for pick in room.screen.view().rows[3].picks]
    room.press(choices[strings.index("2–3")])
    assert room.row("strings") == "2–3"
    room.press(picture_areas()[1][3, 1])
    assert room.row("strings") == "3–4"
    room.press(picture_areas()[1][3, -1])
    assert room.row("strings") == "2–3"
    painted = room.screen._painted
    room.screen.texts(SIZE)
    painted = room.screen._painted
    assert painted is not None
    box = painted.picture.text_box
    room.do(Pressed(box.left_px + 12, box.top_px + 10))
    assert room.screen.view().cursor == 0
    room.do(Scrolled(1, 0, 0))
    assert (room.screen.view().cursor, room.screen.view().open_row) == (None, 0)
    room.screen.texts(SIZE)
    painted = room.screen._painted
    assert painted is not None
    play = next(t for t in painted.picture.hint_targets(room.screen.view()) if t.action is Command.CHOOSE)
    assert isinstance(room.press(play.area), Page)


def test_f1_shows_the_keys_and_quitting_leaves() -> None:
    room = Room()

    assert isinstance(room.do(Command.KEYS), KeysScreen)
    assert room.do(Command.QUIT) is None
