from fractions import Fraction

import pytest

from trainer.score.difficulty import parts_of
from trainer.score.finding import PART_NAMES, TECHNIQUES, Wanted, part_of
from trainer.score.library import exercise_names, load_exercise
from trainer.score.practice_path import PATH, step_of
from trainer.theory.naming import UnknownWord

SHIPPED = [load_exercise(name) for name in exercise_names()]


def found(wanted: Wanted) -> set[str]:
    return {line.name for line in SHIPPED if wanted.fits(line)}


def test_nothing_wanted_finds_everything() -> None:
    assert found(Wanted()) == set(exercise_names())


def test_a_key_is_found_by_its_root_its_scale_or_both() -> None:
    assert found(Wanted(key="D dorian")) == {"mist"}
    assert found(Wanted(key="dorian")) == {line.name for line in SHIPPED if line.key.endswith(" dorian")}
    assert found(Wanted(key="a minor")) >= {"garden-wall"}
    assert all(load_exercise(name).key.startswith("Eb ") for name in found(Wanted(key="Eb")))


def test_bounds_of_tempo_and_of_parts_include_their_edge() -> None:
    line = load_exercise("two-gates")
    tempo, rate = line.tempo.quarters_per_minute, parts_of(line).notes_a_second

    assert "two-gates" in found(Wanted(slowest=tempo, fastest=tempo))
    assert "two-gates" not in found(Wanted(slowest=tempo + Fraction(1, 10)))
    assert "two-gates" in found(Wanted(at_most={"notes a second": rate}, at_least={"notes-a-second": rate}))
    assert "two-gates" not in found(Wanted(at_most={"notes a second": rate - 0.1}))


def test_several_wishes_have_all_to_be_fulfilled() -> None:
    wanted = Wanted(words=("slide",), strings=2, techniques=frozenset({"slid", "picked"}), tags=frozenset({"fours"}))

    assert "quarry-steps" in found(wanted)
    assert all(len(load_exercise(name).courses) == 2 for name in found(wanted))


def test_a_family_is_an_exercise_and_its_twins() -> None:
    assert found(Wanted(family="two-gates")) == {"two-gates", "two-gates-slid", "late-gate"}


def test_every_shipped_exercise_has_one_place_on_the_path() -> None:
    names = [name for step in PATH for name in step.exercises]

    assert sorted(names) == sorted(exercise_names())
    assert [step.number for step in PATH] == list(range(1, len(PATH) + 1))
    assert found(Wanted(step=1)) == set(PATH[0].exercises)
    assert step_of("no-such-line") is None


def test_the_path_begins_slowly_and_ends_fast() -> None:
    rates = [max(parts_of(load_exercise(name)).notes_a_second for name in step.exercises) for step in PATH]

    assert rates[0] == min(rates)
    assert rates[-1] == max(rates)


@pytest.mark.parametrize("name", sorted(TECHNIQUES))
def test_every_technique_is_played_by_some_line_and_not_by_all(name: str) -> None:
    assert 0 < len(found(Wanted(techniques=frozenset({name})))) < len(SHIPPED)


def test_a_slip_is_named() -> None:
    with pytest.raises(UnknownWord, match="'slidd' is not a technique; nearest: 'slid'"):
        Wanted(techniques=frozenset({"slidd"}))
    with pytest.raises(UnknownWord, match="'shfts' is not a part of difficulty; nearest: 'shifts'"):
        Wanted(at_most={"shfts": 3})


def test_every_part_has_its_name() -> None:
    parts = parts_of(SHIPPED[0])

    assert [part_of(parts, name) for name in PART_NAMES]
    assert part_of(parts, "Notes a Second") == parts.notes_a_second
