from dataclasses import replace
from fractions import Fraction

import pygame
import pytest

from trainer.devices.skill import SKILLS
from trainer.following.verdict import Match, Pace
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.screens.keys import KeysScreen
from trainer.screens.parts import LOOP_PASSES, Selection
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command, Pressed, Screen

from .desk import Desk, Page

LINE = load_exercise("two-gates")  # 32 eighths, four bars, at 84: a bar lasts 2.857 s
BAR_S = 4 * 60 / 84
PLAN = RunPlan(LINE, LINE.tempo, passes=2)


def begun(seconds: float, *, plan: RunPlan = PLAN) -> tuple[PracticeScreen, Desk]:
    """A sitting, so long after its first click."""
    desk = Desk()
    screen = desk.practice(plan)
    assert desk.play(screen, seconds) is screen
    return screen, desk


def given(screen: Screen, *commands: Command) -> Screen | None:
    """What is open after some commands."""
    following: Screen | None = screen
    for command in commands:
        assert following is not None
        following = following.handle(command)
    return following


def test_the_first_frame_starts_the_plan() -> None:
    _, desk = begun(0.1)

    assert desk.plans == [PLAN]


def test_the_count_in_says_which_beat_it_has_reached_and_no_word() -> None:
    screen, desk = begun(2.2)

    view = screen.view(desk.now_ns)

    assert view.now_quarters == pytest.approx(2.2 * 84 / 60 - 4, abs=0.05)
    assert (view.notice, view.passes) == ("", "pass 1 of 2")


def test_a_whole_line_ends_in_its_result() -> None:
    screen, desk = begun(1.0)

    page = desk.play(screen, 60)

    assert isinstance(page, Page)
    assert page.outcome is not None
    (stretch,) = page.outcome.stretches
    verdicts = [stretch.ledger.of_written(index) for index in range(64)]
    assert all(isinstance(verdict, Match) for verdict in verdicts)


def test_pausing_ends_the_take_and_leaves_the_staff_standing_where_it_was() -> None:
    screen, desk = begun(BAR_S * 2.55)

    given(screen, Command.PAUSE)

    view = screen.view(desk.now_ns)
    assert desk.runs[0].is_finished
    assert (view.notice, view.now_quarters) == ("paused", 6.0)
    assert desk.play(screen, 1.0) is screen
    assert screen.view(desk.now_ns).now_quarters == 6.0


def test_going_on_counts_in_and_plays_what_remains_from_the_bar() -> None:
    screen, desk = begun(BAR_S * 2.55)

    given(screen, Command.PAUSE, Command.PAUSE)

    resumed = desk.plans[1]
    assert (len(resumed.exercise.notes), resumed.passes, resumed.count_in_bars) == (64 - 8, 1, 1)
    assert screen.view(desk.now_ns).now_quarters == pytest.approx(-4.0)
    assert screen.view(desk.now_ns).passes == "pass 1 of 2"


def test_the_pass_is_counted_on_after_a_pause() -> None:
    screen, desk = begun(BAR_S * 6.55)

    given(screen, Command.PAUSE, Command.PAUSE)

    assert len(desk.plans[1].exercise.notes) == 64 - 40
    assert screen.view(desk.now_ns).passes == "pass 2 of 2"


def test_the_cursor_walks_over_the_standing_staff() -> None:
    screen, desk = begun(BAR_S * 2.55)

    given(screen, Command.PAUSE, Command.LEFT, Command.LEFT, Command.NEXT_BAR, Command.RIGHT)

    assert screen.view(desk.now_ns).now_quarters == 8.5


def test_a_marked_selection_is_looped() -> None:
    screen, desk = begun(BAR_S * 2.55)

    given(screen, Command.PAUSE, Command.FIRST, Command.RIGHT, Command.MARK_START)
    given(screen, *[Command.RIGHT] * 3, Command.MARK_END)
    marked = screen.view(desk.now_ns).selection
    given(screen, Command.LOOP)

    assert marked == Selection(1, 4)
    loop = desk.plans[1]
    assert (loop.passes, [n.location for n in loop.exercise.notes]) == (
        LOOP_PASSES,
        [n.location for n in LINE.notes[1:5]],
    )
    assert screen.view(desk.now_ns).passes == "loop, round 1"


