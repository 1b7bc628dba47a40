import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pygame
import pytest

from tests.homework.builders import LINE, OTHER, assignment_of, returned_of, take_of
from trainer.homework import folders
from trainer.homework.assignment import Assignment, assignment_in
from trainer.homework.container import RETURN, packed, unpacked
from trainer.homework.returned import returned_bytes
from trainer.screens.home import HomeScreen
from trainer.screens.homework import HomeworkScreen
from trainer.screens.homework_making import NOT_WRITTEN, MakingScreen
from trainer.screens.homework_making_picture import Draft
from trainer.screens.homework_table import TableScreen
from trainer.screens.pick import PickScreen
from trainer.screens.practice import PracticeScreen

from .test_pupil import homework_in
from .visit import Visitor

SLOW, FAST = take_of(tempo=80), take_of(tempo=104, days=1)
LAST_WEEK = "2026-03-13T18:00:00+01:00"


def back_from(folder: Path, name: str, *takes: bytes, number: int = 1, **changes: object) -> Path:
    """A returned file, whose name tells whose it is."""
    returned = replace(returned_of(*takes, pupil=name, tag=f"{number:08x}"), **changes)  # type: ignore[arg-type]  # fields by their names
    path = folder / f"{name.lower()}-{number}.walkdone"
    path.write_bytes(returned_bytes(returned))
    return path


def written_in(folder: Path) -> list[Assignment]:
    return sorted((assignment_in(path.read_bytes()) for path in folder.iterdir()), key=lambda one: one.edition)


def add(visitor: Visitor, words: str) -> None:
    """Pick an exercise by words of its title."""
    visitor.press(pygame.K_F4)
    assert isinstance(visitor.screen, PickScreen)
    visitor.write(words)
    visitor.press(pygame.K_RETURN)


def begin(visitor: Visitor) -> None:
    """To the page for giving out, with a title and pupils."""
    visitor.press(pygame.K_F7, pygame.K_F4)
    assert isinstance(visitor.screen, MakingScreen)
    for words in ("Week 13", "Zoë", "Ana, Ben", "Slowly"):
        visitor.write(words)
        visitor.press(pygame.K_DOWN)


def test_lines_are_picked_and_what_is_asked_is_written_into_one_file(visitor: Visitor, home: Path) -> None:
    begin(visitor)
    add(visitor, "two gates")
    visitor.press(*[pygame.K_BACKSPACE] * 3)
    visitor.write("96")
    visitor.press(pygame.K_TAB, pygame.K_LEFT, pygame.K_TAB, pygame.K_RIGHT, pygame.K_RIGHT, pygame.K_TAB)
    visitor.write("Watch the slide")
    add(visitor, "ridge path")
    visitor.press(pygame.K_RIGHT)

    visitor.press(pygame.K_F7)

    (asked,) = written_in(home / "Documents")
    told = [(t.exercise.name, t.target_qpm, t.passes, t.articulation, t.note) for t in asked.tasks]
    own_tempo = next(line.tempo for line in visitor.rooms._library.exercises if line.name == "ridge-path")
    assert told == [
        ("two-gates-legato", Fraction(96), 4, "legato", "Watch the slide"),
        ("ridge-path", own_tempo.quarters_per_minute + 4, 5, "", ""),
    ]
    assert (asked.title, asked.teacher, asked.note) == ("Week 13", "Zoë", "Slowly")
    assert folders.all_made()[0].pupils == ("Ana", "Ben")
    assert f"Written: {home / 'Documents' / 'week-13.walkwork'}" in visitor.words
    assert "Give that file to Ana, Ben." in visitor.words


def test_what_is_written_already_is_not_written_again_and_who_teaches_is_known_next_time(
    visitor: Visitor, home: Path
) -> None:
    begin(visitor)
    add(visitor, "two gates")

    visitor.press(pygame.K_F7, pygame.K_F7)

    assert len(written_in(home / "Documents")) == 1
    assert "Written: " in visitor.words
    visitor.press(pygame.K_ESCAPE, pygame.K_F4, pygame.K_RETURN)
    assert isinstance(visitor.screen, MakingScreen)
    assert visitor.screen.draft == Draft(teacher="Zoë")


