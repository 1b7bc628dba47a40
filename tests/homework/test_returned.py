import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from tests.homework.builders import assignment_of, returned_of, take_of
from trainer.homework.assignment import assignment_bytes, assignment_in
from trainer.homework.container import ASSIGNMENT, RETURN, packed, take_name, unpacked
from trainer.homework.errors import HomeworkError
from trainer.homework.returned import returned_bytes, returned_in, take_digest

TAKE, LATER = take_of(), take_of(days=1)


def changed(change: Callable[[dict[str, Any]], object]) -> bytes:
    members = unpacked(returned_bytes(returned_of(TAKE, LATER)))
    told = json.loads(members[RETURN])
    change(told)
    return packed(members | {RETURN: json.dumps(told).encode()})


def test_what_is_given_back_reads_back_as_it_was() -> None:
    returned = returned_of(TAKE, LATER, pupil="ליאת")

    assert returned_in(returned_bytes(returned)) == returned


def test_it_holds_a_name_a_tag_and_takes_and_nothing_else_of_the_pupil() -> None:
    told = json.loads(unpacked(returned_bytes(returned_of(TAKE)))[RETURN])

    assert set(told) == {"boxwalk_return", "pupil", "tag", "made", "ear", "figures", "takes"}


def test_a_take_that_someone_has_changed_is_refused() -> None:
    members = unpacked(returned_bytes(returned_of(TAKE, LATER)))
    members[take_name(2)] = members[take_name(2)][:-9] + b"\x45" + members[take_name(2)][-8:]

    with pytest.raises(HomeworkError, match="take 2 is not as it was recorded"):
        returned_in(packed(members))


def test_takes_that_are_missing_or_not_listed_are_refused() -> None:
    members = unpacked(returned_bytes(returned_of(TAKE, LATER)))

    for others in ({take_name(2): None}, {take_name(3): TAKE}):
        held = {name: data for name, data in (members | others).items() if data is not None}
        with pytest.raises(HomeworkError, match="does not hold the takes that it lists"):
            returned_in(packed(held))


@pytest.mark.parametrize(
    "change",
    [
        lambda told: told.update(pupil=""),
        lambda told: told.update(pupil="\u202e \x07"),
        lambda told: told.update(pupil=None),
        lambda told: told.update(tag="../../x"),
        lambda told: told.update(figures=[{}]),
        lambda told: told.update(figures=told["figures"] * 50),
        lambda told: told["figures"][0].update(fastest="1e999999999"),
        lambda told: told["figures"][0].update(fastest="1/0"),
        lambda told: told["figures"][0].update(passes=-1),
        lambda told: told["figures"][0].update(played_ms=1.5),
        lambda told: told.update(takes=["x"]),
        lambda told: told.update(takes=told["takes"] * 1000),
        lambda told: told.pop("made"),
    ],
)
def test_what_cannot_be_used_is_refused(change: Callable[[dict[str, Any]], object]) -> None:
    with pytest.raises(HomeworkError):
        returned_in(changed(change))


def test_the_two_kinds_of_file_are_told_apart() -> None:
    given, back = assignment_bytes(assignment_of()), returned_bytes(returned_of(TAKE))

    with pytest.raises(HomeworkError, match="as it was given out, not as it was given back"):
        returned_in(given)
    with pytest.raises(HomeworkError, match="was given back: `boxwalk homework collect` reads it"):
        assignment_in(back)
    with pytest.raises(HomeworkError, match="does not say what the homework was"):
        returned_in(packed({name: data for name, data in unpacked(back).items() if name != ASSIGNMENT}))


def test_notes_about_its_takes_go_along_on_one_line_and_others_are_let_go() -> None:
    noted = replace(returned_of(TAKE, LATER), notes={take_digest(LATER): "Slower\n\x1bhere.", "0" * 64: "Of what?"})

    assert returned_in(returned_bytes(noted)).notes == {take_digest(LATER): "Slower here."}
