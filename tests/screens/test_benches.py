import pytest

from trainer.score.library import exercise_names, load_exercise, load_recipe
from trainer.score.one_line import exercise_from_line, recipe_from_line
from trainer.score.toml_reading import exercise_from_toml, recipe_from_toml
from trainer.screens.benches import (
    AS_IT_IS,
    FIRST_LINE,
    Bench,
    LineBench,
    VariationBench,
    bench_of,
    line_bench,
    variation_bench,
)
from trainer.screens.pickers import Pick


def varying(name: str) -> VariationBench:
    return variation_bench(load_exercise(name), load_recipe(name)[1])


def picked(bench: Bench, row: str, words: str) -> Bench:
    """The bench after a choice, both by their words."""
    number = next(n for n, picker in enumerate(bench.rows) if picker.name == row)
    pick = next(pick for pick in bench.rows[number].picks if pick.words == words)
    return bench.with_pick(number, pick)


def test_a_choice_changes_the_words_and_the_notes() -> None:
    bench = picked(line_bench(), "key", "C♯")

    assert bench.text == FIRST_LINE.replace("A minor", "C# minor")
    assert bench.exercise is not None
    assert bench.exercise.key == "C# minor pentatonic"
    assert picked(bench, "tempo", "76").text.endswith(", 76")


def test_what_cannot_be_played_says_where_and_the_last_line_stays_in_sight() -> None:
    bench = line_bench().with_text(FIRST_LINE.replace("from 1", "from 9"))

    assert bench.exercise is None
    assert bench.shown == line_bench().shown
    assert [(bench.text[p.column : p.column + p.width]) for p in bench.problems] == ["climb by one from 9 for 4"]
    assert "there is no position 9" in bench.problems[0].text
    again = picked(bench, "from position", "2")
    assert again.exercise is not None


@pytest.mark.parametrize("name", exercise_names())
def test_building_begins_with_any_shipped_line_and_makes_a_file_of_the_same_notes(name: str) -> None:
    bench = bench_of(load_recipe(name)[1])

    assert bench.problems == ()
    kept = exercise_from_toml(bench.file_text("My own"), "my-own", "my-own.toml")
    assert (kept.notes, kept.title, kept.family) == (load_exercise(name).notes, "My own", "")


def test_a_variation_is_one_choice_away_and_is_kept_as_a_twin() -> None:
    bench = picked(varying("quarry-steps"), "picking", "legato")

    assert isinstance(bench, VariationBench)
    assert bench.exercise is not None
    assert bench.exercise.notes == load_exercise("quarry-steps-legato").notes
    kept = recipe_from_toml(bench.file_text("Quarry steps, soft"), "soft.toml")
    assert (kept.title, kept.family) == ("Quarry steps, soft", "quarry-steps")
    assert picked(bench, "picking", AS_IT_IS).exercise == load_exercise("quarry-steps")


def test_variations_add_up_and_chance_draws_anew() -> None:
    bench = picked(picked(varying("two-gates"), "key", "G"), "mirrored", "upside down")
    assert isinstance(bench, VariationBench)
    assert dict(bench.changes) == {"key": "G", "mirrored": "yes"}

    drawn = picked(bench, "surprise me", "draw 5")

    assert isinstance(drawn, VariationBench)
    assert len(drawn.changes) == 2
    assert "key" not in drawn.changes
    assert drawn.exercise is not None
    assert drawn.exercise.notes != load_exercise("two-gates").notes
    assert picked(drawn, "surprise me", "no").exercise == load_exercise("two-gates")


def test_every_row_of_a_variation_shows_what_was_chosen_or_drawn() -> None:
    bench = varying("quarry-steps")

    for number in range(1, 8):
        drawn = picked(bench, "surprise me", f"draw {number}")
        assert isinstance(drawn, VariationBench)
        changed = {row.field for row in drawn.rows if row.says != AS_IT_IS} - {"chance"}
        assert changed == set(drawn.changes)
        assert all(row.now is not None for row in drawn.rows)


def test_a_variation_that_cannot_be_played_says_why() -> None:
    bench = picked(varying("quarry-steps"), "key", "G")

    assert isinstance(bench, VariationBench)
    assert bench.exercise is None
    assert bench.problems[0].text.startswith("route: position 3 after position 2 is off the neck")
    assert bench.shown == load_exercise("quarry-steps")


def test_a_variation_goes_on_in_words_as_a_twin_still() -> None:
    bench = picked(varying("quarry-steps"), "picking", "legato")
    assert isinstance(bench, VariationBench)

    line = bench.as_line()

    assert isinstance(line, LineBench)
    assert recipe_from_line(line.text).articulation == "legato"
    assert recipe_from_toml(line.file_text("Soft"), "soft.toml").family == "quarry-steps"
    unchanged = varying("quarry-steps").as_line()
    assert unchanged is not None
    assert recipe_from_toml(unchanged.file_text("Own"), "own.toml").family == ""


def test_a_line_that_lists_its_notes_is_varied_as_far_as_notes_can_be() -> None:
    bench = variation_bench(load_exercise("two-gates"), None)

    lower = picked(bench, "key", "2 semitones down")

    assert (bench.text, bench.as_line()) == ("", None)
    assert lower.exercise is not None
    assert {
        after.pitch - before.pitch for before, after in zip(bench.shown.notes, lower.exercise.notes, strict=True)
    } == {-2}
    assert "notes = [" in lower.file_text("Lower")


def test_a_pick_that_means_nothing_new_changes_nothing() -> None:
    bench = varying("two-gates")

    assert bench.with_pick(1, Pick(AS_IT_IS, "")).exercise == bench.exercise


def test_where_chance_finds_nothing_else_it_says_so() -> None:
    recipe = recipe_from_line("E minor pentatonic, string 1, one note a string, positions 1, up")
    bench = variation_bench(
        exercise_from_line("E minor pentatonic, string 1, one note a string, positions 1, up"), recipe
    )

    drawn = [picked(bench, "surprise me", f"draw {number}") for number in range(1, 13)]

    assert all(one.exercise is not None or one.problems for one in drawn)