def test_what_is_written_again_after_a_change_is_a_new_edition(visitor: Visitor, home: Path) -> None:
    begin(visitor)
    add(visitor, "two gates")
    visitor.press(pygame.K_F7, pygame.K_TAB, pygame.K_RIGHT, pygame.K_F7)

    first, second = written_in(home / "Documents")

    assert (first.identity, first.edition, second.edition) == (second.identity, 1, 2)
    assert second.tasks[0].passes == first.tasks[0].passes + 1


def test_what_was_given_out_can_be_changed_later_without_its_exercise_at_hand(visitor: Visitor, home: Path) -> None:
    given = assignment_of(LINE, OTHER, pupils=("Ana",), note="Slowly")
    folders.keep_made(given)
    visitor.press(pygame.K_F7, pygame.K_F4, pygame.K_DOWN, pygame.K_RETURN)
    assert isinstance(visitor.screen, MakingScreen)
    visitor.press(*[pygame.K_DOWN] * 5, pygame.K_DELETE, *[pygame.K_UP] * 2, *[pygame.K_BACKSPACE] * 6)

    visitor.press(pygame.K_F7)

    (again,) = written_in(home / "Documents")
    assert (again.identity, again.edition, again.note) == (given.identity, 2, "")
    assert [task.exercise.notes for task in again.tasks] == [LINE.notes]


@pytest.mark.parametrize(
    ("lines", "keys", "told"),
    [
        ((), (), "there is no exercise in it yet. F4 adds one."),
        (("two gates", "two gates"), (), "one and the same line is asked for twice"),
        (("two gates",), (pygame.K_TAB, pygame.K_BACKSPACE), "passes '': expected 1 to 200"),
    ],
)
def test_what_cannot_be_given_out_is_said_and_nothing_is_written(
    lines: tuple[str, ...], keys: tuple[int, ...], told: str, visitor: Visitor, home: Path
) -> None:
    begin(visitor)
    for line in lines:
        add(visitor, line)

    visitor.press(*keys, pygame.K_F7)

    assert f"Nothing was written: {told}" in visitor.words
    assert list((home / "Documents").iterdir()) == []


def test_a_target_out_of_range_is_refused_with_the_range(visitor: Visitor, home: Path) -> None:
    begin(visitor)
    add(visitor, "two gates")
    visitor.write("999x")

    visitor.press(pygame.K_F7)

    assert "expected 10 to 400 quarters a minute" in visitor.words
    assert list((home / "Documents").iterdir()) == []


def test_what_is_not_written_is_left_only_when_asked_twice(visitor: Visitor) -> None:
    begin(visitor)

    visitor.press(pygame.K_ESCAPE)
    assert NOT_WRITTEN in visitor.words
    visitor.press(pygame.K_ESCAPE)

    assert isinstance(visitor.screen, HomeworkScreen)


def test_where_documents_cannot_be_written_the_file_lies_beside_the_takes(visitor: Visitor, home: Path) -> None:
    (home / "Documents").rmdir()
    begin(visitor)
    add(visitor, "two gates")

    visitor.press(pygame.K_F7)

    (path,) = (folders.homework_folder() / "to-hand-over").iterdir()
    assert str(path).replace(" ", "") in visitor.words.replace(" ", "")


def test_everything_can_be_done_by_mouse(visitor: Visitor, home: Path) -> None:
    visitor.click("homework")
    visitor.click("give out")
    visitor.click("add an exercise")
    assert isinstance(visitor.screen, PickScreen)
    second = visitor.screen.shown[1].words
    visitor.click(second)
    visitor.click(second)
    assert isinstance(visitor.screen, MakingScreen)
    passes = visitor.screen.draft.items[0].passes
    visitor.click(passes)
    visitor.click(f"{passes}▏")

    visitor.click("write the file")

    (asked,) = written_in(home / "Documents")
    assert asked.tasks[0].passes in (int(passes) - 1, int(passes) + 1)


