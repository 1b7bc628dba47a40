"""Thousands of own exercises, broken ones among them: the list is there at once, and nobody waits for the others."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.screens.desk import FRAME_NS, Page

import pygame  # isort: skip  # after the desk, which chooses the driver

from trainer.score.practice_path import PATH
from trainer.screens.choices import InputChoice
from trainer.screens.home import HomeScreen
from trainer.screens.home_list import Known
from trainer.screens.screen import Command, Typed
from trainer.workroom import Library

OWN = 5_000
BROKEN_EVERY = 50
TEXT = 'title = "{title}"\nkey = "E dorian"\nroute = "1"\ncell = "up"\n'


@pytest.fixture(scope="module")
def home_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of own exercises, every fiftieth of which cannot be read."""
    folder = tmp_path_factory.mktemp("large")
    own = folder / "exercises"
    own.mkdir()
    for number in range(OWN):
        text = "key = 3" if number % BROKEN_EVERY == 0 else TEXT.format(title=f"Ledge {number}")
        (own / f"ledge-{number:04}.toml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def library(home_folder: Path, monkeypatch: pytest.MonkeyPatch) -> Library:
    monkeypatch.setenv("BOXWALK_DATA", str(home_folder))
    return Library()


def home_of(library: Library) -> HomeScreen:
    return HomeScreen(
        library.known,
        list_inputs=lambda: (InputChoice("simulated", "simulated player", is_pickup=False),),
        play=lambda _plan, _chosen: Page("practice"),
        more=library.more,
    )


def test_reading_begins_with_the_chosen_line_and_goes_on_along_the_path(library: Library) -> None:
    library.look("ledge-4321")

    for _ in range(3):
        library.read_on(within_ns=0)

    assert {line.name for line in library.known} == {"ledge-4321", *PATH[0].exercises[:2]}


def test_a_frame_reads_one_exercise_at_least_and_no_more_than_fit_into_it(library: Library) -> None:
    library.look()

    assert library.read_on(within_ns=0)
    assert len(library.known) == 1


def test_what_was_read_is_not_read_again_and_what_has_gone_is_forgotten(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    library.look("ledge-0001")
    library.read_on(within_ns=0)
    (before,) = library.known

    library.look("ledge-0001")
    assert library.known == (before,)
    assert library.known[0] is before
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    library.look()
    assert library.known == ()


def test_the_list_opens_on_a_few_takes_in_more_and_keeps_what_is_pointed_to(
    library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trainer.workroom.TOLD_EVERY_NS", 0)
    library.look("ledge-0001")
    library.read_on(within_ns=0)
    home = home_of(library)
    surface = pygame.Surface((1280, 720))
    before = home.shown

    for frame in range(4):
        home.update((), frame * FRAME_NS)
        home.draw(surface, frame * FRAME_NS)

    assert [line.name for line in before] == ["ledge-0001"]
    assert len(home.shown) > len(before)
    assert home.selected == before[0]


def test_a_line_that_cannot_be_read_is_said_when_it_is_come_upon(library: Library) -> None:
    library.look("ledge-0050")
    library.read_on(within_ns=0)

    known = library.more()

    assert known is not None
    assert "ledge-0050.toml" in known.complaint


def test_thousands_are_searched_stepped_through_and_drawn(library: Library) -> None:
    library.look("ledge-0001")
    library.read_on(within_ns=0)
    (line,) = library.known
    many = tuple(replace(line, name=f"ledge-{n}", title=f"Ledge {n}") for n in range(OWN))
    grown = iter([Known(many, "")])
    home = HomeScreen(
        many[:1],
        list_inputs=lambda: (InputChoice("simulated", "simulated player", is_pickup=False),),
        play=lambda _plan, _chosen: Page("practice"),
        more=lambda: next(grown, None),
    )
    surface = pygame.Surface((1280, 720))

    home.update((), 0)
    home.draw(surface, 0)
    assert len(home.shown) == OWN
    for letter in "4999":
        home.handle(Typed(letter))
        home.draw(surface, 0)
    assert [line.title for line in home.shown] == ["Ledge 4999"]
    home.handle(Command.BACK)
    home.handle(Command.LAST)
    home.draw(surface, 0)
    assert home.selected == home.shown[-1]
