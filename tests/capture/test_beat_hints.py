from trainer.capture.beat_hints import beat_hint
from trainer.score.grid_walk import TICKS

RUN = tuple(range(60, 92))
"""A scale that runs on: no figure repeats that is not everywhere."""
FOURS = tuple(60 + group + step for group in range(8) for step in (0, 2, 1, 3))


def even(a_beat: int, notes: int = 32) -> list[int]:
    """The places of even notes, so many a beat."""
    return [at * TICKS // a_beat for at in range(notes)]


def accented(every: int, notes: int = 32) -> list[float]:
    return [110.0 if at % every == 0 else 84.0 + at % 3 for at in range(notes)]


def test_even_notes_of_a_running_scale_say_nothing() -> None:
    hint = beat_hint([84.0] * 32, RUN)

    assert [hint(even(a_beat)) for a_beat in (1, 2, 3, 4, 6, 8)] == [0.0] * 6


def test_accents_speak_for_the_beat_that_they_fall_on() -> None:
    hint = beat_hint(accented(every=4), RUN)

    costs = {a_beat: hint(even(a_beat)) for a_beat in (1, 2, 3, 4, 8)}

    assert min(costs, key=lambda a_beat: costs[a_beat]) == 4
    assert costs[4] < -20
    assert costs[3] > -1


def test_accents_on_every_second_beat_are_possible_but_less_likely() -> None:
    hint = beat_hint(accented(every=4), RUN)

    assert hint(even(4)) < hint(even(2)) < -20


def test_accents_beside_the_beat_speak_for_no_beat() -> None:
    hint = beat_hint(accented(every=4), RUN)

    shifted = [place + TICKS // 4 for place in even(4)]

    assert hint(shifted) == 0.0


def test_soft_notes_on_the_beat_are_no_accents() -> None:
    hint = beat_hint([200 - velocity for velocity in accented(every=4)], RUN)

    assert hint(even(4)) == 0.0


def test_figures_that_repeat_speak_for_the_beat_that_they_fill() -> None:
    hint = beat_hint([84.0] * 32, FOURS)

    costs = {a_beat: hint(even(a_beat)) for a_beat in (3, 4, 5, 8)}

    assert min(costs, key=lambda a_beat: costs[a_beat]) == 4
    assert costs[3] > costs[4] + 3


def test_a_single_note_says_nothing() -> None:
    assert beat_hint([84.0], [60])([0]) == 0.0
