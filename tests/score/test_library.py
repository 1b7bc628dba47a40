from itertools import takewhile
from pathlib import Path

import pytest

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_names, load_exercise, load_recipe
from trainer.score.rhythm import figure_of
from trainer.score.toml_reading import LARGEST_BYTES
from trainer.shipped import EXERCISES
from trainer.theory.technique import Technique

SHIPPED = [load_exercise(name) for name in exercise_names()]


def tagged(*tags: str) -> list[Exercise]:
    return [exercise for exercise in SHIPPED if set(tags) <= set(exercise.tags)]


def named(name: str) -> Exercise:
    return load_exercise(name)


def test_at_least_sixty_exercises_are_shipped_in_alphabetical_order() -> None:
    assert len(exercise_names()) >= 60
    assert list(exercise_names()) == sorted(exercise_names())


@pytest.mark.parametrize("exercise", SHIPPED, ids=lambda exercise: exercise.name)
def test_a_shipped_exercise_is_worth_playing_and_says_what_for(exercise: Exercise) -> None:
    assert len(exercise.notes) >= 32
    assert len(exercise.about) >= 80
    assert exercise.title
    assert exercise.tags


@pytest.mark.parametrize("exercise", SHIPPED, ids=lambda exercise: exercise.name)
def test_a_shipped_exercise_comes_round_without_a_hole(exercise: Exercise) -> None:
    last = exercise.notes[-1]
    _, recipe = load_recipe(exercise.name)

    silence = exercise.length_quarters - last.onset_quarters - last.duration_quarters

    # A rest that belongs to the rhythm, or what a line that begins late leaves of its last bar.
    figure = figure_of(recipe.rhythm, recipe.meter.beat_quarters)
    silent = takewhile(lambda value: value[1], zip(figure.durations_quarters[::-1], figure.rests[::-1], strict=True))
    rest = sum(duration for duration, _ in silent)
    assert silence == rest + (exercise.meter.bar_quarters - recipe.start if recipe.start else 0)


@pytest.mark.parametrize("exercise", SHIPPED, ids=lambda exercise: exercise.name)
def test_a_shipped_exercise_fits_a_neck_of_twenty_two_frets(exercise: Exercise) -> None:
    assert max(note.fret for note in exercise.notes) <= exercise.last_fret <= 22


@pytest.mark.parametrize(
    ("tag", "count"),
    [
        ("two strings", 2),
        ("three strings", 2),
        ("climbing", 2),
        ("leaping", 2),
        ("fours", 2),
        ("fives", 2),
        ("mixed", 1),
        ("picked", 2),
        ("legato", 2),
        ("slid", 2),
        ("unslid", 2),
        ("quintuplets", 1),
        ("three notes a string", 2),
        ("drop D", 1),
        ("seven strings", 1),
        ("bass", 1),
    ],
)
def test_what_players_look_for_is_there(tag: str, count: int) -> None:
    assert len(tagged(tag)) >= count


def test_tags_say_what_the_notes_do() -> None:
    for exercise in SHIPPED:
        techniques = {note.technique for note in exercise.notes}
        assert ("slid" in exercise.tags) == (Technique.SLIDE in techniques), exercise.name
        assert ("legato" in exercise.tags) == bool(techniques & {Technique.HAMMER, Technique.PULL}), exercise.name
        for strings, word in enumerate(("one string", "two strings", "three strings", "four strings"), start=1):
            assert (word in exercise.tags) == (len(exercise.courses) == strings), exercise.name
        assert ("six strings" in exercise.tags) == (len(exercise.courses) == 6), exercise.name
        assert ("picked" in exercise.tags) != ("legato" in exercise.tags), exercise.name


def test_a_family_is_named_after_one_of_its_own_and_its_members_have_something_in_common() -> None:
    families = {exercise.family for exercise in SHIPPED} - {""}

    assert len(families) >= 10
    for family in families:
        assert family in exercise_names()
        assert named(family).family == ""
        for twin in (exercise for exercise in SHIPPED if exercise.family == family):
            assert twin.key.split()[1:] == named(family).key.split()[1:] or twin.tuning == named(family).tuning


