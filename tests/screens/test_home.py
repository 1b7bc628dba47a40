from dataclasses import replace
from fractions import Fraction

from trainer.following.verdict import Pace
from trainer.run import RunPlan
from trainer.score.finding import TECHNIQUES, twins_of
from trainer.score.library import exercise_names, load_exercise
from trainer.score.practice_path import PATH
from trainer.screens.choices import Choices
from trainer.screens.home import NO_PICKUP, NO_TWINS, HomeScreen
from trainer.screens.home_list import BESIDE_THE_PATH, BY_NAME, FILTERS, NOT_PLAYED
from trainer.screens.keys import KeysScreen
from trainer.screens.screen import Command, Pressed, Scrolled

from .desk import Page
from .home_door import BY_PATH, EXERCISES, PICKUP, SIMULATED, SIZE, Door, middle


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
    assert len(door.screen.shown) == len(EXERCISES)
    assert door.do(Command.BACK) is None


def test_the_selection_stays_within_the_list() -> None:
    door = Door()

    door.do(Command.UP)
    assert door.screen.selected == load_exercise(BY_PATH[0])
    door.do(Command.LAST, Command.DOWN)
    assert door.screen.selected == load_exercise(BY_PATH[-1])


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


def test_behind_the_last_setting_come_the_filters_and_then_the_first_setting() -> None:
    door = Door()

    door.do(*[Command.NEXT_CHOICE] * 4, Command.RIGHT, Command.NEXT_CHOICE)
    assert (door.screen.view().setting, door.screen.view().chosen_filter) == (None, 0)
    door.do(*[Command.NEXT_CHOICE] * len(FILTERS))

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

    below = load_exercise(BY_PATH[BY_PATH.index("quarry-steps-fast") + 1]).tempo.quarters_per_minute
    assert dict(door.screen.view().settings)["tempo"] == f"♩ = {below}"


def test_f1_shows_the_keys_and_leads_back() -> None:
    door = Door()

    page = door.do(Command.KEYS)

    assert isinstance(page, KeysScreen)
    assert page.handle(Command.DOWN) is door.screen
    assert page.handle(Command.QUIT) is None


def to_filter(door: Door, name: str) -> None:
    """Tab to a filter."""
    door.do(*[Command.PREVIOUS_CHOICE] * (len(FILTERS) - FILTERS.index(name)))


def names_shown(door: Door) -> list[str]:
    return [exercise.name for exercise in door.screen.shown]


def test_the_list_goes_along_the_path_with_its_steps_over_it_or_by_name() -> None:
    door = Door()

    assert names_shown(door) == BY_PATH
    headings = door.screen.view().headings
    assert list(headings.values()) == [f"{step.number}  {step.title}" for step in PATH]
    assert [BY_PATH[place] for place in headings] == [step.exercises[0] for step in PATH]
    to_filter(door, "order")
    door.do(Command.RIGHT)
    assert door.screen.view().filters[0] == BY_NAME
    assert names_shown(door) == list(exercise_names())
    assert door.screen.view().headings == {}


def test_an_exercise_beside_the_path_stands_at_its_end() -> None:
    own = replace(load_exercise("mist"), name="own-mist", title="Own mist")
    screen = HomeScreen(
        (own, *EXERCISES), list_inputs=lambda: (SIMULATED,), play=lambda _plan, _input: Page("practice")
    )

    assert screen.shown[-1] == own
    assert screen.view().headings[len(EXERCISES)] == BESIDE_THE_PATH


def test_filters_narrow_by_what_the_command_narrows_by_and_the_selection_stays_where_it_fits() -> None:
    door = Door(selected="two-gates")
    to_filter(door, "technique")
    door.do(Command.RIGHT)
    assert door.screen.selected == load_exercise("two-gates")
    door.do(Command.RIGHT)

    assert set(names_shown(door)) == {line.name for line in EXERCISES if TECHNIQUES["legato"](line)}
    door.do(Command.LEFT, Command.LEFT, Command.PREVIOUS_CHOICE, Command.RIGHT)
    scale = door.screen.view().filters[1]
    assert names_shown(door)
    assert all(line.key.endswith(scale) for line in door.screen.shown)


def test_tempo_and_difficulty_have_their_bounds() -> None:
    door = Door()
    to_filter(door, "tempo")
    door.do(Command.RIGHT)
    assert {line.name for line in EXERCISES if line.tempo.quarters_per_minute <= 60} == set(names_shown(door))
    door.do(Command.LEFT, Command.PREVIOUS_CHOICE, Command.RIGHT)

    assert door.screen.view().filters[3] == "up to 2 notes a second"
    assert 0 < len(door.screen.shown) < len(EXERCISES)


def test_what_was_played_is_left_out_when_only_the_rest_is_asked_for() -> None:
    door = Door()
    to_filter(door, "played")
    door.do(Command.RIGHT)

    assert door.screen.view().filters[-1] == NOT_PLAYED
    assert names_shown(door) == [name for name in BY_PATH if name not in {"first-stones", "two-gates"}]
    assert door.do(Command.BACK) is door.screen
    assert names_shown(door) == BY_PATH


