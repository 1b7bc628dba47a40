"""Slips of the tracking are named, and real notes that look a little like them are not."""

import pytest

from tests.playing.builders import MS, bend, notes, off, on, played
from trainer.playing.messages import NoteEnd, NoteOnset, NotePassed, TechniqueHeard
from trainer.playing.profile import PickupProfile
from trainer.theory.technique import Technique

PICKED = [message for i in range(4) for message in (on(300 * i, 67, 90), off(300 * i + 280, 67))]
"""Four ordinary notes on string 1, the last one from 900 to 1180 ms."""


@pytest.mark.parametrize("overtone", [12, 19, 24])
@pytest.mark.parametrize("corrected_ms", [20, 60])
def test_an_attack_heard_too_high_and_corrected_within_60_ms_passes_and_gives_its_onset_away(
    overtone: int, corrected_ms: float
) -> None:
    stream = [
        on(100, 45 + overtone, 90, 5),
        off(100 + corrected_ms, 45 + overtone, 5),
        on(100 + corrected_ms, 45, 88, 5),
    ]

    at_ns = round((100 + corrected_ms) * MS)
    assert played(stream) == [
        NoteOnset(0, 0, 100 * MS, 100 * MS, 5, 45 + overtone, 90),
        TechniqueHeard(0, Technique.PICK, 100 * MS),
        NoteEnd(0, at_ns),
        NotePassed(0, "octave", at_ns),
        NoteOnset(1, 1, 100 * MS, at_ns, 5, 45, 88),
        TechniqueHeard(1, Technique.PICK, at_ns),
    ]


def test_a_wrong_octave_that_is_held_for_longer_is_a_note() -> None:
    said = played([on(100, 57, channel=5), off(161, 57, channel=5), on(170, 45, channel=5)])

    assert notes(said) == [(100, 57, "pick"), (170, 45, "pick")]


@pytest.mark.parametrize("false_by", [5, 7, 9])
def test_a_loud_note_a_fourth_or_more_below_within_45_ms_is_what_was_picked(false_by: int) -> None:
    said = notes(played([on(100, 57 + false_by, 90, 4), off(145, 57 + false_by, 4), on(145, 57, 88, 4)]))

    assert said == [(100, 57 + false_by, "octave"), (100, 57, "pick")]


@pytest.mark.parametrize(("below", "velocity", "apart_ms"), [(4, 88, 45), (7, 50, 45), (7, 88, 46)])
def test_a_nearer_a_softer_or_a_later_one_is_a_note_of_its_own(below: int, velocity: int, apart_ms: float) -> None:
    said = notes(
        played([*PICKED, on(1300, 67, 90), off(1300 + apart_ms, 67), on(1300 + apart_ms, 67 - below, velocity)])
    )

    assert [pitch for _, pitch, fate in said[4:] if fate != "octave"] == [67, 67 - below]


@pytest.mark.parametrize(("sounded_ms", "fate"), [(24, "ghost"), (40, "ghost"), (41, "hammer")])
def test_a_pitch_that_a_bend_came_to_just_before_the_note_off_is_astray(sounded_ms: float, fate: str) -> None:
    said = notes(played([on(0, 66), bend(300, 400), off(300 + sounded_ms, 66)]))

    assert said == [(0, 66, "pick"), (300, 70, fate)]


def test_a_tail_before_a_note_on_that_may_have_been_picked_is_no_slide() -> None:
    tail = [bend(940 + 7 * i, 16 * i) for i in range(1, 9)]

    said = notes(
        played([on(0, 65, 90, 2), on(500, 72), *tail, off(1000, 72), bend(1000, 0), on(1000, 74), off(1500, 74)])
    )

    assert [(pitch, fate) for _, pitch, fate in said if fate != "ghost"] == [(65, "pick"), (72, "pick"), (74, "?")]


def test_a_note_a_little_softer_than_usual_after_a_tail_towards_it_is_picked() -> None:
    picked = [item for i in range(6) for item in (on(150 * i, 67, 102, 1), off(150 * i + 150, 67))]
    tail = [bend(1140 + 8 * i, 17 * i, 2) for i in range(1, 8)]

    said = notes(played([*picked, on(900, 60, 102, 2), *tail, off(1200, 60, 2), bend(1200, 0, 2), on(1200, 62, 84, 2)]))

    assert said[-1][1] == 62
    assert said[-1][2] != "slide"


