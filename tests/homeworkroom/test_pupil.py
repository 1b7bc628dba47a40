from datetime import timedelta
from pathlib import Path

import pygame
import pytest

from tests.history.builders import NOON
from tests.homework.builders import LINE, OTHER, assignment_of, keep_take, returned_of, take_of
from trainer.devices.recording import takes_folder
from trainer.homework import folders
from trainer.homework.assignment import Assignment, assignment_bytes
from trainer.homework.returned import returned_bytes, returned_in
from trainer.screens.home import HomeScreen
from trainer.screens.homework import NOTHING_TO_GIVE, HomeworkScreen
from trainer.screens.pick import PickScreen
from trainer.screens.practice import PracticeScreen
from trainer.screens.result import ResultScreen

from .visit import Visitor

NOTE = "Slowly at first"


def homework_in(folder: Path, name: str = "week-12.walkwork", **changes: object) -> Path:
    asked = assignment_of(LINE, OTHER, note=NOTE, **changes)
    path = folder / name
    path.write_bytes(assignment_bytes(asked))
    return path


def opened_long_ago(**changes: object) -> Assignment:
    asked = assignment_of(LINE, OTHER, note=NOTE, **changes)
    folders.open_homework(assignment_bytes(asked), (NOON - timedelta(days=9)).isoformat(), "0000000a")
    return asked


def test_a_file_that_is_dropped_on_the_list_is_opened_and_leads_back(visitor: Visitor, home: Path) -> None:
    visitor.drop(homework_in(home))

    assert isinstance(visitor.screen, HomeworkScreen)
    words = visitor.words
    for told in ("Week 12", "From Zoë. 2 exercises.", NOTE, "0 of 2 clean passes", "♩ = 100", "Week 12: Opened."):
        assert told in words
    visitor.press(pygame.K_ESCAPE)
    assert isinstance(visitor.screen, HomeScreen)
    assert {"ridge-steps", "two-ledges"} <= {line.name for line in visitor.rooms._library.exercises}


def test_an_exercise_is_played_at_its_target_as_often_as_asked_and_leads_back(visitor: Visitor) -> None:
    opened_long_ago()
    visitor.press(pygame.K_F7, pygame.K_DOWN, pygame.K_RETURN)

    assert isinstance(visitor.screen, PracticeScreen)
    plan = visitor.screen._plan
    assert (plan.exercise.notes, plan.exercise.name, plan.passes) == (OTHER.notes, "two-ledges", 2)
    assert plan.tempo.quarters_per_minute == 100
    visitor.press(pygame.K_ESCAPE)
    assert isinstance(visitor.screen, HomeworkScreen)


def test_clean_passes_count_as_soon_as_one_comes_back_from_playing(visitor: Visitor) -> None:
    opened_long_ago()
    visitor.press(pygame.K_F7)
    assert "0 of 2 clean passes" in visitor.words

    visitor.press(pygame.K_RETURN)
    keep_take(takes_folder(), LINE, tempo=104)
    keep_take(takes_folder(), OTHER, tempo=80, when=NOON + timedelta(hours=1))
    visitor.press(pygame.K_ESCAPE)

    words = visitor.words
    assert "2 of 2 clean passes, done" in words
    assert "0 of 2 clean passes" in words
    assert "The fastest clean pass was at ♩ = 104." in words


def test_takes_by_the_simulated_player_do_not_count_and_that_is_said(visitor: Visitor) -> None:
    opened_long_ago()
    keep_take(takes_folder(), LINE, tempo=104, seed=1)

    visitor.press(pygame.K_F7)

    assert "Left out: 1 take by the simulated player." in visitor.words


def test_it_is_given_back_with_one_key_and_a_name_to_a_place_that_is_told(visitor: Visitor, home: Path) -> None:
    opened_long_ago()
    keep_take(takes_folder(), LINE, tempo=104)
    visitor.press(pygame.K_F7)
    assert "done" in visitor.words

    visitor.press(pygame.K_F7)
    assert f"It will be in {home / 'Documents'}." in visitor.words
    visitor.write("Ana B")
    visitor.press(pygame.K_BACKSPACE, pygame.K_BACKSPACE, pygame.K_RETURN)

    (path,) = (home / "Documents").iterdir()
    back = returned_in(path.read_bytes())
    assert (back.pupil, len(back.takes), back.figures[0].clean) == ("Ana", 1, 2)
    words = visitor.words.replace(" ", "")
    assert f"Written:{path}" in words
    assert "1takeandyourname.GivethatfiletoZoë." in words


def test_the_name_is_known_where_the_homework_is_for_one_pupil_and_can_be_left_out(
    visitor: Visitor, home: Path
) -> None:
    opened_long_ago(pupils=("Ben",))
    visitor.press(pygame.K_F7)
    assert visitor.words

    visitor.press(pygame.K_F7)
    assert "see it: Ben" in visitor.words
    visitor.press(pygame.K_ESCAPE)
    assert "see it" not in visitor.words

    visitor.press(pygame.K_F7, pygame.K_RETURN)
    assert "Nothing was written: no take of ridge-steps, two-ledges is kept" in visitor.words
    assert list((home / "Documents").iterdir()) == []


def test_without_homework_it_says_what_to_do(visitor: Visitor) -> None:
    visitor.press(pygame.K_F7)

    assert "Drop its file onto this window" in visitor.words
    visitor.press(pygame.K_F7)
    assert NOTHING_TO_GIVE in visitor.words


