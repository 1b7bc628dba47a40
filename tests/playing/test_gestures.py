"""How notes were begun, in streams of converters that differ from one another.

The shapes here are drawn by these tests themselves, not by the simulated converter of `trainer.devices`: other ramps,
other step times, other velocities.
"""

import math
import random
from collections.abc import Callable
from itertools import pairwise

import pytest

from tests.playing.builders import STRINGS, bend, notes, off, on, played
from trainer.playing.messages import NoteOnset, StampedMessage, TechniqueHeard
from trainer.playing.profile import PickupProfile
from trainer.theory.technique import Technique

MS = 1_000_000


def _ramp(
    start_ms: float, length_ms: float, cents: float, every_ms: float, shape: Callable[[float], float] = lambda x: x
) -> list[StampedMessage]:
    """Bends that lead from 0 to `cents`."""
    count = max(1, round(length_ms / every_ms))
    return [bend(start_ms + length_ms * i / count, cents * shape(i / count)) for i in range(1, count + 1)]


def _s_curve(x: float) -> float:
    return (1 - math.cos(math.pi * x)) / 2


def _settling(x: float) -> float:
    return (1 - math.exp(-3 * x)) / (1 - math.exp(-3))


SHAPES = [lambda x: x, _s_curve, _settling]


@pytest.mark.parametrize("cents", [-400, -300, -200, 200, 300, 400, 700])
@pytest.mark.parametrize("length_ms", [45, 70, 110, 150])
@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("every_ms", [3, 7, 11])
def test_a_ramp_of_the_bend_is_a_slide(
    cents: int, length_ms: float, shape: Callable[[float], float], every_ms: float
) -> None:
    said = notes(played([on(0, 72), *_ramp(300, length_ms, cents, every_ms, shape), off(700, 72)]))

    kept = [(pitch, fate) for _, pitch, fate in said if fate != "slide" or pitch == 72 + cents // 100]
    assert kept == [(72, "pick"), (72 + cents // 100, "slide")]


@pytest.mark.parametrize("cents", [-400, -200, -100, 100, 200, 300, 500])
@pytest.mark.parametrize("shares", [[1], [0.6, 1], [0.3, 0.8, 1], [0.5, 0.9, 0.97, 1.02, 1]])
def test_a_quick_step_of_the_bend_is_a_hammer_on_or_pull_off(cents: int, shares: list[float]) -> None:
    steps = [bend(300 + 4 * i, cents * share) for i, share in enumerate(shares)]

    said = notes(played([on(0, 72), *steps, off(500, 72)]))

    assert [(pitch, fate) for _, pitch, fate in said] == [
        (72, "pick"),
        (72 + cents // 100, "hammer" if cents > 0 else "pull"),
    ]


@pytest.mark.parametrize("frets", [2, 3, 5, -2, -4])
@pytest.mark.parametrize("dwell_ms", [17, 22, 35, 44, 60, 75])
def test_a_bend_that_stands_on_each_fret_in_turn_is_a_slide(frets: int, dwell_ms: float) -> None:
    direction = 1 if frets > 0 else -1
    steps = [bend(300 + dwell_ms * i, 100 * direction * (i + 1)) for i in range(abs(frets))]

    said = notes(played([on(0, 72), *steps, off(900, 72)]))

    assert (said[0][2], said[-1][1:]) == ("pick", (72 + frets, "slide"))
    assert all(fate == "slide" and pitch != 72 + frets for _, pitch, fate in said[1:-1])


@pytest.mark.parametrize("frets", [2, 4, -3])
@pytest.mark.parametrize("dwell_ms", [17, 30, 44, 70])
@pytest.mark.parametrize("velocity", [40, 60])
@pytest.mark.parametrize("off_first", [True, False])
def test_soft_gapless_note_ons_on_each_fret_in_turn_are_a_slide(
    frets: int, dwell_ms: float, velocity: int, *, off_first: bool
) -> None:
    direction = 1 if frets > 0 else -1
    stream, pitch = [on(0, 72, 90)], 72
    for i in range(abs(frets)):
        at_ms = 300 + dwell_ms * i
        change = [off(at_ms, pitch), on(at_ms, pitch + direction, velocity)]
        stream += change if off_first else change[::-1]
        pitch += direction

    said = notes(played([*stream, off(900, pitch)]))

    assert [fate for _, _, fate in said] == ["pick", *["slide"] * abs(frets)]


def test_a_slide_through_note_ons_that_are_as_loud_as_picked_ones_and_slow_is_not_claimed() -> None:
    run = [on(300 + 70 * i, 72 + i, 90) for i in range(4)]

    said = notes(played([on(0, 65, 95, channel=2), on(100, 65, 80, channel=2), *run]))

    assert [pitch for _, pitch, _ in said[2:]] == [72, 73, 74, 75]
    assert {fate for _, _, fate in said[2:]} == {"pick"}


@pytest.mark.parametrize("interval_ms", [50, 65, 83, 120])
def test_a_fast_legato_line_of_whole_tones_loses_no_note(interval_ms: float) -> None:
    pitches = [69, 72, 74, 76, 74, 72, 69, 72, 74]
    steps = [bend(300 + interval_ms * i, 100 * (pitch - 67)) for i, pitch in enumerate(pitches)]

    said = notes(played([on(0, 67), *steps]))

    expected = ["hammer" if later > earlier else "pull" for earlier, later in pairwise([67, *pitches])]
    assert [(pitch, fate) for _, pitch, fate in said[1:]] == list(zip(pitches, expected, strict=True))


@pytest.mark.parametrize("interval_ms", [50, 62, 79, 83])
def test_a_legato_run_of_semitones_at_even_intervals_is_not_a_slide(interval_ms: float) -> None:
    steps = [bend(interval_ms * (i + 1), 100 * (i + 1)) for i in range(3)]

    assert [fate for _, _, fate in notes(played([on(0, 67), *steps]))] == ["pick", "hammer", "hammer", "hammer"]


def test_the_onset_of_a_slid_note_is_when_it_came_near_its_pitch() -> None:
    said = notes(played([on(0, 67), *_ramp(300, 80, 400, 4)]))

    assert said[-1] == (376, 71, "slide")  # 365 cents of 400 are passed at 373 ms, the next bend comes at 376


@pytest.mark.parametrize("hertz", [4, 5, 6, 7])
@pytest.mark.parametrize("middle", [-10, 0, 15])
@pytest.mark.parametrize("every_ms", [3, 8])
def test_vibrato_is_no_new_note(hertz: float, middle: float, every_ms: float) -> None:
    shaken = [
        bend(300 + every_ms * i, middle + 50 * math.sin(2 * math.pi * hertz * every_ms * i / 1000))
        for i in range(round(1500 / every_ms))
    ]

    assert len(notes(played([on(0, 72), *shaken]))) == 1


@pytest.mark.parametrize("hertz", [4, 5, 6, 7])
def test_a_vibrato_by_bending_up_by_a_semitone_is_no_new_note(hertz: float) -> None:
    shaken = [bend(300 + 5 * i, 100 * _s_curve(hertz * 2 * 5 * i / 1000)) for i in range(300)]

    assert len(notes(played([on(0, 72), *shaken]))) == 1


@pytest.mark.parametrize("cents", [100, 200])
@pytest.mark.parametrize("length_ms", [200, 300, 500])
def test_a_string_bend_up_and_back_is_no_new_note(cents: float, length_ms: float) -> None:
    up = _ramp(300, length_ms, cents, 6, _s_curve)
    down = [bend(900 + length_ms * i / 40, cents * (1 - _s_curve(i / 40))) for i in range(41)]

    assert len(notes(played([on(0, 72), *up, *down, off(1500, 72)]))) == 1


@pytest.mark.parametrize("cents", [-180, -120, -100, -80, 60, 80, 100, 120, 180])
@pytest.mark.parametrize("every_ms", [6, 8])
def test_a_pitch_that_runs_astray_in_the_last_60_ms_is_no_new_note(cents: float, every_ms: float) -> None:
    for shape in (lambda x: x, lambda x: x * x * x, _s_curve):
        tail = _ramp(540, 55, cents, every_ms, shape)
        assert len(notes(played([on(0, 72), *tail, off(600, 72)]))) == 1


def test_soft_gapless_note_ons_leave_hammer_or_slide_open_until_a_slide_has_shown_its_frets() -> None:
    open_question = [on(0, 67, 90), off(300, 67), on(300, 69, 55), off(500, 69)]
    slide = [on(600, 67, 90), on(900, 68, 55), on(930, 69, 55), on(960, 70, 55), off(1200, 70)]
    answered = [on(1300, 67, 90), on(1600, 69, 55), off(1800, 69)]

    said = [event for event in played([*open_question, *slide, *answered]) if isinstance(event, TechniqueHeard)]

    assert said[1] == TechniqueHeard(1, None, 400 * MS, one_of=(Technique.HAMMER, Technique.SLIDE))
    assert said[-1] == TechniqueHeard(7, Technique.HAMMER, 1700 * MS)


@pytest.mark.parametrize("frets", [1, -1])
def test_one_step_of_one_fret_stays_open_once_slides_were_seen_to_stand_on_every_fret(frets: int) -> None:
    step = [on(2000, 67), bend(2300, 100 * frets), off(2600, 67)]
    stairs = [on(0, 67), *(bend(300 + 30 * i, 100 * (i + 1)) for i in range(3)), off(700, 67), bend(710, 0)]
    finger = Technique.HAMMER if frets > 0 else Technique.PULL

    fresh = [event for event in played(step) if isinstance(event, TechniqueHeard)]
    after = [event for event in played([*stairs, *step]) if isinstance(event, TechniqueHeard)]

    assert (fresh[-1].technique, fresh[-1].one_of) == (finger, ())
    assert (after[-1].technique, after[-1].one_of) == (None, (finger, Technique.SLIDE))


def test_one_slide_in_stairs_among_many_notes_leaves_no_hammer_on_open() -> None:
    stairs = [on(0, 67), *(bend(300 + 30 * i, 100 * (i + 1)) for i in range(3)), off(700, 67), bend(710, 0)]
    picked = [item for i in range(40) for item in (on(1000 + 200 * i, 67), off(1180 + 200 * i, 67))]

    said = notes(played([*stairs, *picked, on(9200, 67), bend(9500, 100), off(9900, 67)]))

    assert said[-1] == (9500, 68, "hammer")


def test_a_step_of_several_frets_is_a_finger_even_then() -> None:
    stairs = [on(0, 67), *(bend(300 + 30 * i, 100 * (i + 1)) for i in range(3)), off(700, 67), bend(710, 0)]

    assert notes(played([*stairs, on(2000, 67), bend(2300, 300), off(2600, 67)]))[-1] == (2300, 70, "hammer")


@pytest.mark.parametrize(("length_ms", "fate"), [(15, "hammer"), (18, "hammer"), (21, "?"), (30, "?"), (33, "slide")])
def test_a_move_between_a_quick_step_and_a_slide_is_not_claimed_to_be_either(length_ms: float, fate: str) -> None:
    said = notes(played([on(0, 67), *_ramp(300, length_ms, 300, 3), off(700, 67)]))

    assert said[-1][1:] == (70, fate)


@pytest.mark.parametrize("dwells_ms", [(13, 24, 17), (20, 37, 21), (24, 13, 25)])
def test_stairs_may_be_uneven(dwells_ms: tuple[float, ...]) -> None:
    stream, pitch, at_ms = [on(0, 67, 90)], 67, 300.0
    for dwell_ms in (*dwells_ms, 400):
        stream += [off(at_ms, pitch), on(at_ms, pitch + 1, 50)]
        pitch, at_ms = pitch + 1, at_ms + dwell_ms

    assert [fate for _, _, fate in notes(played([*stream, off(at_ms, pitch)]))] == ["pick", *["slide"] * 4]


def test_one_accent_at_the_beginning_does_not_make_all_later_notes_of_a_string_soft() -> None:
    others = [on(100 * i, 60 + i, 80 + i, channel=2) for i in range(4)]
    accented = [on(1000, 67, 120), *(on(1200 + 200 * i, 68 + i % 3, 80) for i in range(6))]

    assert {fate for _, _, fate in notes(played([*others, *accented]))} == {"pick"}


def test_a_note_on_as_loud_as_usual_is_picked_even_without_a_gap() -> None:
    said = notes(played([on(0, 67, 90), on(300, 69, 84), on(600, 67, 97)]))

    assert [fate for _, _, fate in said] == ["pick", "pick", "pick"]


def test_softness_is_judged_by_each_strings_own_velocities() -> None:
    loud_string = [on(100 * i, 67, 110) for i in range(3)]
    soft_string = [on(400 + 100 * i, 55 + 2 * i, 60, channel=4) for i in range(3)]

    assert {fate for _, _, fate in notes(played([*loud_string, *soft_string]))} == {"pick"}


def test_at_one_velocity_without_gaps_nothing_is_claimed_about_another_pitch() -> None:
    said = notes(played([on(0, 67), on(300, 69), on(600, 67)], PickupProfile(fixed_velocity=True)))

    assert [fate for _, _, fate in said] == ["pick", "?", "?"]


def test_at_one_velocity_a_gap_as_a_pick_makes_it_is_a_pick() -> None:
    said = notes(played([on(0, 67), off(288, 67), on(300, 69), off(588, 69), on(600, 67)]))

    assert [fate for _, _, fate in said] == ["pick", "pick", "pick"]


def test_at_one_velocity_notes_that_return_to_a_string_tell_nothing_about_gaps() -> None:
    fixed = PickupProfile(fixed_velocity=True)
    returns = [
        item
        for i in range(6)
        for item in (
            on(400 * i, 67),
            off(400 * i + 200, 67),
            on(400 * i + 200, 60, channel=2),
            off(400 * i + 400, 60, channel=2),
        )
    ]

    said = notes(played([*returns, on(3000, 67), off(3200, 67), on(3200, 69)], fixed))

    assert said[-1] == (3200, 69, "?")


@pytest.mark.parametrize(("rested_ms", "heard"), [(20, [66, 67, 70]), (19, [66, 70])])
def test_a_slow_step_that_had_rested_is_a_note_when_the_finger_goes_on_at_once(
    rested_ms: float, heard: list[int]
) -> None:
    stream = [on(0, 66), *_ramp(300, 40, 100, 5), bend(340 + rested_ms, 400), off(700, 66)]

    assert [pitch for _, pitch, _ in notes(played(stream))] == heard


def test_a_glide_whose_bends_fall_on_frets_leaves_hammer_ons_of_one_fret_measurable() -> None:
    glides = [
        item
        for i in range(4)
        for item in (on(600 * i, 67), *_ramp(600 * i + 300, 40, 500, 8), off(600 * i + 580, 67), bend(600 * i + 585, 0))
    ]

    said = notes(played([*glides, on(3000, 67), bend(3300, 100), off(3600, 67)]))

    assert [fate for _, _, fate in said] == [*["pick", "slide"] * 4, "pick", "hammer"]


def test_a_slide_that_leaves_a_vibrato_is_heard() -> None:
    shaken = [bend(200 + 6 * i, 35 * math.sin(2 * math.pi * 6 * 6 * i / 1000)) for i in range(100)]

    for starts in range(12):
        left = shaken[: 80 + starts]
        from_ms, rest = left[-1].stamp_ns / MS, 35 * math.sin(2 * math.pi * 6 * 6 * (79 + starts) / 1000)
        way = [bend(from_ms + 6 * i, rest + (400 - rest) * i / 20) for i in range(1, 21)]
        assert notes(played([on(0, 67), *left, *way, off(1200, 67)]))[-1][1:] == (71, "slide")


@pytest.mark.parametrize("length_ms", [60, 70, 80])
@pytest.mark.parametrize("cents", [100, -100])
def test_a_slow_slide_of_one_fret_is_heard_once_it_has_stood_longer_than_a_vibrato(
    length_ms: float, cents: int
) -> None:
    said = notes(played([on(0, 67), *_ramp(300, length_ms, cents, 5), off(700, 67)]))

    assert said[-1][1:] == (67 + cents // 100, "slide")


def test_a_soft_note_on_out_of_silence_is_not_claimed_to_be_picked() -> None:
    picked = [message for i in range(4) for message in (on(200 * i, 67, 90), off(200 * i + 100, 67))]

    assert notes(played([*picked, on(1000, 70, 40), off(1300, 70)]))[-1] == (1000, 70, "?")


def test_a_converter_that_bends_its_slurs_means_a_pick_by_a_note_on_within_their_reach() -> None:
    slurs = [item for i in range(4) for item in (on(500 * i, 67, 90), bend(500 * i + 200, 300), bend(500 * i + 450, 0))]

    assert notes(played([*slurs, on(2000, 69, 60)]))[-1] == (2000, 69, "pick")


def _random_line(rng: random.Random, interval_ms: float) -> tuple[list[StampedMessage], list[tuple[int, Technique]]]:
    """A line on one string in a converter's bend style of this test's own, and what it is made of."""
    stream, truth = [on(0, 72, 90)], [(72, Technique.PICK)]
    carrier, at_ms = 72, 0.0
    for _ in range(60):
        at_ms += interval_ms * rng.uniform(0.9, 1.1)
        technique = rng.choice(list(Technique))
        change = rng.randint(2, 5) * (-1 if technique is Technique.PULL else 1)
        if technique is Technique.SLIDE:
            change *= rng.choice([-1, 1])
        pitch = truth[-1][0] + change
        if technique is Technique.PICK or abs(pitch - carrier) > 11 or not 65 <= pitch <= 88:
            stream.append(off(at_ms - 8, carrier))
            carrier = rng.randint(70, 80)
            stream += [bend(at_ms, 0), on(at_ms, carrier, rng.randint(70, 110))]
            truth.append((carrier, Technique.PICK))
            continue
        start, goal = 100 * (truth[-1][0] - carrier), 100 * (pitch - carrier)
        if technique is Technique.SLIDE:
            length_ms = rng.uniform(45, min(140, 0.55 * interval_ms))
            count = rng.randint(5, 20)
        else:
            length_ms, count = rng.uniform(0, 9), rng.randint(1, 2)
        shape = rng.choice([lambda x: x, _s_curve])
        for i in range(1, count + 1):
            cents = start + (goal - start) * shape(i / count) + (rng.gauss(0, 3) if i == count else 0)
            stream.append(bend(at_ms - length_ms * (1 - i / count), cents))
        truth.append((pitch, technique))
    return sorted(stream, key=lambda item: item.stamp_ns), truth


@pytest.mark.parametrize("interval_ms", [90, 130, 250])
def test_random_lines_in_bend_style_are_heard_note_by_note_as_they_were_played(interval_ms: float) -> None:
    right = wrong = 0
    for seed in range(8):
        stream, truth = _random_line(random.Random(seed), interval_ms)
        heard = [(pitch, fate) for _, pitch, fate in notes(played(stream, STRINGS))]
        expected = [(pitch, technique.value) for pitch, technique in truth]
        right += sum(a == b for a, b in zip(heard, expected, strict=False))
        wrong += len(heard) != len(expected)

    assert (wrong, right / (8 * 61)) >= (0, 0.97)
    assert wrong <= 1


def test_each_onset_tells_the_velocity_of_the_note_on_that_carries_it() -> None:
    said = played([on(0, 66, 77), bend(300, 200)])

    assert [(event.event, event.velocity) for event in said if isinstance(event, NoteOnset)] == [(0, 77), (0, 77)]