def test_without_marks_the_cursors_bar_is_looped_and_l_leads_back_to_the_line() -> None:
    screen, desk = begun(BAR_S * 2.55)

    given(screen, Command.PAUSE, Command.LOOP)
    assert desk.play(screen, 2.3 * BAR_S) is screen
    round_words = screen.view(desk.now_ns).passes
    given(screen, Command.PAUSE, Command.LOOP)

    assert [len(plan.exercise.notes) for plan in desk.plans] == [32, 8, 56]
    assert round_words == "loop, round 2"


def test_another_tempo_is_a_new_take_of_the_same_part_and_forgets_the_old_figures() -> None:
    screen, desk = begun(BAR_S * 6)
    assert screen.view(desk.now_ns).figures[0] == "last pass"

    given(screen, Command.FASTER, Command.FASTER, Command.SLOWER)

    assert [float(plan.tempo.quarters_per_minute) for plan in desk.plans] == [84, 88, 92, 88]
    assert screen.view(desk.now_ns).figures == ()
    page = given(screen, Command.BACK)
    assert isinstance(page, Page)
    assert page.name == "list"


def test_the_tempo_stops_at_its_limits() -> None:
    screen, desk = begun(0.1, plan=PLAN.at_tempo(Fraction(398)))

    given(screen, Command.FASTER, Command.FASTER)

    assert [float(plan.tempo.quarters_per_minute) for plan in desk.plans] == [398, 400, 400]


def test_pace_and_sound_are_changed_by_a_new_take() -> None:
    screen, desk = begun(0.1)

    given(screen, Command.PACE, Command.HEAR, Command.BACKING, Command.BACKING)

    assert [(plan.pace, plan.hear_line, plan.with_backing) for plan in desk.plans] == [
        (Pace.CLICK, False, False),
        (Pace.FREE, False, False),
        (Pace.FREE, True, False),
        (Pace.FREE, True, True),
        (Pace.FREE, True, False),
    ]


def test_what_was_played_counts_on_when_only_the_backing_is_changed() -> None:
    screen, desk = begun(BAR_S * 3)
    before = len(screen._stretches)

    given(screen, Command.BACKING)

    assert len(screen._stretches) == before + 1
    assert desk.plans[-1] == replace(PLAN, with_backing=True)


def test_from_the_top_plays_the_whole_plan_again() -> None:
    screen, desk = begun(BAR_S * 3)

    given(screen, Command.PAUSE, Command.PAUSE, Command.RESTART)

    assert desk.plans[-1] == PLAN


def test_ending_shows_what_was_played_or_the_list_when_nothing_was() -> None:
    played, _ = begun(BAR_S * 3)
    silent, _ = begun(0.2)

    pages = [given(screen, Command.BACK) for screen in (played, silent)]

    assert [page.name for page in pages if isinstance(page, Page)] == ["result", "list"]


def test_quitting_keeps_the_take_and_leaves() -> None:
    screen, desk = begun(BAR_S * 2)

    assert given(screen, Command.QUIT) is None
    assert desk.runs[0].is_finished


def test_the_keys_page_pauses_and_leads_back() -> None:
    screen, desk = begun(BAR_S * 2)

    page = given(screen, Command.KEYS)

    assert isinstance(page, KeysScreen)
    assert desk.runs[0].is_finished
    assert page.handle(Command.BACK) is screen


def test_a_band_appears_under_a_note_after_three_passes_and_in_later_takes() -> None:
    plan = RunPlan(load_exercise("five-ledges"), LINE.tempo, passes=6)
    desk = Desk(SKILLS["practised"])
    screen = desk.practice(plan)

    counts = []
    for _ in range(5):
        assert desk.play(screen, 8 * 60 / 84 - 0.1) is screen
        counts.append(len(screen.view(desk.now_ns).spreads))
    given(screen, Command.RESTART)

    assert counts[0] == counts[1] == 0
    assert counts[-1] > 200
    assert len(screen.view(desk.now_ns).spreads) > 200


