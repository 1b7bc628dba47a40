"""Drills are exercises: they can be read back, reached by a hand, looped and judged."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.builders import SECOND_NS, played
from trainer.coaching.drills import drills_for
from trainer.coaching.transitions import Transition, Weakness
from trainer.following.verdict import Pace
from trainer.judging import play_through
from trainer.score.exercise import Exercise
from trainer.score.hand import HANDS
from trainer.score.library import exercise_names, load_exercise
from trainer.score.note_list import exercise_from_note_list, note_list_text
from trainer.score.playability import strains_of
from trainer.score.tempo import Tempo
from trainer.session import Session
from trainer.theory.technique import Technique


def late(to_index: int, **more: object) -> Transition:
    figures = Transition(to_index - 1, to_index, 25.0, (15.0, 35.0), 12.0, 8, 0, 8, 125.0, is_weak=True)
    return replace(figures, **more)  # type: ignore[arg-type]  # fields by name


def shape(exercise: Exercise) -> list[tuple[Fraction, int, int]]:
    return [(note.onset_quarters, note.course, note.fret) for note in exercise.notes]


def test_the_smallest_drill_is_the_transition_with_a_note_on_each_side() -> None:
    line = load_exercise("two-gates")

    core = drills_for(line, late(12), line.tempo)[0]

    half = Fraction(1, 2)
    assert (core.first, core.last) == (10, 13)
    assert shape(core.exercise) == [(Fraction(0), 3, 12), (half, 3, 9), (Fraction(1), 2, 17), (3 * half, 2, 15)]
    assert core.exercise.length_quarters == 3


def test_the_stressing_rhythm_hurries_the_transition_and_waits_after_it() -> None:
    line = load_exercise("two-gates")

    stressed = drills_for(line, late(12), line.tempo)[1].exercise

    assert [note.onset_quarters for note in stressed.notes] == [0, Fraction(1, 2), Fraction(3, 4), Fraction(3, 2)]
    assert [note.duration_quarters for note in stressed.notes] == [
        Fraction(1, 2),
        Fraction(1, 4),
        Fraction(3, 4),
        Fraction(1, 2),
    ]


def test_drills_grow_back_into_the_whole_line() -> None:
    line = load_exercise("two-gates")

    spans = [(drill.first, drill.last) for drill in drills_for(line, late(12), line.tempo)]

    assert spans == [(10, 13), (10, 13), (8, 15), (0, 31)]


def test_the_tempo_is_the_one_at_which_the_interval_is_as_long_as_the_player_takes() -> None:
    line = load_exercise("two-gates")

    # 125 ms written, 25 late, spread 12: 125 / 162 of 120.
    assert drills_for(line, late(12), Tempo(Fraction(120)))[0].exercise.tempo == Tempo(Fraction(92))


@pytest.mark.parametrize(
    ("figures", "tempo"),
    [
        ({"late_ms": 0.0, "spread_ms": 0.0}, 108),
        ({"late_ms": 400.0, "spread_ms": 100.0}, 60),
        ({"late_ms": 0.0, "spread_ms": 0.0, "kind": Weakness.FAILING}, 90),
    ],
    ids=["never faster than nine tenths", "never slower than half", "what fails begins at three quarters"],
)
def test_the_tempo_stays_within_reason(figures: dict[str, object], tempo: int) -> None:
    line = load_exercise("two-gates")

    drill = drills_for(line, late(12, **figures), Tempo(Fraction(120)))[0]

    assert drill.exercise.tempo == Tempo(Fraction(tempo))


@pytest.mark.parametrize("to_index", [1, 31])
def test_a_transition_at_the_edge_of_the_line_has_a_drill(to_index: int) -> None:
    line = load_exercise("two-gates")

    core = drills_for(line, late(to_index), line.tempo)[0]

    assert core.first <= to_index - 1 < to_index <= core.last


@pytest.mark.parametrize("name", exercise_names()[::4])
def test_every_drill_of_a_shipped_line_is_a_valid_line(name: str) -> None:
    line = load_exercise(name)
    strained = bool(strains_of(line, HANDS["adult"]))
    for to_index in range(1, len(line.notes), max(1, len(line.notes) // 4)):
        for drill in drills_for(line, late(to_index), line.tempo):
            exercise = drill.exercise
            first = exercise.notes[0]
            end = max(note.onset_quarters + note.duration_quarters for note in exercise.notes)

            again = exercise_from_note_list(note_list_text(exercise), exercise.name, "drill")

            assert shape(again) == shape(exercise)
            assert again.tempo == exercise.tempo
            assert end <= exercise.length_quarters
            assert first.technique is Technique.PICK or first.slide_from is not None
            assert [n.onset_quarters for n in exercise.notes] == sorted(n.onset_quarters for n in exercise.notes)
            assert strained or not strains_of(exercise, HANDS["adult"])


def test_a_looped_drill_is_followed_and_judged_like_any_line() -> None:
    line = load_exercise("two-gates")
    for drill in drills_for(line, late(12), line.tempo):
        loop = drill.exercise.repeated(4)
        session = Session(
            loop,
            pace=Pace.CLICK,
            tempo=loop.tempo,
            starts_at_ns=2 * SECOND_NS,
            pass_length=len(drill.exercise.notes),
        )

        play_through(session, played(loop))

        assert session.assessment().matched == len(loop.notes)