def test_many_files_dropped_at_once_are_one_table_and_an_edited_figure_is_flagged(visitor: Visitor, home: Path) -> None:
    folders.keep_made(assignment_of(pupils=("Ana", "Ben", "Cleo", "Dan")))
    honest = returned_of(SLOW)
    edited = (replace(honest.figures[0], fastest_clean_qpm=Fraction(140), clean=9),)
    files = [
        back_from(home, "Ana", SLOW, FAST, made=LAST_WEEK),
        back_from(home, "Ben", SLOW, number=2, figures=edited),
        back_from(home, "Cleo", take_of(faults="miss 3"), number=3),
    ]

    visitor.drop(*files)

    assert isinstance(visitor.screen, TableScreen)
    words = visitor.words
    for told in (
        "Ana",
        "Ben",
        "Cleo",
        "Nothing yet from Dan.",
        "(104) of 100",
        "≠ the file says something else",
        "14 Mar",
    ):
        assert told in words
    assert "back on 13 Mar" in words
    visitor.press(pygame.K_DOWN)
    says = "Ridge-steps: the file says clean up to 140, 9 of 2 passes clean, 0.2 min; measured clean up to 80, 2 of 2"
    assert says in visitor.words
    assert sum(text == "≠" for text, _ in visitor.placed) == 1
    assert sum(text == "✓" for text, _ in visitor.placed) == 1


def test_files_dropped_while_others_are_judged_join_the_table(visitor: Visitor, home: Path) -> None:
    folders.keep_made(assignment_of())

    visitor.drop(back_from(home, "Ana", SLOW))
    visitor.drop(back_from(home, "Ben", FAST, number=2))
    table = visitor.screen
    visitor.drop(home / "elsewhere", home / "nowhere.walkdone")

    assert visitor.screen is table
    words = visitor.words
    assert "Ana" in words
    assert "Ben" in words
    assert "nowhere.walkdone cannot be read (No such file or directory)." in words


def test_a_folder_is_opened_whole_and_is_there_again_next_time(visitor: Visitor, home: Path) -> None:
    back_from(home / "elsewhere", "Ana", SLOW)
    back_from(home / "elsewhere", "Ben", FAST, number=2)
    (home / "elsewhere" / "broken.walkdone").write_bytes(b"PK")

    visitor.drop(home / "elsewhere")

    words = visitor.words
    assert "2 pupils so far" in words
    assert "broken.walkdone is not a file of homework" in words
    visitor.press(pygame.K_ESCAPE)
    assert isinstance(visitor.screen, HomeScreen)
    visitor.press(pygame.K_F7, pygame.K_F9)
    assert "2 pupils so far" in visitor.words


def test_where_nothing_was_given_back_what_came_before_stays(visitor: Visitor, home: Path) -> None:
    visitor.drop(back_from(home, "Ana", SLOW))
    assert "1 pupil so far" in visitor.words
    visitor.press(pygame.K_ESCAPE)
    visitor.rooms.homeworkroom._teacher._paths = {}

    visitor.drop(home / "elsewhere")

    words = visitor.words
    assert "Nothing that was given back is in elsewhere." in words
    assert "1 pupil so far" in words


@pytest.mark.parametrize("typed", ["~nobody-here/x.walkdone", "/" + "x" * 400, "~/elsewhere/"])
def test_any_path_can_be_typed(typed: str, visitor: Visitor) -> None:
    visitor.press(pygame.K_F7, pygame.K_F9)
    assert visitor.words
    visitor.letter("o")

    visitor.write(typed)
    visitor.press(pygame.K_RETURN)

    assert isinstance(visitor.screen, HomeworkScreen | TableScreen)
    words = visitor.words
    assert any(told in words for told in ("cannot be read", "is no file", "Nothing that was"))


