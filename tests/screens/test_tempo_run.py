from collections.abc import Callable
from fractions import Fraction

from trainer.coaching.ladder import Mixture, Shuffled
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.coaching.working_tempo import WorkingTempo
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.screens.practice import Outcome, PracticeScreen
from trainer.screens.screen import Command, Pressed, Screen
from trainer.screens.tempo_run import OTHERWISE, TempoRunScreen
from trainer.tablature.glyphs import Cross, Dot

from .desk import Desk, Page

LINE = load_exercise("two-gates-slid")
SIZE = (1280, 720)


def run_at(desk: Desk, sitting: TempoSitting) -> TempoRunScreen:
    """The adaptive run at a desk."""

    def practice(plan: RunPlan, heard: Callable[[Outcome], Screen], back: Callable[[], Screen]) -> Screen:
        return PracticeScreen(
            plan, start_run=desk.start_run, status=lambda: "A desk.", show_result=heard, leave_to=back
        )

    return TempoRunScreen(sitting, practice=practice, status=lambda: "A desk.", leave_to=lambda: Page("list"))


def words_of(screen: TempoRunScreen) -> str:
    return "\n".join(text for text, _ in screen.texts(SIZE))


def test_a_pass_is_played_at_the_tempo_asked_and_comes_back_judged() -> None:
    desk = Desk(faults="miss 5")
    screen = run_at(desk, TempoSitting(LINE, WorkingTempo(300)))

    playing = screen.handle(Command.PAUSE)
    assert isinstance(playing, PracticeScreen)
    back = desk.play(playing, 12)

    assert back is screen
    assert desk.plans == [RunPlan(LINE, Tempo(Fraction(300)), passes=1)]
    assert [(one.qpm, one.is_clean) for one in screen.sitting.procedure.passes] == [(300.0, False)]
    assert "Pass 1 at ♩ = 300: not clean: 1 missed." in words_of(screen)


def test_a_pass_that_was_left_early_does_not_count() -> None:
    desk = Desk()
    screen = run_at(desk, TempoSitting(LINE, WorkingTempo(100)))

    playing = screen.handle(Command.CHOOSE)
    assert isinstance(playing, PracticeScreen)
    back = desk.play(playing, 5).handle(Command.BACK)

    assert back is screen
    assert screen.sitting.procedure.passes == ()
    assert "broken off and does not count" in words_of(screen)


def test_a_pass_at_another_tempo_does_not_count() -> None:
    desk = Desk()
    screen = run_at(desk, TempoSitting(LINE, WorkingTempo(300)))

    playing = screen.handle(Command.CHOOSE)
    assert isinstance(playing, PracticeScreen)
    desk.play(playing, 1)
    slower = playing.handle(Command.SLOWER)
    assert slower is playing
    desk.play(playing, 12)

    assert screen.sitting.procedure.passes == ()
    assert OTHERWISE in words_of(screen)


def test_a_pass_with_a_hidden_tempo_is_practised_without_the_figure() -> None:
    desk = Desk()
    plan = RunPlan(LINE, Tempo(Fraction(123)))
    shown, hidden = (
        PracticeScreen(
            plan,
            start_run=desk.start_run,
            status=lambda: "A desk.",
            show_result=lambda _: Page("result"),
            leave_to=lambda: Page("list"),
            hides_tempo=hides,
        )
        for hides in (False, True)
    )

    assert any("123" in text for text, _ in shown.texts(SIZE))
    assert not any("123" in text for text, _ in hidden.texts(SIZE))


def test_a_hint_can_be_pressed() -> None:
    screen = run_at(Desk(), TempoSitting(LINE, WorkingTempo(90)))
    where = dict(screen.texts(SIZE))["play this pass"]

    assert isinstance(screen.handle(Pressed(where.left_px + 5, where.top_px + 3)), PracticeScreen)
    assert screen.handle(Pressed(5, 5)) is screen


def over() -> TempoRunScreen:
    procedure = WorkingTempo(90)
    for clean in "ccxccxccccxcccxcxccc":
        procedure = procedure.told(clean=clean == "c")
    return run_at(Desk(), TempoSitting(LINE, procedure))


def test_at_the_end_the_figure_stands_with_its_interval_and_nothing_more_is_asked() -> None:
    screen = over()

    assert screen.handle(Command.PAUSE) is screen
    assert "20 passes played" in words_of(screen)
    assert "Working tempo today" in words_of(screen)
    screen.texts(SIZE)
    assert screen._painted is not None
    glyphs = screen._painted[1].glyphs(screen.view())
    assert sum(isinstance(glyph, Dot) for glyph in glyphs) == 15
    assert sum(isinstance(glyph, Cross) for glyph in glyphs) == 5


def test_hidden_tempi_are_not_shown_before_the_end() -> None:
    screen = run_at(Desk(), TempoSitting(LINE, Shuffled(100, Mixture(tempi=3, times=1)).told(clean=True)))

    assert "hidden · pass 2" in words_of(screen)
    assert f"{screen.sitting.procedure.tempo():g}" not in words_of(screen)


def test_escape_goes_to_the_list_and_r_begins_anew() -> None:
    screen = over()
    left = screen.handle(Command.BACK)

    assert isinstance(left, Page)
    assert screen.handle(Command.RESTART) is screen
    assert screen.handle(Command.QUIT) is None