def test_files_that_lie_about_are_offered_the_newest_first_and_a_path_can_be_typed(
    visitor: Visitor, home: Path
) -> None:
    homework_in(home / "Downloads", "old.walkwork")
    homework_in(home / "Documents", "new.walkwork")
    hidden = homework_in(home, "hidden.walkwork", title="From the shed", identity="00000000000b")
    visitor.press(pygame.K_F7)
    visitor.letter("o")
    assert isinstance(visitor.screen, PickScreen)
    assert {pick.words for pick in visitor.screen.shown} == {"old.walkwork", "new.walkwork"}

    visitor.write(f"~/{hidden.name}")
    visitor.press(pygame.K_RETURN)

    assert isinstance(visitor.screen, HomeworkScreen)
    assert "From the shed" in visitor.words


def test_a_file_is_found_and_opened_and_played_by_mouse_alone(visitor: Visitor, home: Path) -> None:
    homework_in(home / "Downloads")

    visitor.click("homework")
    visitor.click("open a file")
    visitor.click("week-12.walkwork")
    visitor.click("A minor pentatonic, strings 1-2")
    visitor.click("play")

    assert isinstance(visitor.screen, PracticeScreen)
    assert visitor.screen._plan.exercise.name == "two-ledges"


def test_the_other_homework_is_beside_it(visitor: Visitor) -> None:
    opened_long_ago()
    opened_long_ago(identity="00000000000b", title="The ridge", made="2026-03-11T10:00:00+01:00")
    visitor.press(pygame.K_F7)
    assert "The ridge" in visitor.words
    assert "1 of 2" in visitor.words

    visitor.press(pygame.K_RIGHT)

    assert "Week 12" in visitor.words


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("notes.txt", b"hello", "notes.txt is no file of homework: expected one that ends in .walkwork or .walkdone."),
        ("a.walkwork", b"hello", "a.walkwork is not a file of homework, or only the beginning of one."),
        ("a.walkwork", assignment_bytes(assignment_of())[:-40], "or only the beginning of one"),
        ("a.walkwork", returned_bytes(returned_of(take_of())), "is homework that was given back"),
        ("a.walkwork", None, "a.walkwork cannot be read (No such file or directory)."),
    ],
)
def test_a_file_that_cannot_be_used_is_refused_in_a_sentence(
    name: str, data: bytes | None, told: str, visitor: Visitor, home: Path
) -> None:
    if data is not None:
        (home / name).write_bytes(data)

    visitor.drop(home / name)

    assert isinstance(visitor.screen, HomeworkScreen)
    assert told in visitor.words
    assert folders.all_opened() == ()


def test_two_drops_at_once_are_both_opened_and_each_is_told_of(visitor: Visitor, home: Path) -> None:
    one = homework_in(home)
    other = homework_in(home, "ridge.walkwork", identity="00000000000b", title="The ridge")
    broken = home / "broken.walkwork"
    broken.write_bytes(b"")

    visitor.drop(one, broken)
    visitor.drop(other)

    assert {opened.assignment.title for opened in folders.all_opened()} == {"Week 12", "The ridge"}
    assert "The ridge: Opened." in visitor.words
    visitor.press(pygame.K_ESCAPE)
    assert isinstance(visitor.screen, HomeScreen)


def test_what_was_opened_on_another_page_is_there_on_coming_back(visitor: Visitor, home: Path) -> None:
    opened_long_ago()
    visitor.press(pygame.K_F7, pygame.K_DOWN, pygame.K_F9)
    visitor.drop(homework_in(home, identity="00000000000b", title="The ridge"))

    visitor.press(pygame.K_ESCAPE, pygame.K_ESCAPE)

    words = visitor.words
    assert "The ridge" in words
    assert "1 of 2" in words
    visitor.press(pygame.K_RETURN)
    assert isinstance(visitor.screen, PracticeScreen)
    assert visitor.screen._plan.exercise.name == "two-ledges"
    visitor.press(pygame.K_ESCAPE, pygame.K_ESCAPE)
    assert isinstance(visitor.screen, HomeScreen)


def test_a_file_dropped_while_practising_waits_for_the_list_and_interrupts_nothing(
    visitor: Visitor, home: Path
) -> None:
    visitor.press(pygame.K_RETURN)
    practising = visitor.screen
    assert isinstance(practising, PracticeScreen)
    run = practising._run

    visitor.drop(homework_in(home))
    visitor.frame()

    assert visitor.screen is practising
    assert practising._run is run
    assert run is not None
    assert not run.is_finished
    visitor.press(pygame.K_ESCAPE)
    assert isinstance(visitor.screen, HomeworkScreen)
    assert "Week 12: Opened." in visitor.words


def test_a_result_is_seen_before_what_was_dropped_meanwhile(visitor: Visitor, home: Path) -> None:
    visitor.press(pygame.K_RETURN)
    visitor.drop(homework_in(home))
    room, result = visitor.rooms.homeworkroom, object.__new__(ResultScreen)

    assert room.lead(result) is result
    room._waits = False
    assert isinstance(room.lead(result), HomeworkScreen)


def test_a_damaged_record_hides_no_other_homework(visitor: Visitor) -> None:
    opened_long_ago()
    opened_long_ago(identity="00000000000b", title="The ridge")
    (folders.homework_folder() / "opened" / "00000000000b.json").write_text("{")

    visitor.press(pygame.K_F7)

    words = visitor.words
    assert "Week 12" in words
    assert "Open the homework again to mend it" in words


def test_a_line_that_was_changed_here_is_played_as_it_was_asked_for(visitor: Visitor) -> None:
    opened_long_ago()
    own = folders.exercises_folder() / "ridge-steps.toml"
    own.write_text('key = "E dorian"\nroute = "1"\ncell = "up"\n')

    visitor.press(pygame.K_F7, pygame.K_RETURN)

    assert isinstance(visitor.screen, PracticeScreen)
    assert visitor.screen._plan.exercise.notes == LINE.notes
