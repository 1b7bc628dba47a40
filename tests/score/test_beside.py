from dataclasses import replace
from fractions import Fraction

from trainer.score.beside import Difference, difference_words, moments_of
from trainer.score.exercise import ScoreNote
from trainer.score.library import load_exercise
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique

LINE = load_exercise("quarry-steps").excerpt(0, 7)


def changed(index: int, note: ScoreNote) -> list[Difference | None]:
    notes = tuple(note if place == index else one for place, one in enumerate(LINE.notes))
    return [moment.difference for moment in moments_of(LINE, replace(LINE, notes=notes))]


def test_a_line_beside_itself_is_the_same_throughout() -> None:
    moments = moments_of(LINE, LINE)

    assert [(one.upper, one.lower, one.difference) for one in moments] == [((n,), (n,), None) for n in range(8)]
    assert difference_words(moments) == "8 of 8 moments the same."


def test_the_weightiest_difference_of_a_moment_counts() -> None:
    note = LINE.notes[3]
    elsewhere = Location(note.course + 1, LINE.tuning.fret_of(note.course + 1, note.pitch) or 0)

    assert changed(3, replace(note, pitch=note.pitch + 1, location=elsewhere))[3] is Difference.NOTE
    assert changed(3, replace(note, location=elsewhere))[3] is Difference.PLACE
    assert changed(3, replace(note, technique=Technique.HAMMER))[3] is Difference.BEGUN
    assert changed(3, replace(note, finger=3, duration_quarters=Fraction(1, 8))) == [None] * 8


def test_the_same_beat_lies_under_the_same_beat_wherever_the_notes_are() -> None:
    lower = replace(LINE, notes=tuple(note for index, note in enumerate(LINE.notes) if index not in (2, 5)))
    upper = replace(LINE, notes=LINE.notes[:6])

    moments = moments_of(upper, lower)

    assert [one.onset_quarters for one in moments] == [note.onset_quarters for note in LINE.notes]
    assert [one.difference for one in moments] == [
        *(None, None, Difference.UPPER, None, None, Difference.UPPER, Difference.LOWER, Difference.LOWER),
    ]
    assert difference_words(moments) == ("4 of 8 moments the same: 2 only in the upper line, 2 only in the lower line.")


def test_chords_are_compared_as_wholes() -> None:
    chords = load_exercise("paired-stones")
    first = chords.notes[0].onset_quarters
    turned = replace(chords, notes=(chords.notes[1], chords.notes[0], *chords.notes[2:]))

    assert chords.notes[1].onset_quarters == first
    assert {one.difference for one in moments_of(chords, turned)} == {None}
    assert moments_of(chords, replace(chords, notes=chords.notes[1:]))[0].difference is Difference.NOTE
