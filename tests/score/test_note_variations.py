import pytest

from tests.score.builders import line, tab
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.note_variations import varied_notes
from trainer.theory.technique import Stroke

SLURRED = line(cell="steps 1 h2 3 h4")  # 2/7 2/h10 1/7 1/h10
SLID = line(route="1 2", shifts="slid")


def changed(exercise: Exercise, **changes: str) -> Exercise:
    return varied_notes(exercise, changes)


def test_another_key_moves_every_note_along_its_string_by_the_shorter_way() -> None:
    assert tab(changed(SLURRED, key="C#")) == "2/9 2/h12 1/9 1/h12"
    assert tab(changed(SLURRED, key="A")) == "2/5 2/h8 1/5 1/h8"
    assert tab(changed(SLURRED, key="-3")) == "2/4 2/h7 1/4 1/h7"
    assert changed(SLURRED, key="A").key == "A minor pentatonic"


def test_the_pitches_go_with_the_frets() -> None:
    other = changed(SLID, key="D")

    assert all(note.pitch == other.tuning.pitch_at(note.location) for note in other.notes)
    assert tab(other) == "1/13 1/10 2/13 2/10 1/s(13)15 1/13 2/15 2/13"


def test_a_key_that_leaves_the_neck_is_refused_or_taken_an_octave_away() -> None:
    high = line(route="high 3", last_fret=22)

    assert max(note.fret for note in changed(high, key="+5").notes) <= 22
    with pytest.raises(ExerciseError, match="leaves the neck of 22 frets on these strings"):
        changed(line(key="A minor pentatonic", route="whole neck"), key="B")


def test_backwards_what_was_hammered_on_is_pulled_off() -> None:
    backward = changed(SLURRED, direction="backward")

    assert tab(backward) == "1/10 1/p7 2/10 2/p7"
    assert [note.onset_quarters for note in backward.notes] == [note.onset_quarters for note in SLURRED.notes]
    assert tab(changed(backward, direction="turned")) == tab(SLURRED)


def test_picked_and_legato_are_twins_with_strokes_of_their_own() -> None:
    picked = changed(SLURRED, articulation="picked")

    assert tab(picked) == "2/7 2/10 1/7 1/10"
    assert [note.stroke for note in picked.notes] == [Stroke.DOWN, Stroke.UP] * 2
    assert tab(changed(picked, articulation="legato")) == tab(SLURRED)
    assert picked.family == "line"


def test_slides_are_taken_away_but_cannot_be_invented() -> None:
    assert "s" not in tab(changed(SLID, slid="no"))
    with pytest.raises(ExerciseError, match="only slid=no can be asked for"):
        changed(SLURRED, slid="yes")


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"rhythm": "triplets"}, "rhythm: 'rhythm' is not something to vary in a line without a recipe"),
        ({"key": "H"}, "key: 'H' is not a note"),
        ({"tempo": "900"}, "tempo: tempo 900 is not in 10..400"),
        ({"tempo": "fast"}, "tempo: 'fast' is not a tempo such as"),
        ({"direction": "up"}, "direction: 'up' is not a direction"),
    ],
)
def test_a_slip_is_named(changes: dict[str, str], message: str) -> None:
    with pytest.raises(ExerciseError) as caught:
        varied_notes(SLURRED, changes)

    assert str(caught.value).startswith(message)
