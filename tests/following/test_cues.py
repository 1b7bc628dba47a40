"""Cues are heard when they are played, and at no other time."""

import random

import pytest

from trainer.following.cues import (
    MOST_GAP_NS,
    Cue,
    CueError,
    CueListener,
    CueNote,
    is_in_line,
    learned_phrase,
    usual_cues,
)
from trainer.playing.messages import NoteOnset
from trainer.score.library import exercise_names, load_exercise
from trainer.theory.tuning import TUNINGS, tuning_named

STANDARD = tuning_named("standard")
GAP_NS = 300_000_000
AGAIN = ((52, 6), (40, 6), (52, 6), (45, 5))


def played(*notes: tuple[int, int | None], gap_ns: int = GAP_NS, velocity: int = 90) -> list[NoteOnset]:
    """Notes of (pitch, course), one after the other."""
    return [
        NoteOnset(place, place, place * gap_ns, place * gap_ns, course, pitch, velocity)
        for place, (pitch, course) in enumerate(notes)
    ]


def heard(listener: CueListener, onsets: list[NoteOnset]) -> list[Cue]:
    return [cue for onset in onsets if (cue := listener.feed(onset)) is not None]


@pytest.mark.parametrize(("cue", "last"), [(Cue.AGAIN, 45), (Cue.SLOWER, 50), (Cue.NEXT, 59), (Cue.STOP, 64)])
def test_octave_open_octave_on_the_lowest_string_and_an_open_one_say_what_is_wanted(cue: Cue, last: int) -> None:
    listener = CueListener(usual_cues(STANDARD))

    assert heard(listener, played((52, 4), (52, 6), (40, 6), (52, 6), (last, None), (last, None))) == [cue]


def test_a_silence_a_wrong_string_or_a_note_between_is_no_cue() -> None:
    cues = usual_cues(STANDARD)

    assert heard(CueListener(cues), played(*AGAIN, gap_ns=MOST_GAP_NS)) == [Cue.AGAIN]
    assert heard(CueListener(cues), played(*AGAIN, gap_ns=MOST_GAP_NS + 1)) == []
    assert heard(CueListener(cues), played((52, 6), (40, 6), (52, 6), (45, 6))) == []
    assert heard(CueListener(cues), played((52, 6), (40, 6), (52, 6), (47, 5), (45, 5))) == []


def test_a_ghost_of_the_pickup_does_not_break_a_cue() -> None:
    onsets = played(*AGAIN)
    ghost = NoteOnset(9, 9, onsets[1].onset_ns + 30_000_000, onsets[1].onset_ns + 30_000_000, 5, 45, 20)

    assert heard(CueListener(usual_cues(STANDARD)), [*onsets[:2], ghost, *onsets[2:]]) == [Cue.AGAIN]


@pytest.mark.parametrize("name", exercise_names())
def test_no_shipped_line_gives_a_usual_cue(name: str) -> None:
    line = load_exercise(name)

    assert [cue for cue, phrase in usual_cues(line.tuning).items() if is_in_line(phrase, line)] == []


def test_usual_cues_of_every_tuning_are_told_apart() -> None:
    for tuning in TUNINGS.values():
        cues = usual_cues(tuning)
        onsets = {cue: played(*((note.pitch, note.course) for note in phrase)) for cue, phrase in cues.items()}

        assert {cue: heard(CueListener(cues), each) for cue, each in onsets.items()} == {cue: [cue] for cue in cues}


def test_a_learned_phrase_is_heard_in_any_playing_that_holds_it() -> None:
    rng = random.Random(4)
    phrase = learned_phrase(played((76, 1), (75, 1), (76, 1), (40, 6)), {}, ())
    before = [(rng.randint(41, 74), rng.randint(2, 5)) for _ in range(30)]

    assert heard(CueListener({Cue.STOP: phrase}), played(*before, (76, 1), (75, 1), (76, 1), (40, 6))) == [Cue.STOP]


def test_what_cannot_be_a_cue_is_refused_with_the_reason() -> None:
    line = load_exercise("quarry-steps")
    first_notes = [(note.pitch, note.location.course) for note in line.notes[:4]]
    across_the_end = [(note.pitch, note.location.course) for note in (*line.notes[-2:], *line.notes[:2])]

    with pytest.raises(CueError, match="3 to 8 notes; 2 were heard"):
        learned_phrase(played((40, 6), (41, 6)), {}, ())
    with pytest.raises(CueError, match="cue for again"):
        learned_phrase(played(*AGAIN, (47, 5)), usual_cues(STANDARD), ())
    with pytest.raises(CueError, match=line.title):
        learned_phrase(played(*first_notes), {}, (line,))
    with pytest.raises(CueError, match=line.title):
        learned_phrase(played(*across_the_end), {}, (line,))


def test_where_strings_are_not_told_apart_the_pitch_decides() -> None:
    assert CueNote(45, None).is_met_by(CueNote(45, 5))
    assert not CueNote(45, 6).is_met_by(CueNote(45, 5))
