from fractions import Fraction

from trainer.following.verdict import Pace
from trainer.run import RunPlan
from trainer.score.library import exercise_names, load_exercise
from trainer.screens.home import NO_PICKUP, Choices, HomeScreen, InputChoice
from trainer.screens.keys import KeysScreen
from trainer.screens.screen import Action, Command, Screen, Typed

from .desk import Page

EXERCISES = tuple(load_exercise(name) for name in exercise_names())
SIMULATED = InputChoice("simulated", "simulated player", is_pickup=False)
PICKUP = InputChoice("Pickup:0", "Pickup:0")


class Door:
    """A list of exercises, and what it opened."""

    def __init__(self, *inputs: InputChoice, choices: Choices | None = None, selected: str | None = None) -> None:
        self.inputs = inputs or (SIMULATED,)
        self.opened: list[tuple[RunPlan, InputChoice]] = []
        self.kept: list[tuple[Choices, str]] = []
        self.screen = HomeScreen(
            EXERCISES,
            list_inputs=lambda: self.inputs,
            play=self._play,
            choices=choices,
            selected=selected,
            keep=lambda choices, name: self.kept.append((choices, name)),
        )

    def _play(self, plan: RunPlan, chosen: InputChoice) -> Screen:
        self.opened.append((plan, chosen))
        return Page("practice")

    def do(self, *actions: Action) -> Screen | None:
        """The screen after some actions, all but the last of which stay."""
        for action in actions[:-1]:
            assert self.screen.handle(action) is self.screen
        return self.screen.handle(actions[-1])

    def type(self, text: str) -> None:
        """Type a filter."""
        for letter in text:
            self.screen.handle(Typed(letter))


def test_enter_plays_the_selected_line_at_its_own_tempo_with_the_simulated_player_when_alone() -> None:
    door = Door(selected="quarry-steps")

    page = door.do(Command.CHOOSE)

    assert isinstance(page, Page)
    line = load_exercise("quarry-steps")
    assert door.opened == [(RunPlan(line, line.tempo, passes=4), SIMULATED)]
    assert door.screen.view().notice == NO_PICKUP


def test_a_pickup_is_found_when_it_is_plugged_in_later_and_comes_first() -> None:
    door = Door()
    door.screen.update((), 0)
    door.inputs = (PICKUP, SIMULATED)

    door.screen.update((), 1_999_999_999)
    assert door.screen.input == SIMULATED
    door.screen.update((), 2_000_000_000)

    assert door.screen.input == PICKUP
    assert door.screen.view().notice == ""


def test_a_chosen_input_that_is_gone_gives_way_to_the_first_one() -> None:
    door = Door(SIMULATED, choices=Choices(input_name="Pickup:0"))

    assert door.screen.input == SIMULATED


def test_typing_filters_by_every_word_in_title_key_strings_and_tags() -> None:
    door = Door()

    door.type("legato three")

    assert {exercise.name for exercise in door.screen.shown} == {
        exercise.name
        for exercise in EXERCISES
        if "legato" in f"{exercise.title} {exercise.tags}" and "three" in " ".join(exercise.tags)
    }
    assert len(door.screen.shown) < len(EXERCISES)


def test_backspace_widens_the_filter_and_escape_lets_it_go_before_it_leaves() -> None:
    door = Door()
    door.type("mulex")

    assert door.do(Command.CHOOSE) is door.screen
    assert door.screen.selected is None
    door.do(Command.ERASE)
    assert [exercise.name for exercise in door.screen.shown] == ["limping-mule"]
    assert door.do(Command.BACK) is door.screen
    assert door.screen.shown == EXERCISES
    assert door.do(Command.BACK) is None


def test_the_selection_stays_within_the_list() -> None:
    door = Door()

    door.do(Command.UP)
    assert door.screen.selected == EXERCISES[0]
    door.do(Command.LAST, Command.DOWN)
    assert door.screen.selected == EXERCISES[-1]


def test_settings_are_reached_by_tab_and_changed_by_arrows() -> None:
    door = Door(PICKUP, SIMULATED, selected="two-gates")

    door.do(Command.RIGHT)  # input: the simulated player
    door.do(Command.NEXT_CHOICE, Command.RIGHT)  # pace: the player's own
    door.do(Command.NEXT_CHOICE, Command.RIGHT, Command.RIGHT)  # passes: 6
    door.do(Command.NEXT_CHOICE, Command.LEFT)  # tempo: 84 - 4
    door.do(Command.NEXT_CHOICE, Command.RIGHT)  # sound: the line as well
    door.do(Command.CHOOSE)

    ((plan, chosen),) = door.opened
    line = load_exercise("two-gates")
    slower = RunPlan(line, line.tempo, Pace.FREE, 6, hear_line=True).at_tempo(Fraction(80))
    assert (plan, chosen) == (slower, SIMULATED)
    assert door.kept == [(Choices("simulated", Pace.FREE, 6, Fraction(80), hear_line=True), "two-gates")]


def test_the_first_setting_comes_after_the_last() -> None:
    door = Door()

    door.do(Command.PREVIOUS_CHOICE, Command.RIGHT, Command.NEXT_CHOICE)

    assert (door.screen.view().setting, dict(door.screen.view().settings)["sound"]) == (0, "click and line")


def test_passes_stay_between_one_and_thirty_two() -> None:
    door = Door(choices=Choices(passes=31))
    door.do(Command.NEXT_CHOICE, Command.NEXT_CHOICE)

    door.do(*[Command.RIGHT] * 5)
    assert dict(door.screen.view().settings)["passes"] == "32 passes"
    door.do(*[Command.LEFT] * 50)
    assert dict(door.screen.view().settings)["passes"] == "1 pass"


def test_another_line_has_its_own_tempo_again() -> None:
    door = Door(selected="quarry-steps-fast")
    door.do(*[Command.NEXT_CHOICE] * 3, Command.RIGHT, Command.DOWN)

    assert dict(door.screen.view().settings)["tempo"] == "♩ = 66"


def test_f1_shows_the_keys_and_leads_back() -> None:
    door = Door()

    page = door.do(Command.KEYS)

    assert isinstance(page, KeysScreen)
    assert page.handle(Command.DOWN) is door.screen
    assert page.handle(Command.QUIT) is None