def test_twins_are_set_side_by_side_and_judged_one_after_the_other() -> None:
    door = Door(selected="quarry-steps")
    door.do(Command.TWINS)
    line = load_exercise("quarry-steps")
    family = {line.name, *(twin.name for twin in twins_of(line, EXERCISES))}

    assert set(names_shown(door)) == family
    assert door.judged == []
    for now_ns in range(len(family) + 2):
        door.screen.update((), now_ns)
        assert len(door.judged) == min(now_ns + 1, len(family))
    words = [text for text, _ in door.screen.texts(SIZE)]
    assert {"94 % of 320", "14 ms", "no take kept yet"} <= set(words)
    door.do(Command.TWINS)
    assert (names_shown(door), door.screen.selected) == (BY_PATH, line)


def test_a_line_without_twins_says_how_to_get_one() -> None:
    lonely = next(line for line in EXERCISES if not twins_of(line, EXERCISES))
    door = Door(selected=lonely.name)

    door.do(Command.TWINS)

    assert (names_shown(door), door.screen.view().notice) == (BY_PATH, NO_TWINS)


def test_a_line_is_heard_until_something_else_is_done_or_it_is_over() -> None:
    door = Door(selected="two-gates")
    line = load_exercise("two-gates")

    door.do(Command.LISTEN, Command.LISTEN, Command.LISTEN, Command.DOWN)
    assert door.heard == ["two-gates", "silence", "two-gates", "silence"]
    door.do(Command.UP, Command.LISTEN)
    end_ns = 1_000_000_000 + line.tempo.ns(line.length_quarters)
    door.screen.update((), end_ns)
    assert door.heard[4:] == ["two-gates"]
    door.screen.update((), end_ns + 1)
    assert door.heard[4:] == ["two-gates", "silence"]


def test_building_and_varying_begin_with_the_selected_line() -> None:
    pages = [Door(selected="mist").do(command) for command in (Command.BUILD, Command.VARY)]

    assert [page.name for page in pages if isinstance(page, Page)] == ["build mist", "vary mist"]


def test_the_mouse_selects_a_line_a_filter_and_a_setting_and_presses_hints() -> None:
    door = Door()
    door.screen.texts(SIZE)
    picture = door.screen._parts(SIZE)[1]
    view = door.screen.view()
    rows = dict(picture.row_targets(view))

    door.do(middle(rows[3]))
    assert door.screen.selected == load_exercise(BY_PATH[3])
    door.do(Scrolled(1, 0, 0), Scrolled(-1, 0, 0), Scrolled(1, 0, 0))
    assert door.screen.selected == load_exercise(BY_PATH[4])
    technique = picture.filter_targets(view)[2][1]
    door.do(middle(technique), middle(technique))
    assert door.screen.view().filters[2] == "picked"
    door.do(Pressed(technique.left_px + 2, technique.top_px + 5))
    assert door.screen.view().filters[2] == "any technique"
    passes = picture.setting_targets()[2][1]
    door.do(middle(passes), middle(passes))
    assert dict(door.screen.view().settings)["passes"] == "5 passes"
    play = next(target for target in picture.hint_targets(view) if target.action is Command.CHOOSE)
    assert isinstance(door.do(middle(play.area)), Page)


def test_the_mouse_selects_a_twin_in_the_table() -> None:
    door = Door(selected="quarry-steps")
    door.do(Command.TWINS)
    door.screen.texts(SIZE)
    targets = dict(door.screen._parts(SIZE)[1].twin_targets(door.screen.view()))

    door.do(middle(targets["quarry-steps-legato"]))

    assert door.screen.selected == load_exercise("quarry-steps-legato")


def test_f8_finds_the_working_tempo_of_the_selected_line_on_the_chosen_input() -> None:
    page = Door(selected="mist").do(Command.TEMPO)

    assert isinstance(page, Page)
    assert page.name == "tempo mist on simulated"


def test_strings_narrow_the_list_to_lines_that_use_just_so_many() -> None:
    door = Door()
    to_filter(door, "strings")
    place = FILTERS.index("strings")
    for number in range(1, 7):
        door.do(Command.RIGHT)

        assert door.screen.view().filters[place] == ("1 string" if number == 1 else f"{number} strings")
        assert set(names_shown(door)) == {line.name for line in EXERCISES if len(line.courses) == number}
    door.do(Command.RIGHT)
    assert (door.screen.view().filters[place], names_shown(door)) == ("any strings", BY_PATH)


def test_the_mouse_steps_the_filter_by_strings() -> None:
    door = Door()
    door.screen.texts(SIZE)
    area = door.screen._parts(SIZE)[1].filter_targets(door.screen.view())[FILTERS.index("strings")][1]

    door.do(middle(area), middle(area), middle(area))

    assert {len(line.courses) for line in door.screen.shown} == {2}
