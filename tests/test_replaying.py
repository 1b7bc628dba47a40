import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

from pathlib import Path

import numpy as np
import pygame
import pytest

from tests.kept_takes import keep_take
from tests.screens.desk import Page
from tests.screens.reviewed import HeardSound, keep_two
from tests.screens.reviewed import Watched as WatchedTake
from trainer.devices.sound import SilentSound
from trainer.following.verdict import Missed
from trainer.other_takes import other_files, other_take
from trainer.playing.take import LONGEST_NOTE, Take, TakeHeader, note_path, read_take
from trainer.replaying import BEFORE_NS, PICTURE_PX, Replay, picture_of, replay_screen, review_of
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.screens.review import ReviewScreen
from trainer.screens.screen import Command, Screen, Scrolled, Typed
from trainer.sounds.endless import Buffer
from trainer.sounds.samples import RATE
from trainer.tablature.state import next_slip
from trainer.take_notes import keep_note, read_note

LINE = load_exercise("two-gates")
FRAME_NS = 16_666_667


def kept(folder: Path) -> tuple[Take, TakeHeader]:
    keep_take(folder, "two-gates", tempo=60, passes=1, faults="miss 5")
    take = read_take(next(folder.glob("*.mid")))
    assert take.header is not None
    return take, take.header


class Watched:
    """A replay that is watched frame by frame."""

    def __init__(self, take: Take, header: TakeHeader) -> None:
        self.sound = HeardSound(lambda: self.now_ns)
        self.replay = Replay(take, header, LINE.tuning, self.sound)
        self.now_ns = 5_000_000_000
        plan = RunPlan(LINE, LINE.tempo).at_tempo(header.quarters_per_minute)
        self.screen: Screen = ReviewScreen(
            plan,
            self.replay,
            status=lambda: "Replay",
            show_result=lambda _: self.screen,
            leave_to=lambda: self.screen,
        )

    def watch(self, seconds: float) -> None:
        for _ in range(round(seconds * 60)):
            self.now_ns += FRAME_NS
            self.screen.update((), self.now_ns)

    @property
    def practice(self) -> ReviewScreen:
        assert isinstance(self.screen, ReviewScreen)
        return self.screen


def test_a_replay_goes_on_from_where_it_was_stopped_with_the_same_verdicts(tmp_path: Path) -> None:
    watched = Watched(*kept(tmp_path))
    watched.watch(14)
    watched.screen.handle(Command.PAUSE)
    before = watched.practice.view(watched.now_ns)
    settled = [before.ledger.of_written(index) for index in range(8)]

    for command in (Command.FIRST, Command.NEXT, Command.PAUSE):
        watched.screen.handle(command)
    watched.watch(0.05)
    resumed = watched.practice.view(watched.now_ns)
    watched.watch(6)
    later = watched.practice.view(watched.now_ns)

    assert isinstance(settled[5], Missed)
    assert next_slip(before.ledger, 8, 0) == 5
    at_slip = float(LINE.notes[5].onset_quarters)
    assert at_slip - 1 < resumed.now_quarters < at_slip
    assert [later.ledger.of_written(index) for index in range(8)] == settled


def test_a_replay_that_begins_anew_is_counted_once(tmp_path: Path) -> None:
    watched = Watched(*kept(tmp_path))
    watched.watch(6)

    watched.screen.handle(Command.RESTART)
    watched.watch(3)
    watched.screen.handle(Command.BACK)

    assert len(watched.practice._stretches) == 1


def test_a_replay_is_watched_and_not_played_otherwise(tmp_path: Path) -> None:
    watched = Watched(*kept(tmp_path))
    watched.watch(8)
    before = watched.practice.view(watched.now_ns).passes
    for command in (Command.PACE, Command.BACKING, Command.MARK_START, Command.LOOP):
        watched.screen.handle(command)
    watched.watch(1)
    view = watched.practice.view(watched.now_ns)

    assert (before, view.passes) == ("pass 1 of 1", "pass 1 of 1")
    assert len(watched.practice._stretches) == 1
    assert view.now_quarters == pytest.approx(5.0, abs=0.05)  # a bar of count-in, at 60


def test_at_half_speed_the_take_goes_half_as_far_with_the_same_verdicts(tmp_path: Path) -> None:
    watched, slow = Watched(*kept(tmp_path)), Watched(*kept(tmp_path / "again"))
    watched.watch(9)

    slow.watch(2)
    slow.screen.handle(Command.SLOWER)
    slow.watch(14)

    views = [one.practice.view(one.replay.clock(one.now_ns)) for one in (watched, slow)]
    assert views[1].now_quarters == pytest.approx(views[0].now_quarters, abs=0.05)
    assert views[1].passes == "pass 1 of 1 · half speed"
    verdicts = [[view.ledger.of_written(index) for index in range(9)] for view in views]
    assert verdicts[0] == verdicts[1]


