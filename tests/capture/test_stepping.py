from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from trainer.capture.free_play import Board
from trainer.capture.stepping import SteppedPhrase
from trainer.score.library import load_exercise
from trainer.theory.scale import key_named

CHORDS = load_exercise("paired-stones")
LINE = load_exercise("quarry-steps")
KEY = key_named("B minor pentatonic")


def test_it_begins_as_the_whole_with_its_last_moment_sounding() -> None:
    phrase = SteppedPhrase.at_end(LINE, Board((), KEY, is_held=True, position=None))

    board = phrase.board()

    assert (len(board.notes), board.key, board.is_held) == (len(LINE.notes), KEY, True)
    assert board.position == LINE.notes[-1].position
    assert [one.is_sounding for one in board.notes[-2:]] == [False, True]


@given(st.integers(-3, len(CHORDS.notes) + 3))
def test_the_notes_of_a_chord_come_together_and_no_moment_lies_outside(moment: int) -> None:
    phrase = SteppedPhrase(CHORDS, KEY, is_held=False).at(moment)
    onset = phrase.onsets[max(0, min(moment, len(phrase.onsets) - 1))]

    board = phrase.board()

    sounding = [one.heard for one in board.notes if one.is_sounding]
    assert sounding == [index for index, one in enumerate(CHORDS.notes) if one.onset_quarters == onset]
    assert [one.pitch for one in phrase.alone().notes] == [CHORDS.notes[index].pitch for index in sounding]
    assert {one.onset_quarters for one in phrase.alone().notes} == {0}
    assert len(board.notes) == sum(one.onset_quarters <= onset for one in CHORDS.notes)


def test_a_note_leads_to_its_moment_and_is_counted_as_written() -> None:
    phrase = SteppedPhrase(replace(LINE, notes=LINE.notes[:6]), KEY, is_held=False)

    assert [phrase.at_note(index).moment for index in range(6)] == [0, 1, 2, 3, 4, 5]
    assert list(phrase.counts().values()) == ["1", "e", "&", "a", "2", "e"]