def test_own_exercises_have_the_same_rights(tmp_path: Path) -> None:
    (tmp_path / "my-steps.toml").write_text(
        (EXERCISES / "two-gates.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    (tmp_path / "notes.docx").write_text("no exercise", encoding="utf-8")
    (tmp_path / "quarry-steps.toml").write_text(
        (EXERCISES / "two-gates.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )

    names = exercise_names([tmp_path])

    assert set(names) == {*exercise_names(), "my-steps"}
    assert load_exercise("my-steps", [tmp_path]).notes == named("two-gates").notes
    assert load_exercise("quarry-steps", [tmp_path]).notes == named("two-gates").notes
    with pytest.raises(ExerciseError, match="nearest: 'my-steps'"):
        load_exercise("my-stepz", [tmp_path])


def test_a_folder_that_does_not_exist_holds_no_exercises(tmp_path: Path) -> None:
    assert exercise_names([tmp_path / "absent"]) == exercise_names()


@pytest.mark.parametrize("name", ["../two-gates", "exercises/two-gates", "..", "/etc/passwd"])
def test_a_name_leads_nowhere_but_into_the_folders(name: str, tmp_path: Path) -> None:
    with pytest.raises(ExerciseError, match=r"there is no exercise|is not one of"):
        load_exercise(name, [tmp_path])


def test_a_broken_or_enormous_or_deep_file_is_told_in_a_line(tmp_path: Path) -> None:
    huge, deep = tmp_path / "huge.toml", tmp_path / "deep.toml"
    huge.write_text("#" * (LARGEST_BYTES + 1), encoding="utf-8")
    deep.write_text("key = " + "[" * 5000, encoding="utf-8")

    for path, complaint in ((huge, "is too large: expected at most 256 KB"), (deep, "deep.toml:1: ")):
        with pytest.raises(ExerciseError, match=complaint) as caught:
            load_exercise(str(path))
        assert "\n" not in str(caught.value)


def test_twins_differ_only_in_how_their_notes_are_begun() -> None:
    for one, other in (("quarry-steps", "quarry-steps-legato"), ("ridge-path", "ridge-path-picked")):
        places = [[(note.onset_quarters, note.location) for note in named(name).notes] for name in (one, other)]
        techniques = [[note.technique for note in named(name).notes] for name in (one, other)]
        assert places[0] == places[1]
        assert techniques[0] != techniques[1]


def test_the_drop_d_the_seven_string_and_the_bass_line_have_their_tunings_and_use_the_strings_that_differ() -> None:
    assert named("old-mine").tuning.open_pitches[5] == 38
    assert 6 in named("old-mine").courses
    assert (len(named("deep-shaft").tuning.open_pitches), 7 in named("deep-shaft").courses) == (7, True)
    assert named("cart-track").tuning.open_pitches == (43, 38, 33, 28)


def test_an_exercise_is_loaded_by_its_path_too(tmp_path: Path) -> None:
    path = tmp_path / "my-steps.toml"
    path.write_text((EXERCISES / "quarry-steps.toml").read_text(encoding="utf-8"), encoding="utf-8")

    exercise = load_exercise(str(path))

    assert exercise.name == "my-steps"
    assert exercise.notes == named("quarry-steps").notes


def test_a_line_of_text_is_loaded_where_it_has_commas() -> None:
    assert len(load_exercise("A minor pentatonic, positions 1, up, strings 1-2").notes) == 4


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("quary-steps", "there is no exercise 'quary-steps'; nearest: 'quarry-steps'"),
        ("zzz", "there is no exercise 'zzz'; there are: arches-sevenths, arches-triads, "),
        ("absent.toml", "absent.toml: there is no such file"),
        ("absent.musicxml", "absent.musicxml: there is no such file"),
    ],
)
def test_an_unknown_name_or_path_is_told_with_what_there_is(name: str, message: str) -> None:
    with pytest.raises(ExerciseError) as caught:
        load_exercise(name)

    assert str(caught.value).startswith(message)


def test_a_file_of_another_kind_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "notes.odt"
    path.write_text("E A D", encoding="utf-8")

    with pytest.raises(ExerciseError, match=r"notes\.odt: \.odt is not one of \.toml, \.musicxml"):
        load_exercise(str(path))