def test_an_open_string_that_rings_by_itself_over_a_bend_not_yet_centred_is_still_one() -> None:
    tail = [on(1000, 60, 90, 2), bend(1100, -150, 2), off(1150, 60, 2)]

    said = notes(played([*PICKED, *tail, on(1400, 67, 90), on(1420, 59, 20, channel=2), off(1700, 59, channel=2)]))

    assert said[-1][2] == "ghost"


@pytest.mark.parametrize("apart_ms", [3, 30, 70])
def test_the_same_note_again_within_70_ms_is_the_first_one_heard_twice(apart_ms: float) -> None:
    said = notes(played([*PICKED, on(2000, 67), off(2000 + apart_ms, 67), on(2000 + apart_ms, 67)]))

    assert [fate for _, _, fate in said[4:]] == ["pick", "duplicate"]


@pytest.mark.parametrize("interval_ms", [50, 60, 71, 83])
def test_one_pitch_picked_fast_loses_no_note_once_it_runs(interval_ms: float) -> None:
    stream = [m for i in range(12) for m in (on(interval_ms * i, 67), off(interval_ms * (i + 0.8), 67))]

    fates = [fate for _, _, fate in notes(played(stream))]

    assert fates[4:] == ["pick"] * 8
    assert interval_ms <= 70 or fates == ["pick"] * 12


def test_a_short_faint_note_is_a_ghost_as_soon_as_it_ends() -> None:
    said = played([*PICKED, on(1300, 70, 12, channel=2), off(1330, 70, channel=2)])

    assert said[-2:] == [NoteEnd(4, 1330 * MS), NotePassed(4, "ghost", 1330 * MS)]


@pytest.mark.parametrize(("velocity", "length_ms"), [(12, 41), (60, 20), (33, 30)])
def test_a_note_that_is_short_or_faint_but_not_both_is_no_ghost(velocity: int, length_ms: float) -> None:
    said = notes(played([*PICKED, on(1300, 70, velocity, channel=2), off(1300 + length_ms, 70, channel=2)]))

    assert said[-1][2] != "ghost"


def test_staccato_at_20_notes_a_second_is_no_row_of_ghosts() -> None:
    stream = [m for i in range(20) for m in (on(50 * i, 60 + i % 5, 70 + i), off(50 * i + 25, 60 + i % 5))]

    assert [fate for _, _, fate in notes(played(stream))] == ["pick"] * 20


def test_a_faint_open_string_beside_a_picked_one_rings_by_itself() -> None:
    said = notes(played([*PICKED, on(1200, 67, 90), on(1220, 59, 20, channel=2), off(1500, 59, channel=2)]))

    assert said[-1] == (1220, 59, "ghost")


@pytest.mark.parametrize(("pitch", "velocity", "at_ms"), [(60, 20, 1220), (59, 60, 1220), (59, 20, 1451)])
def test_a_fretted_a_louder_or_a_later_note_beside_it_does_not(pitch: int, velocity: int, at_ms: float) -> None:
    said = notes(played([*PICKED, on(1200, 67, 90), on(at_ms, pitch, velocity, channel=2)]))

    assert said[-1][2] != "ghost"


FIXED = PickupProfile(fixed_velocity=True)


def test_at_one_velocity_a_short_note_by_itself_is_no_ghost() -> None:
    said = notes(played([*PICKED, on(1300, 70, 90, 2), off(1310, 70, 2)], FIXED))

    assert said[-1][2] == "pick"


@pytest.mark.parametrize(
    ("after_ms", "sounded_ms", "fate"), [(75, 40, "ghost"), (5, 8, "ghost"), (76, 40, "pick"), (75, 41, "pick")]
)
def test_at_one_velocity_a_short_note_right_after_one_of_another_string_is_a_stray(
    after_ms: float, sounded_ms: float, fate: str
) -> None:
    stray = [on(1200 + after_ms, 70, 90, 2), off(1200 + after_ms + sounded_ms, 70, 2)]

    said = notes(played([*PICKED, on(1200, 67), *stray, off(1480, 67)], FIXED))

    assert said[-1][2] == fate


def test_at_one_velocity_no_note_of_a_fast_staccato_line_is_a_stray() -> None:
    stream = [
        m for i in range(40) for m in (on(70 * i, 60 + i % 5, 90, 1 + i % 2), off(70 * i + 30, 60 + i % 5, 1 + i % 2))
    ]

    fates = [fate for _, _, fate in notes(played(stream, FIXED))]

    assert fates[4:] == ["pick"] * 36