def test_what_changed_since_last_week_is_told(visitor: Visitor, home: Path) -> None:
    folders.keep_made(assignment_of())

    visitor.drop(back_from(home, "Ana", SLOW, made=LAST_WEEK))
    assert "This is the first file." in visitor.words
    (home / "later").mkdir()
    visitor.drop(back_from(home / "later", "Ana", SLOW, FAST))

    words = visitor.words
    assert "0.4 min · 15 Mar · +24" in words
    assert "Since the file of 13 Mar: +24, +2 clean at the target, +0.2 minutes." in words


def test_a_cell_leads_to_its_takes_and_each_is_shown_again(visitor: Visitor, home: Path) -> None:
    visitor.drop(back_from(home, "Ana", SLOW, FAST))
    assert "clean up to 104" in visitor.words

    visitor.press(pygame.K_RETURN)
    takes = visitor.screen
    assert isinstance(takes, PickScreen)
    assert [pick.words for pick in takes.shown] == [
        "Take 1, 14 Mar at 12:00, ♩ = 80",
        "Take 2, 15 Mar at 12:00, ♩ = 104",
    ]
    visitor.press(pygame.K_UP, pygame.K_RETURN)

    replay = visitor.screen
    assert isinstance(replay, PracticeScreen)
    assert replay._plan.tempo.quarters_per_minute == 80
    now_ns = replay._now_ns
    for _ in range(400):
        now_ns += 50_000_000
        following = replay.update((), now_ns)
        if following is not replay:
            break
    visitor.screen = following
    assert "2 passes" in visitor.words
    visitor.press(pygame.K_ESCAPE)
    assert visitor.screen is takes
    visitor.press(pygame.K_ESCAPE)
    assert isinstance(visitor.screen, TableScreen)


def test_a_cell_without_takes_says_so(visitor: Visitor, home: Path) -> None:
    visitor.drop(back_from(home, "Ana"))

    assert "nothing played" in visitor.words
    visitor.press(pygame.K_RETURN)

    assert "Ana gave back no take of" in visitor.words


def test_files_that_came_back_are_found_in_downloads_and_taken_all_together_by_mouse(
    visitor: Visitor, home: Path
) -> None:
    back_from(home / "Downloads", "Ana", SLOW)
    back_from(home / "Downloads", "Ben", FAST, number=2)
    visitor.click("homework")
    visitor.click("what came back")
    assert "Nothing came back yet." in visitor.words

    visitor.click("open files")
    visitor.click("All 2 in Downloads")

    assert isinstance(visitor.screen, TableScreen)
    assert "2 pupils so far" in visitor.words
    visitor.click("(80) of 100")
    assert isinstance(visitor.screen, PickScreen)


def test_both_kinds_dropped_together_are_both_opened(visitor: Visitor, home: Path) -> None:
    visitor.drop(homework_in(home, identity="00000000000b", title="The ridge"), back_from(home, "Ana", SLOW))

    assert isinstance(visitor.screen, TableScreen)
    assert "The ridge: Opened." in visitor.words
    assert [one.assignment.title for one in folders.all_opened()] == ["The ridge"]


def test_a_take_that_was_changed_is_refused_with_its_file(visitor: Visitor, home: Path) -> None:
    path = back_from(home, "Ana", SLOW)
    members = unpacked(path.read_bytes())
    told = json.loads(members[RETURN])
    path.write_bytes(packed(members | {"takes/001.mid": FAST, RETURN: json.dumps(told).encode()}))

    visitor.drop(path)

    assert "take 1 is not as it was recorded: someone has changed it." in visitor.words


def test_leaving_while_takes_are_judged_stops_the_judging(visitor: Visitor, home: Path) -> None:
    visitor.drop(*(back_from(home, name, take_of(passes=1, days=n), number=n) for n, name in enumerate(("Ana", "Ben"))))
    visitor.press(pygame.K_ESCAPE)

    assert isinstance(visitor.screen, HomeScreen)
    assert visitor.rooms.homeworkroom._teacher._job is None