def test_what_was_heard_sounds_along_from_wherever_the_take_goes_on(tmp_path: Path) -> None:
    watched = Watched(*kept(tmp_path))
    watched.watch(8)
    whole = watched.sound.buffers[0]
    for command in (Command.PAUSE, Command.SLOWER, Command.FIRST, Command.NEXT, Command.PAUSE):
        watched.screen.handle(command)
    rest = watched.sound.buffers[-1]

    at_slip = 4 + float(LINE.notes[5].onset_quarters)  # seconds at 60, after a bar of count-in
    taken_off = at_slip - BEFORE_NS / 1e9
    assert watched.sound.stops >= 1
    assert len(watched.sound.buffers) == 2
    assert len(rest) / RATE == pytest.approx(2 * (len(whole) / RATE - taken_off), abs=0.1)
    assert first_sound_s(whole) == pytest.approx(4.0, abs=0.03)
    before_slip = 4 + float(LINE.notes[4].onset_quarters)
    assert first_sound_s(rest) == pytest.approx(2 * (before_slip - taken_off), abs=0.06)
    missed_s = 2 * (at_slip - taken_off)
    assert loudest(rest, missed_s + 0.05, missed_s + 0.9) < 200 < loudest(rest, missed_s + 0.95, missed_s + 1.2)


def test_a_key_mutes_it_and_the_take_goes_on(tmp_path: Path) -> None:
    watched = Watched(*kept(tmp_path))
    watched.watch(5)

    watched.screen.handle(Command.HEAR)
    muted = watched.practice.view(watched.now_ns).keys
    watched.watch(2)
    watched.screen.handle(Command.RESTART)
    silent = len(watched.sound.buffers)
    watched.screen.handle(Command.HEAR)

    assert ("H", "hear", Command.HEAR) in muted
    assert silent == 1
    assert len(watched.sound.buffers) == 2


def first_sound_s(buffer: Buffer) -> float:
    """When anything is heard."""
    samples = np.abs(np.asarray(buffer[0 : len(buffer)]))
    return float(np.argmax(samples > 200)) / RATE


def loudest(buffer: Buffer, from_s: float, to_s: float) -> int:
    """The highest sample of a stretch."""
    return int(np.abs(np.asarray(buffer[round(from_s * RATE) : round(to_s * RATE)])).max())


def test_when_it_is_stopped_all_of_the_take_is_judged_and_can_be_walked_over(tmp_path: Path) -> None:
    watched = Watched(*kept(tmp_path))
    watched.watch(5)

    watched.screen.handle(Command.PAUSE)
    view = watched.practice.view(watched.now_ns)
    watched.screen.handle(Command.NEXT)

    assert [index for index in range(32) if view.ledger.of_written(index) is None] == []
    assert view.now_quarters < 2
    assert watched.practice.view(watched.now_ns).now_quarters == float(LINE.notes[5].onset_quarters)


def test_another_take_lies_under_the_first_note_by_note(tmp_path: Path) -> None:
    _, other = keep_two(tmp_path)
    watched = WatchedTake(tmp_path, others=(other,))
    watched.watch(6)
    alone = watched.screen.view(watched.now_ns)

    watched.given(Command.TWINS)
    view = watched.screen.view(watched.now_ns)
    watched.given(Command.TWINS)

    assert (alone.other, alone.beneath) == (None, "neck")
    assert (view.beneath, view.other_words) == ("other", "other take: 2026-03-01 09:30, ♩ = 66, 29 of 32 as written")
    assert view.other is not None
    assert [index for index, state in view.other.items() if isinstance(state.verdict, Missed)] == [8]
    assert watched.screen.view(watched.now_ns).beneath == "neck"


def test_older_and_newer_takes_are_chosen_and_one_that_cannot_be_read_is_passed_over(tmp_path: Path) -> None:
    one, other = keep_two(tmp_path)
    broken = tmp_path / "broken.mid"
    broken.write_bytes(b"not a file of notes")
    watched = WatchedTake(tmp_path, others=(other, broken, one), shows_other=True)
    watched.watch(1)

    def shown() -> str:
        return watched.screen.view(watched.now_ns).other_words

    first = shown()
    watched.given(Command.DOWN)
    older = shown()
    watched.given(Command.DOWN)
    at_the_end = shown()
    watched.given(Command.UP)

    assert ("09:30" in first, "09:00" in older, "09:00" in at_the_end, "09:30" in shown()) == (True,) * 4


def test_the_files_beside_a_take_are_those_of_its_line(tmp_path: Path) -> None:
    one, other = keep_two(tmp_path)
    keep_take(tmp_path, "two-gates", minutes=40)
    keep_take(tmp_path, "two-gates-slid", minutes=50, passes=1, contest="2026-03-01T09:00:00+00:00")
    run = next(tmp_path.glob("*contest*"))

    assert other_files(load_exercise("two-gates-slid"), tmp_path, one) == (run, other)
    assert other_take(other, LINE) is None


def beneath(watched: WatchedTake) -> tuple[str, tuple[str, ...]] | None:
    """What is said in the place of the neck."""
    said = watched.screen.view(watched.now_ns).said
    return None if said is None else (said.name, said.sentences)


