"""From the set-up to the judgement: what was learned of a device makes a line played on it read as it was played."""

from dataclasses import replace
from pathlib import Path
from statistics import median

from tests.builders import SECOND_NS, line, played
from tests.playing.builders import MS, STANDARD
from tests.set_up_player import TRICKY, SetUpPlayer, carry_through
from trainer.devices.remembered import Memory, SetUp
from trainer.devices.sound import SilentSound
from trainer.following.verdict import Match, Pace
from trainer.judging import play_through
from trainer.playing.calibration.guide import Guide
from trainer.playing.profile import PickupProfile
from trainer.score.exercise import Exercise
from trainer.session import Session
from trainer.station import SIMULATED, Station

SEEDS = range(8)
ACROSS = "long-terrace"
"""A line over all six strings."""


def learned_profile(seed: int) -> PickupProfile:
    guide = Guide(STANDARD)
    carry_through(guide, SetUpPlayer(guide, TRICKY, seed=seed, timing_sd_ns=5 * MS))
    return guide.profile


def judged(exercise: Exercise, profile: PickupProfile, seed: int) -> Session:
    session = Session(exercise, pace=Pace.CLICK, tempo=exercise.tempo, starts_at_ns=2 * SECOND_NS, profile=profile)
    return play_through(session, played(exercise, style=TRICKY, seed=seed))


def median_late_ms_by_string(session: Session) -> dict[int, float]:
    late_ms: dict[int, list[float]] = {}
    for index, note in enumerate(session.exercise.notes):
        verdict = session.ledger.of_written(index)
        if isinstance(verdict, Match) and verdict.deviation_ns is not None:
            late_ms.setdefault(note.course, []).append(verdict.deviation_ns / MS)
    return {course: median(each) for course, each in late_ms.items()}


def test_a_line_on_a_tricky_device_reads_as_played_after_its_set_up() -> None:
    exercise = line(ACROSS, tempo=100)

    for seed in SEEDS:
        session = judged(exercise, learned_profile(seed), seed)

        late_ms = median_late_ms_by_string(session)
        figures = session.assessment()
        assert figures.matched == len(exercise.notes)
        assert figures.bias_ms is not None
        assert abs(figures.bias_ms) <= 3
        assert sorted(late_ms) == [1, 2, 3, 4, 5, 6]
        assert max(late_ms.values()) - min(late_ms.values()) <= 3


def test_the_same_line_without_the_set_up_reads_as_late_and_uneven() -> None:
    exercise = line(ACROSS, tempo=100)
    profile = PickupProfile(channel_of_course=TRICKY.channel_of_course, bend_range_semitones=24.0)

    session = judged(exercise, profile, 1)

    late_ms = median_late_ms_by_string(session)
    bias_ms = session.assessment().bias_ms
    assert bias_ms is not None
    assert bias_ms > 6
    assert max(late_ms.values()) - min(late_ms.values()) > 6


def test_slides_that_arrive_as_bends_are_slides_once_the_range_is_learned() -> None:
    exercise = line("two-gates-slid", tempo=80)

    right = judged(exercise, learned_profile(1), 1).assessment()
    wrong = judged(exercise, replace(learned_profile(1), bend_range_semitones=12.0), 1).assessment()

    assert right.matched == len(exercise.notes)
    assert wrong.matched < len(exercise.notes)


def test_the_station_takes_up_what_was_learned_of_the_chosen_input_unless_another_profile_is_asked_for(
    tmp_path: Path,
) -> None:
    memory = Memory(tmp_path / "remembered.json")
    known, asked = PickupProfile(name="known"), PickupProfile(name="asked")
    memory.keep_device(SIMULATED, SetUp(known))

    taken_up = Station(SIMULATED, SilentSound("test"), memory=memory)
    overridden = Station(SIMULATED, SilentSound("test"), memory=memory, profile=asked)
    unknown = Station("demonstration", SilentSound("test"), memory=memory)

    assert taken_up.profile == known
    assert overridden.profile == asked
    assert unknown.profile == PickupProfile()


def test_choosing_another_input_changes_the_profile(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "remembered.json")
    memory.keep_device(SIMULATED, SetUp(PickupProfile(name="known")))
    station = Station("demonstration", SilentSound("test"), memory=memory)

    station.choose_input(SIMULATED)

    assert station.profile.name == "known"


def test_the_station_reads_the_device_by_what_was_learned_at_once_and_at_the_next_start(tmp_path: Path) -> None:
    path = tmp_path / "remembered.json"
    station = Station(SIMULATED, SilentSound("test"), memory=Memory(path))
    guide = Guide(STANDARD)
    carry_through(guide, SetUpPlayer(guide, TRICKY, timing_sd_ns=5 * MS))

    sentence = station.keep_set_up(guide)

    assert sentence == "simulated is set up."
    assert station.profile == guide.profile
    assert Station(SIMULATED, SilentSound("test"), memory=Memory(path)).profile == guide.profile


def test_a_set_up_that_learned_nothing_changes_nothing(tmp_path: Path) -> None:
    station = Station(SIMULATED, SilentSound("test"), memory=Memory(tmp_path / "remembered.json"))
    guide = Guide(STANDARD)
    while not guide.is_finished:
        guide.enough()

    sentence = station.keep_set_up(guide)

    assert sentence == "Nothing was learned of simulated; nothing was changed."
    assert station.profile == PickupProfile()
    assert not (tmp_path / "remembered.json").exists()


def test_without_a_sound_there_is_no_click_to_play_to(tmp_path: Path) -> None:
    station = Station(SIMULATED, SilentSound("test"), memory=Memory(tmp_path / "remembered.json"))

    assert station.start_latency_click(72) is None
