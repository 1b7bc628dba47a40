"""What the guided tour says is what is to be seen there."""

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

import json
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import pygame
import pytest

from tests.screens.desk import FRAME_NS, Page
from trainer.following.ledger import Ledger
from trainer.following.verdict import Match, Missed, WrongNote
from trainer.screens.look import DARK, Look, wear, worn
from trainer.screens.screen import Command, Pressed, Scrolled
from trainer.screens.tour import TourScreen
from trainer.shipped import SHARED
from trainer.tablature.glyphs import Rect
from trainer.theory.technique import Technique
from trainer.touring import Sitting, tour

FACTS = json.loads((SHARED / "tour.json").read_text(encoding="utf-8"))
NOTE_OF = {stop["title"]: stop.get("note") for stop in FACTS["stops"]}
SIZES = ((1024, 640), (1280, 720), (1920, 1080))


@pytest.fixture(autouse=True)
def look() -> Iterator[None]:
    before = worn()
    yield
    wear(before)


@pytest.fixture(scope="module")
def ledger() -> Ledger:
    """Of the whole sitting."""
    return Sitting(FACTS).outcome.stretches[-1].ledger


def standing(screen: TourScreen, now_ns: int = 0) -> int:
    """Let it play until it stands; what time it is then."""
    screen.update((), now_ns)
    while screen.is_playing:
        now_ns += 4 * FRAME_NS
        screen.update((), now_ns)
    return now_ns


def test_each_note_that_is_shown_came_out_as_is_said_of_it(ledger: Ledger) -> None:
    late, wrong, unslid, missed = (
        ledger.of_written(NOTE_OF[title])
        for title in (
            "A note that came late",
            "A wrong note",
            "A slide that was not slid",
            "A note that was missed",
        )
    )
    clean = ledger.of_written(NOTE_OF["A note as written"])

    assert isinstance(clean, Match)
    assert clean.deviation_ns is not None
    assert abs(clean.deviation_ns) < 25_000_000
    assert isinstance(late, Match)
    assert late.deviation_ns is not None
    assert 60_000_000 < late.deviation_ns < 100_000_000
    assert isinstance(wrong, WrongNote)
    assert isinstance(unslid, Match)
    begun = ledger.technique_of(NOTE_OF["A slide that was not slid"])
    assert begun is not None
    assert (begun.written, begun.played) == (Technique.SLIDE, Technique.PICK)
    assert isinstance(missed, Missed)


def test_the_coach_names_the_transition_into_the_note_that_is_late_in_every_pass() -> None:
    screen = Sitting(FACTS).coached()
    note = NOTE_OF["A note that came late"]

    words = " ".join(text for text, _ in screen.texts(SIZES[1]))

    assert f"From note {note - 1} to {note} " in words


def test_the_tour_stands_with_the_cursor_on_the_note_and_says_why() -> None:
    screen = tour(lambda: Page("list"))
    now_ns, seen = 0, {}
    for title, note in NOTE_OF.items():
        if note is None:
            break
        assert screen.stop.title == title
        now_ns = standing(screen, now_ns + FRAME_NS)
        seen[title] = [text for text, _ in screen.texts(SIZES[1]) if text.startswith(f"Note {note} of pass 1")]
        screen.handle(Command.RIGHT)

    assert [title for title, said in seen.items() if len(said) != 1] == []
    assert ["missed" in seen["A note that was missed"][0], "another pitch" in seen["A wrong note"][0]] == [True, True]


@pytest.mark.parametrize(("size", "percent"), [(SIZES[0], 100), (SIZES[0], 130), (SIZES[1], 130)])
def test_at_no_stop_texts_overlap_or_are_cut_off(size: tuple[int, int], percent: int) -> None:
    wear(Look(DARK, percent))
    screen, surface = tour(lambda: Page("list")), pygame.Surface(size)
    now_ns, found = 0, []
    for stop in FACTS["stops"]:
        now_ns = standing(screen, now_ns)
        screen.draw(surface, now_ns)
        texts = screen.texts(size)
        found += [(stop["title"], a, b) for (a, one), (b, two) in combinations(texts, 2) if one.overlaps(two)]
        found += [(stop["title"], text, "") for text, area in texts if not Rect(0, 0, *size).contains(area)]
        screen.handle(Command.RIGHT)

    assert found == []


def test_on_back_and_away_by_keys_wheel_and_press() -> None:
    left: list[bool] = []

    def leave() -> Page:
        left.append(True)
        return Page("list")

    screen = tour(leave)
    titles = list(NOTE_OF)
    screen.update((), 0)
    screen.draw(pygame.Surface(SIZES[1]), 0)
    screen.handle(Command.LEFT)
    places = {
        name: Pressed(area.left_px + 2, (area.top_px + area.bottom_px) / 2)
        for name, area in screen.texts(SIZES[1])
        if name in {"→", "←"} and area.top_px > SIZES[1][1] * 0.9
    }

    visited = [screen.stop.title]
    for action in (Command.RIGHT, places["→"], Scrolled(1, 0, 0), places["←"], Command.LEFT, Command.PAUSE):
        assert screen.handle(action) is screen
        visited.append(screen.stop.title)
    for _ in titles[3:]:
        assert screen.handle(Command.CHOOSE) is screen

    assert [titles.index(title) for title in visited] == [0, 1, 2, 3, 2, 1, 2]
    assert screen.stop.title == titles[-1]
    assert isinstance(screen.handle(Command.RIGHT), Page)
    assert isinstance(screen.handle(Command.BACK), Page)
    assert left == [True, True]
    assert screen.handle(Command.QUIT) is None


def test_nothing_of_it_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    screen = tour(lambda: Page("list"))

    for now_ns in range(0, 300_000_000_000, 20_000_000_000):
        screen.update((), now_ns)
        screen.handle(Command.RIGHT)

    assert list(tmp_path.iterdir()) == []
