from pathlib import Path

import pytest

from tests.score.builders import tab
from trainer.score.errors import ExerciseError
from trainer.score.toml_reading import exercise_from_toml, line_of, read_toml

GOOD = """\
title = "Spoil heap"
about = '''
Four notes,
  key = and four more.
'''
key = "B minor pentatonic"
strings = [1, 2]
route = [4, 5]
cell = "fours down"
"""


def complaint(text: str) -> list[str]:
    with pytest.raises(ExerciseError) as caught:
        exercise_from_toml(text, "spoil-heap", "spoil-heap.toml")
    return str(caught.value).splitlines()


def test_a_file_becomes_an_exercise() -> None:
    exercise = exercise_from_toml(GOOD, "spoil-heap", "spoil-heap.toml")

    assert (exercise.name, exercise.title, exercise.key) == ("spoil-heap", "Spoil heap", "B minor pentatonic")
    assert exercise.about == "Four notes, key = and four more."
    assert tab(exercise) == "1/5 1/2 2/5 2/3 1/7 1/5 2/7 2/5"


def test_all_mistakes_are_told_at_once_each_with_its_line_and_the_nearest_word() -> None:
    text = """\
titel = "Spoil heap"
key = "B minor pentatonik"
tuning = "dropd"

strings = "1-2"
route = "clmb from 4"
cell = "fours dwn"
rhythm = "sixtenths"
articulation = "legatto"
tempo = 1000
last_fret = "many"
"""

    assert complaint(text) == [
        "spoil-heap.toml:1: 'titel' is not a field of an exercise; nearest: 'title'",
        "spoil-heap.toml:2: key: 'pentatonik' is not a scale; nearest: 'pentatonic'",
        "spoil-heap.toml:3: tuning: 'dropd' is not a tuning; nearest: 'drop-d'",
        "spoil-heap.toml:6: route: 'clmb' is not a position number or a move such as `up two`; nearest: 'climb'",
        "spoil-heap.toml:7: cell: 'dwn' is not a direction; nearest: 'down'",
        "spoil-heap.toml:8: rhythm: 'sixtenths' is not a note value; nearest: 'sixteenths'",
        "spoil-heap.toml:9: articulation: 'legatto' is not an articulation; nearest: 'legato'",
        "spoil-heap.toml:10: tempo: 1000 is not valid: input should be less than or equal to 400",
        "spoil-heap.toml:11: last_fret: 'many' is not valid: input should be a valid integer",
    ]


def test_what_is_missing_is_told_with_an_example() -> None:
    assert complaint('key = "A minor"\ncell = "up"\n') == [
        "spoil-heap.toml:1: route is missing: the positions in order, or a rule, such as '4 5 1 2 3 4'"
    ]


def test_text_that_is_not_toml_is_told_with_its_line() -> None:
    assert complaint('key = "A minor"\ncell = up\n') == ["spoil-heap.toml:2: is not TOML: Invalid value"]
    assert complaint('key = "A minor"\nkey = "B minor"\n') == [
        "spoil-heap.toml:2: is not TOML: Cannot overwrite a value"
    ]
    assert complaint('title = """\nno end\n')[0].startswith("spoil-heap.toml:3: is not TOML: ")


def test_what_cannot_be_played_is_told_at_the_line_that_asks_for_it() -> None:
    assert complaint(GOOD.replace("[4, 5]", "[4, 6]")) == [
        "spoil-heap.toml:8: route: there is no position 6: the scale has positions 1 to 5"
    ]
    assert complaint(GOOD.replace("fours down", "steps 1+2")) == [
        "spoil-heap.toml:9: cell: frets 3 and 5 of string 2 would sound at once: a string has one note at a time"
    ]


def test_a_key_inside_a_text_of_several_lines_is_no_key() -> None:
    assert line_of(GOOD, "key") == 6
    assert line_of(GOOD, "absent") == 1


def test_a_file_that_is_not_text_or_not_there_is_told(tmp_path: Path) -> None:
    (tmp_path / "latin.toml").write_bytes(b'title = "x"\nabout = "\xe9"\n')

    with pytest.raises(ExerciseError, match=r"latin\.toml:2: is not UTF-8 text"):
        read_toml(tmp_path / "latin.toml")
    with pytest.raises(ExerciseError, match=r"absent\.toml: cannot be read"):
        read_toml(tmp_path / "absent.toml")