def test_a_note_is_written_kept_beside_the_take_and_shown_the_next_time(tmp_path: Path) -> None:
    keep_two(tmp_path)
    watched = WatchedTake(tmp_path)
    before = watched.path.read_bytes()
    watched.watch(6)

    watched.given(Command.NOTE, *map(Typed, "Slower  here,x"), Command.ERASE)
    written = beneath(watched)
    is_text = watched.screen.takes_text
    watched.given(Command.CHOOSE)
    told = beneath(watched)
    again = WatchedTake(tmp_path)
    again.watch(6)
    again.given(Command.PAUSE, Command.NEXT_CHOICE)

    assert (written, is_text, watched.screen.takes_text) == (("note", ("Slower  here,▏",)), True, False)
    assert told == ("note", (f"The note is kept with the take: {note_path(watched.path)}",))
    assert beneath(again) == ("note", ("Slower here,",))
    assert watched.path.read_bytes() == before


def test_a_note_can_be_left_as_it_was_and_an_empty_one_is_deleted(tmp_path: Path) -> None:
    keep_two(tmp_path)
    watched = WatchedTake(tmp_path)
    keep_note(watched.path, "Good.")
    watched = WatchedTake(tmp_path)
    watched.watch(2)

    watched.given(Command.NOTE, Typed("!"), Command.BACK)
    as_it_was = read_note(watched.path)
    watched.given(Command.NOTE, *[Command.ERASE] * 9, Command.CHOOSE)

    assert (as_it_was, read_note(watched.path), note_path(watched.path).exists()) == ("Good.", "", False)
    assert beneath(watched) == ("note", ("The note was deleted.",))


def test_a_note_from_elsewhere_is_shown_on_one_line_of_letters(tmp_path: Path) -> None:
    note_path(tmp_path / "take.mid").write_bytes(b"Slower\r\n\x00\xff here" + b"!" * 30_000)

    read = read_note(tmp_path / "take.mid")

    assert read.startswith("Slower \N{REPLACEMENT CHARACTER} here!")
    assert len(read) == LONGEST_NOTE


def test_a_note_about_a_take_without_a_file_is_read_and_not_written(tmp_path: Path) -> None:
    one, _ = keep_two(tmp_path)
    take = read_take(one)
    assert take.header is not None
    screen = replay_screen(take, take.header, load_exercise("two-gates-slid"), note="Well done.")
    assert isinstance(screen, ReviewScreen)
    for action in (Command.PAUSE, Command.NEXT_CHOICE, Command.NOTE, Typed("!")):
        screen.update((), 1)
        screen.handle(action)

    said = screen.view(1).said
    assert said is not None
    assert said.sentences == ("Well done.",)


def test_a_note_that_cannot_be_kept_says_so(tmp_path: Path) -> None:
    assert "could not be kept" in keep_note(tmp_path / "nowhere" / "take.mid", "Good.")


def test_a_picture_of_what_is_shown_is_written_to_a_new_file_each_time(tmp_path: Path) -> None:
    takes = tmp_path / "takes"
    keep_two(takes)
    watched = WatchedTake(takes)
    watched.watch(9)
    watched.screen.draw(pygame.display.set_mode((1280, 720)), watched.now_ns)

    watched.given(Command.PICTURE)
    first = beneath(watched)
    watched.given(Command.PICTURE)

    files = sorted((tmp_path / "pictures").iterdir())
    assert [file.name for file in files] == [f"{watched.path.stem}.png", f"{watched.path.stem}_2.png"]
    assert first == ("picture", (f"Written to {files[0]}",))
    assert pygame.image.load(files[0]).get_width() == PICTURE_PX


def test_the_wheel_steps_over_the_notes_of_a_take_that_is_stopped(tmp_path: Path) -> None:
    keep_two(tmp_path)
    watched = WatchedTake(tmp_path)
    watched.watch(6)
    watched.given(Command.PAUSE, Command.FIRST, Scrolled(1, 0, 0), Scrolled(1, 0, 0), Scrolled(-1, 0, 0))

    assert watched.screen.view(watched.now_ns).now_quarters == float(LINE.notes[1].onset_quarters)


def test_a_take_that_was_just_played_is_left_for_where_it_was_asked_for(tmp_path: Path) -> None:
    one, _ = keep_two(tmp_path)
    page = Page("result")
    screen = review_of(one, lambda: page, SilentSound("it is switched off"))
    assert screen is not None
    screen.update((), 1)

    assert screen.handle(Command.BACK) is page
    one.write_bytes(b"not a file of notes")
    assert review_of(one, lambda: page, SilentSound("it is switched off")) is None


def test_a_picture_holds_whole_bars_and_a_note_has_room_of_its_own(tmp_path: Path) -> None:
    one, _ = keep_two(tmp_path)
    take = read_take(one)
    assert take.header is not None
    line = load_exercise("two-gates-slid")

    def height(first: int, last: int) -> int:
        assert take.header is not None
        return picture_of(one, take, take.header, line, None, 900, (first, last)).get_height()

    some, all_of_the_bars = height(10, 13), height(8, 15)
    keep_note(one, "Slower.")

    assert some == all_of_the_bars < height(8, 24)
    assert height(8, 15) > some
