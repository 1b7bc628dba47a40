"""What transitions share."""

import random

import pytest

from tests.coaching.players import Player
from trainer.coaching.telling import shared_sentence
from trainer.coaching.traits import Trait, shared_weaknesses, traits_of
from trainer.coaching.transitions import Transition, Weakness, Weighing, weigh
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise


def named(exercise: Exercise, words: str) -> tuple[int, ...]:
    return next(indices for trait, indices in traits_of(exercise).items() if trait.words == words)


def weighing_of(exercise: Exercise, late_ms: dict[int, float], *, seed: int = 1, passes: int = 8) -> Weighing:
    """Drawn figures: 6 ms of chance on each mean."""
    rng = random.Random(seed)
    return Weighing(
        passes,
        tuple(
            Transition(
                index - 1, index, rng.gauss(late_ms.get(index, 0.0), 6), (0, 0), rng.gauss(14, 2), 8, 0, 8, 125.0
            )
            for index in range(1, len(exercise.notes))
        ),
        14.0,
    )


def test_a_line_tells_its_shifts_and_the_notes_after_them() -> None:
    line = load_exercise("two-gates")

    positions = [note.position for note in line.notes]
    shifts = [index for index in range(1, 32) if positions[index] != positions[index - 1]]
    assert named(line, "shifts of position") == tuple(shifts)
    assert named(line, "first notes after a shift") == tuple(index + 1 for index in shifts)


def test_string_changes_are_named_with_their_strings() -> None:
    line = load_exercise("two-gates")

    courses = [note.course for note in line.notes]
    expected = tuple(index for index in range(1, 32) if (courses[index - 1], courses[index]) == (2, 3))
    assert named(line, "changes from string 2 to 3") == expected


def test_slides_and_the_turns_of_fives_are_traits() -> None:
    assert named(load_exercise("quarry-steps"), "slides")
    assert named(load_exercise("sheepfold-fives"), "turns into a group of five")


def test_pull_offs_by_the_little_finger_are_told_by_the_finger_that_pulls() -> None:
    line = load_exercise("quarry-steps-legato")

    pulled = named(line, "pull-offs by the little finger")

    assert pulled
    assert all(line.notes[index - 1].finger == 4 for index in pulled)


def test_late_shifts_are_found_and_said_to_be_the_shifts() -> None:
    line = load_exercise("two-gates")
    shifts = named(line, "shifts of position")

    found = shared_weaknesses(line, weighing_of(line, dict.fromkeys(shifts, 20.0)), compares_strings=True)

    # Every shift of this line is a change of string too, and one turn of two: neither of those is what is late.
    assert [(each.kind, each.to_indices) for each in found] == [(Weakness.LATE, shifts)]
    assert Trait("shifts of position") in found[0].traits
    assert 14 <= found[0].theirs <= 26


def test_traits_that_occur_at_the_same_places_are_named_together() -> None:
    line = load_exercise("quarry-steps")
    slides = named(line, "slides")

    found = shared_weaknesses(line, weighing_of(line, dict.fromkeys(slides, 20.0)), compares_strings=True)

    assert [[trait.words for trait in each.traits] for each in found] == [
        ["changes from string 2 to 1", "shifts of position", "slides", "turns into a group of four"]
    ]
    assert "shifts of position, slides and turns into a group of four (the same 9 in this" in shared_sentence(found[0])


def test_where_strings_are_not_compared_the_pickup_may_be_what_is_late() -> None:
    line = load_exercise("quarry-steps")
    late = dict.fromkeys(named(line, "slides"), 20.0)

    found = shared_weaknesses(line, weighing_of(line, late), compares_strings=False)

    assert [[trait.words for trait in each.traits] for each in found] == [
        ["shifts of position", "slides", "turns into a group of four"]
    ]
    assert "part of it may be the pickup's" in shared_sentence(found[0])


def test_unsteady_shifts_do_not_make_the_notes_after_them_unsteady() -> None:
    line = load_exercise("quarry-steps")
    slides = named(line, "slides")
    player = Player(times_unsteady=dict.fromkeys(slides, 2.0), notes=len(line.notes))

    found = shared_weaknesses(line, weigh(player.passes(10, 1)), compares_strings=True)

    assert [(each.kind, each.to_indices) for each in found] == [(Weakness.UNSTEADY, slides)]


def test_strings_are_not_compared_where_their_delays_are_unknown() -> None:
    line = load_exercise("two-gates")
    late = dict.fromkeys(named(line, "changes from string 2 to 3"), 25.0)

    compared = shared_weaknesses(line, weighing_of(line, late), compares_strings=True)
    withheld = shared_weaknesses(line, weighing_of(line, late), compares_strings=False)

    assert [weakness.to_indices for weakness in compared] == [tuple(late)]
    # What the pickup's delays may explain is not put down to a shift or a turn that happens to be at the same places.
    assert withheld == ()


@pytest.mark.parametrize("name", ["two-gates", "sheepfold-fives"])
def test_an_even_player_shares_no_weakness(name: str) -> None:
    line = load_exercise(name)

    named_of_20 = sum(
        bool(shared_weaknesses(line, weighing_of(line, {}, seed=seed), compares_strings=True)) for seed in range(20)
    )

    # At one in fifty, more than 3 of 20 are named once in 1,500 runs.
    assert named_of_20 <= 3


def test_few_passes_say_nothing_of_what_is_shared() -> None:
    line = load_exercise("two-gates")
    shifts = named(line, "shifts of position")

    assert (
        shared_weaknesses(line, weighing_of(line, dict.fromkeys(shifts, 40.0), passes=4), compares_strings=True) == ()
    )
