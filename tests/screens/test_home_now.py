import pytest

from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.screens.choices import Choices, InputChoice
from trainer.screens.home import HomeScreen
from trainer.screens.home_now import Ahead
from trainer.screens.keys import KeysScreen
from trainer.screens.screen import Command, Screen

from .desk import Page
from .home_door import BY_PATH, EXERCISES, SIMULATED, SIZE, middle


class Steps:
    """Something to go on with."""

    def __init__(self, plan: RunPlan | None) -> None:
        self._plan = plan

    def ahead(self, chosen: InputChoice) -> tuple[Ahead, ...]:
        go_on = Ahead("Ctrl Enter", "go on", f"on {chosen.words}", Command.GO_ON)
        return go_on, Ahead("F10", "plan the day", "a long sentence " * 20, Command.PLAN)

    def plan(self, chosen: InputChoice, settings: Choices) -> RunPlan | None:  # noqa: ARG002 - the same on any
        return self._plan


@pytest.mark.parametrize("size", [(1024, 640), (1280, 720), (1920, 1080)])
def test_what_to_do_now_stands_over_the_list_and_is_done_by_key_and_by_press(size: tuple[int, int]) -> None:
    line = load_exercise("mist")
    plan = RunPlan(line, line.tempo, passes=3)
    played: list[RunPlan] = []
    kept: list[str] = []

    def play(asked: RunPlan, _chosen: InputChoice) -> Screen:
        played.append(asked)
        return Page("practice")

    screen = HomeScreen(
        EXERCISES,
        list_inputs=lambda: (SIMULATED,),
        play=play,
        keep=lambda _choices, name: kept.append(name),
        rooms={Command.PLAN: lambda: Page("plan")},
        doorstep=Steps(plan),
    )
    screen.update((), 0)
    texts = screen.texts(size)
    places = {target.action: middle(target.area) for target in screen._parts(size)[1].strip_targets(screen.view())}

    pages = [screen.handle(one) for one in (Command.GO_ON, places[Command.GO_ON], places[Command.PLAN])]

    assert [page.name for page in pages if isinstance(page, Page)] == ["practice", "practice", "plan"]
    assert (played, kept) == ([plan, plan], ["mist", "mist", BY_PATH[0]])
    assert ("on simulated player" in dict(texts), [text for text, _ in texts if text.endswith("…")] != []) == (
        True,
        True,
    )


def test_the_tour_is_reached_from_the_list_and_from_its_page_of_keys_by_key_and_by_press() -> None:
    screen = HomeScreen(
        EXERCISES,
        list_inputs=lambda: (SIMULATED,),
        play=lambda _plan, _input: Page("practice"),
        rooms={Command.TOUR: lambda: Page("tour")},
    )
    texts = dict(screen.texts(SIZE))
    pages = [screen.handle(Command.TOUR), screen.handle(middle(texts["Ctrl G"]))]
    for action in (Command.TOUR, None):
        keys = screen.handle(Command.KEYS)
        assert isinstance(keys, KeysScreen)
        hint = dict(keys.texts(SIZE))["tour"]
        pages.append(keys.handle(action or middle(hint)))

    assert [page.name for page in pages if isinstance(page, Page)] == ["tour"] * 4


def test_while_there_is_nothing_to_go_on_with_its_key_does_nothing() -> None:
    screen = HomeScreen(EXERCISES, list_inputs=lambda: (SIMULATED,), play=lambda _plan, _on: Page("practice"))

    assert screen.handle(Command.GO_ON) is screen
