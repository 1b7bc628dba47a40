import random
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.devices.lines import line
from trainer.devices.faults import FaultKind, faults_from_text
from trainer.devices.performer import Gesture, perform
from trainer.devices.skill import EXACT, SKILLS, Skill, skill_named
from trainer.score.exercise import Exercise
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique

MS = 1_000_000
START_NS = 2_000 * MS
EIGHTH_NS = 250 * MS  # at 120 quarters a minute


def played(exercise: Exercise, faults: str = "", skill: Skill = EXACT, seed: int = 1) -> tuple[Gesture, ...]:
    return perform(exercise, exercise.tempo, START_NS, skill, faults_from_text(faults), random.Random(seed))


def summary(gestures: tuple[Gesture, ...]) -> list[tuple[int | None, int]]:
    """(written index, onset in eighths from the start) of gestures that fall on eighths."""
    assert all((gesture.onset_ns - START_NS) % EIGHTH_NS == 0 for gesture in gestures)
    return [(gesture.index, (gesture.onset_ns - START_NS) // EIGHTH_NS) for gesture in gestures]


def test_an_exact_player_plays_each_note_as_written_when_written() -> None:
    exercise = line("2/5 2/8h 1/5 1/8h 1/10s 1/8o")

    gestures = played(exercise)

    assert [(g.index, g.course, g.fret, g.technique, g.from_fret, g.faults) for g in gestures] == [
        (0, 2, 5, Technique.PICK, None, ()),
        (1, 2, 8, Technique.HAMMER, 5, ()),
        (2, 1, 5, Technique.PICK, None, ()),
        (3, 1, 8, Technique.HAMMER, 5, ()),
        (4, 1, 10, Technique.SLIDE, 8, ()),
        (5, 1, 8, Technique.PULL, 10, ()),
    ]
    assert [g.onset_ns for g in gestures] == [START_NS + i * EIGHTH_NS for i in range(6)]


def test_a_string_sounds_into_a_slur_without_a_gap_and_is_damped_before_it_is_picked_again() -> None:
    gestures = played(line("2/5 2/8h 2/8 1/5"))

    releases = [gesture.release_ns - START_NS for gesture in gestures]

    assert releases == [EIGHTH_NS, 2 * EIGHTH_NS - 12 * MS, 3 * EIGHTH_NS, 4 * EIGHTH_NS]


def test_a_rest_ends_the_note_before_it() -> None:
    exercise = line("2/5 2/8")
    notes = (exercise.notes[0], replace(exercise.notes[1], onset_quarters=Fraction(3)))

    gestures = played(replace(exercise, notes=notes))

    assert gestures[0].release_ns == START_NS + EIGHTH_NS


def test_a_slide_leaves_its_fret_before_it_is_due_and_takes_at_most_half_of_the_note_before() -> None:
    slow, fast = played(line("1/5 1/8s")), played(line("1/5 1/8s", qpm=300, notes_a_quarter=4))

    assert (slow[1].from_fret, slow[1].travel_ns) == (5, 105 * MS)
    assert (fast[1].from_fret, fast[1].travel_ns) == (5, 25 * MS)


def test_a_grace_slide_is_picked_at_its_own_fret_and_arrives_when_due() -> None:
    exercise = line("2/5 1/8s")
    grace = replace(exercise.notes[1], slide_from=Location(1, 6))

    gestures = played(replace(exercise, notes=(exercise.notes[0], grace)))

    approach, arrival = gestures[1:]
    assert (approach.index, approach.fret, approach.technique) == (None, 6, Technique.PICK)
    assert (arrival.index, arrival.technique, arrival.from_fret) == (1, Technique.SLIDE, 6)
    assert arrival.onset_ns == START_NS + EIGHTH_NS
    assert approach.onset_ns == arrival.onset_ns - arrival.travel_ns
    assert approach.release_ns == arrival.onset_ns


def test_notes_written_at_one_time_sound_at_one_time() -> None:
    exercise = line("3/5 2/5 1/5")
    first, second, third = exercise.notes
    chord = (first, replace(second, onset_quarters=Fraction(0)), third)

    gestures = played(replace(exercise, notes=chord))

    assert [(g.index, g.onset_ns - START_NS, g.release_ns - START_NS) for g in gestures] == [
        (0, 0, EIGHTH_NS),
        (1, 0, EIGHTH_NS),
        (2, 2 * EIGHTH_NS, 3 * EIGHTH_NS),
    ]


def test_planted_faults_happen_at_their_notes_and_nowhere_else() -> None:
    exercise = line("2/5 2/8h 1/5 1/8h 1/10s 1/8o 2/8 3/5 3/7 2/5")

    gestures = played(exercise, "miss 0, picked 3, unslid 4, string 6, late 7 40, early 9 25")

    faults = {g.index: g.faults for g in gestures if g.faults}
    assert faults == {
        3: (FaultKind.PICKED,),
        4: (FaultKind.UNSLID,),
        6: (FaultKind.STRING,),
        7: (FaultKind.LATE,),
        9: (FaultKind.EARLY,),
    }
    by_index = {g.index: g for g in gestures}
    assert 0 not in by_index
    assert by_index[3].technique is by_index[4].technique is Technique.PICK
    assert (by_index[6].course, by_index[6].fret) == (1, 3)
    assert by_index[7].onset_ns == START_NS + 7 * EIGHTH_NS + 40 * MS
    assert by_index[8].onset_ns == START_NS + 8 * EIGHTH_NS
    assert by_index[9].onset_ns == START_NS + 9 * EIGHTH_NS - 25 * MS


def test_a_wrong_fret_is_no_pitch_that_is_written_nearby() -> None:
    exercise = line("2/5 2/6 2/7 2/8 2/9")

    frets = {played(exercise, "fret 2", seed=seed)[2].fret for seed in range(20)}

    assert frets == {4, 10}


def test_an_extra_note_belongs_to_no_written_one_and_does_not_stop_the_line() -> None:
    exercise = line("2/5 2/8h")

    gestures = played(exercise, "extra 0")

    extra = next(g for g in gestures if g.index is None)
    assert extra.faults == (FaultKind.EXTRA,)
    assert extra.onset_ns == START_NS + EIGHTH_NS // 2
    assert extra.course in {1, 3}
    assert [(g.index, g.technique, g.from_fret) for g in gestures if g is not extra] == [
        (0, Technique.PICK, None),
        (1, Technique.HAMMER, 5),
    ]


def test_a_restart_waits_a_beat_and_rejoins_on_a_beat() -> None:
    exercise = line("1/5 1/6 1/7 1/8 1/9 1/10")

    gestures = played(exercise, "restart 3 1")

    # Note 3 ends at eighth 4; after a beat of waiting note 1, an off-beat, fits in at eighth 7.
    assert summary(gestures) == [(0, 0), (1, 1), (2, 2), (3, 3), (1, 7), (2, 8), (3, 9), (4, 10), (5, 11)]


def test_the_note_on_which_a_jump_lands_is_picked_whatever_is_written() -> None:
    gestures = played(line("1/5 1/8h 1/10h 1/12h"), "restart 3 1")

    assert [(g.index, g.technique) for g in gestures[4:]] == [
        (1, Technique.PICK),
        (2, Technique.HAMMER),
        (3, Technique.HAMMER),
    ]
    assert gestures[3].release_ns == START_NS + 4 * EIGHTH_NS


def test_a_repeat_goes_back_without_waiting() -> None:
    gestures = played(line("1/5 1/6 1/7 1/8 1/9"), "repeat 3 0")

    assert summary(gestures) == [(0, 0), (1, 1), (2, 2), (3, 3), (0, 4), (1, 5), (2, 6), (3, 7), (4, 8)]


def test_a_skip_leaves_notes_and_their_time_out() -> None:
    gestures = played(line("1/5 1/6 1/7 1/8 1/9 1/10"), "skip 1 4")

    assert summary(gestures) == [(0, 0), (1, 1), (4, 2), (5, 3)]


def test_a_fault_happens_at_the_first_attempt_only() -> None:
    gestures = played(line("1/5 1/6 1/7 1/8"), "miss 2, restart 3 1")

    assert [g.index for g in gestures] == [0, 1, 3, 1, 2, 3]


def test_after_a_pause_a_player_finds_back_to_the_click_and_one_without_a_click_does_not() -> None:
    exercise = line("1/5 1/6 1/7 1/8")

    with_click = played(exercise, "pause 1 80")
    without = played(exercise, "pause 1 80", skill=replace(EXACT, keeps_to_click=False))

    def late_ms(gestures: tuple[Gesture, ...]) -> list[int]:
        return [(g.onset_ns - START_NS - i * EIGHTH_NS) // MS for i, g in enumerate(gestures)]

    assert late_ms(with_click) == [0, 80, 40, 20]
    assert late_ms(without) == [0, 80, 80, 80]


@pytest.mark.parametrize(
    ("written", "faults", "index", "technique"),
    [
        ("1/5 1/8s", "string 0", 1, Technique.PICK),  # nothing sounds on string 1, so nothing can slide
        ("1/5 1/8h", "string 0", 1, Technique.HAMMER),  # a hammer-on from nowhere is one
        ("1/8 1/5o", "string 0", 1, Technique.PICK),  # a finger that pulls on a silent string plucks it
        ("1/5 1/5h", "", 1, Technique.PICK),
        ("1/8 1/5h", "", 1, Technique.PULL),
    ],
)
def test_a_slur_is_what_the_sounding_string_allows(written: str, faults: str, index: int, technique: Technique) -> None:
    gestures = played(line(written), faults)

    assert gestures[index].technique is technique


def test_lateness_of_strings_crossings_and_tempo_adds_up() -> None:
    skill = Skill(bias_ns=3 * MS, drift=0.01, late_on_course_ns=((2, 7 * MS),), late_at_crossing_ns=11 * MS)

    gestures = played(line("1/5 2/5 2/8"), skill=skill)

    deviations = [g.onset_ns - START_NS - i * EIGHTH_NS for i, g in enumerate(gestures)]
    assert deviations == [3 * MS, 3 * MS + 2_500_000 + 7 * MS + 11 * MS, 3 * MS + 5 * MS + 7 * MS]


def test_a_skill_makes_about_as_many_slips_as_it_says() -> None:
    exercise = line("2/5 2/8h 1/5 1/8", passes=500, notes_a_quarter=4)
    skill = Skill(miss_rate=0.1, wrong_fret_rate=0.05, extra_rate=0.02, picked_again_rate=0.2, timing_sd_ns=10 * MS)

    gestures = played(exercise, skill=skill)

    kinds = [kind for gesture in gestures for kind in gesture.faults if gesture.index is not None]
    misses = 2000 - len({g.index for g in gestures if g.index is not None})
    # four standard deviations of a binomial count
    assert 200 - 54 <= misses <= 200 + 54
    assert 100 - 39 <= kinds.count(FaultKind.FRET) <= 100 + 39
    assert 40 - 25 <= kinds.count(FaultKind.EXTRA) <= 40 + 25
    assert 100 - 36 - 10 <= kinds.count(FaultKind.PICKED) <= 100 + 36


@given(seed=st.integers(0, 2**32), skill=st.sampled_from(list(SKILLS.values())), qpm=st.sampled_from([40, 120, 300]))
@settings(max_examples=60, deadline=None)
def test_gestures_are_sorted_distinct_in_time_and_on_the_neck(seed: int, skill: Skill, qpm: int) -> None:
    exercise = line("2/5 2/8h 1/5 1/8h 1/10s 1/8o 3/7 3/9s 6/0 6/3h", qpm=qpm, notes_a_quarter=4, passes=4)

    gestures = played(exercise, skill=skill, seed=seed)

    onsets = [gesture.onset_ns for gesture in gestures]
    assert onsets == sorted(onsets)
    assert all(g.release_ns >= g.onset_ns and g.course in range(1, 7) and 0 <= g.fret <= 24 for g in gestures)
    of_line = [g.onset_ns for g in gestures if g.index is not None]
    assert all(later - earlier >= 5 * MS for earlier, later in pairwise(of_line))


@given(seed=st.integers(0, 2**32))
@settings(max_examples=20, deadline=None)
def test_one_seed_gives_one_performance(seed: int) -> None:
    exercise = line("2/5 2/8h 1/5 1/8h 1/10s", passes=8)

    assert played(exercise, skill=SKILLS["stumbling"], seed=seed) == played(
        exercise, skill=SKILLS["stumbling"], seed=seed
    )


def test_an_unknown_skill_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(ValueError, match="no skill is called 'practiced'; did you mean 'practised'"):
        skill_named("practiced")