def test_marks_can_be_hidden() -> None:
    screen, desk = begun(BAR_S * 2)
    surface = pygame.display.set_mode((1280, 720))

    screen.draw(surface, desk.now_ns)
    shown = {text for text, _ in screen.texts(surface.get_size())}
    given(screen, Command.MARKS)
    screen.draw(surface, desk.now_ns)
    hidden = {text for text, _ in screen.texts(surface.get_size())}

    assert shown - hidden >= {"stroke", "finger"}


def test_what_is_wrong_with_keeping_the_take_is_said_before_how_the_input_is() -> None:
    screen, desk = begun(BAR_S)
    run = desk.runs[0]

    assert screen.view(desk.now_ns).status == "A simulated player plays."
    run._keeper = FullDisk()
    assert screen.view(desk.now_ns).status == "The take cannot be kept: no space left."


class FullDisk:
    """Keeps nothing and says so."""

    path = None
    trouble = "The take cannot be kept: no space left."

    def keep(self, message: object) -> None: ...

    def tick(self, now_ns: int) -> None: ...

    def close(self) -> None: ...


def test_n_goes_from_slip_to_slip_and_round_again() -> None:
    desk = Desk(faults="miss 5, fret 9")
    screen = desk.practice(RunPlan(LINE, LINE.tempo, passes=2))
    desk.play(screen, BAR_S * 4.5)
    given(screen, Command.PAUSE, Command.FIRST)
    beats = []

    for _ in range(3):
        given(screen, Command.NEXT)
        beats.append(screen.view(desk.now_ns).now_quarters)

    missed, wrong = (float(LINE.notes[index].onset_quarters) for index in (5, 9))
    assert beats == [missed, wrong, missed]


def why(screen: PracticeScreen, desk: Desk) -> tuple[str, ...]:
    """What the standing staff says of the note at its cursor."""
    said = screen.view(desk.now_ns).said
    return () if said is None else said.sentences


def test_at_rest_the_note_at_the_cursor_is_explained_and_nothing_is_said_while_playing() -> None:
    screen, desk = begun(BAR_S * 2.55)
    while_playing = why(screen, desk)

    given(screen, Command.PAUSE, Command.LEFT)
    first, heard, *_ = why(screen, desk)

    assert while_playing == ()
    assert first.startswith("Note 11 of pass 1, string 3 fret 9, due at")
    assert heard.startswith("Heard: string 3 fret 9 at")


def test_the_neck_comes_back_for_the_explanation_and_the_other_way_round() -> None:
    screen, desk = begun(BAR_S * 2.55)
    given(screen, Command.PAUSE, Command.NEXT_CHOICE)
    without = why(screen, desk)

    given(screen, Command.NEXT_CHOICE)

    assert without == ()
    assert why(screen, desk) != ()


def test_a_note_that_is_pressed_at_rest_is_explained() -> None:
    screen, desk = begun(BAR_S * 2.55)
    given(screen, Command.PAUSE)
    surface = pygame.display.set_mode((1280, 720))
    screen.draw(surface, desk.now_ns)
    picture = screen.picture(surface.get_size(), desk.runs[0])
    strip, now = picture.strip, screen.view(desk.now_ns).now_quarters
    x_px = picture.layout.time.now_x_px + strip.xs_px[10] - strip.axis.x_px(now)
    y_px = picture.layout.time.staff.string_y_px(LINE.notes[10].course)

    screen.handle(Pressed(x_px, y_px))
    beside = why(screen, desk)
    screen.handle(Pressed(x_px, picture.layout.title_y_px))

    assert beside[0].startswith("Note 10 of pass 1")
    assert why(screen, desk) == beside
