import random
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.devices.lines import STANDARD, line
from trainer.devices.converter import convert
from trainer.devices.converter_style import STYLES
from trainer.devices.faults import Faults, faults_from_text
from trainer.devices.performer import perform
from trainer.devices.simulated_player import SimulatedPlayer, simulated_player, simulated_take
from trainer.devices.skill import EXACT, SKILLS
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile

MS = 1_000_000
THREE = (StampedMessage(0, b"\xfe"), StampedMessage(10, b"\x90\x40\x50"), StampedMessage(20, b"\x80\x40\x40"))


def test_a_message_is_given_once_when_its_time_has_come() -> None:
    player = SimulatedPlayer(THREE, 1_000, PickupProfile(), "Demonstration")

    polls = [player.poll(now_ns) for now_ns in (999, 1_000, 1_009, 1_010, 1_500, 2_000)]

    assert polls == [
        (),
        (StampedMessage(1_000, b"\xfe"),),
        (),
        (StampedMessage(1_010, b"\x90\x40\x50"),),
        (StampedMessage(1_020, b"\x80\x40\x40"),),
        (),
    ]


def test_a_clock_that_runs_backwards_gives_nothing_twice() -> None:
    player = SimulatedPlayer(THREE, 0, PickupProfile(), "Demonstration")

    polls = [len(player.poll(now_ns)) for now_ns in (15, 5, 15, 100)]

    assert polls == [2, 0, 0, 1]


@given(cuts=st.lists(st.integers(0, 4_000 * MS), max_size=30))
@settings(max_examples=30, deadline=None)
def test_how_often_it_is_polled_changes_nothing(cuts: list[int]) -> None:
    exercise = line("2/5 2/8h 1/5 1/8h 1/10s")
    player = simulated_player(exercise, exercise.tempo, 500 * MS, 0, skill=SKILLS["learning"], seed=3)
    once = simulated_player(exercise, exercise.tempo, 500 * MS, 0, skill=SKILLS["learning"], seed=3)

    given_in_parts = [message for now_ns in [*sorted(cuts), 10_000 * MS] for message in player.poll(now_ns)]

    assert tuple(given_in_parts) == once.poll(10_000 * MS)


def test_the_demonstration_is_the_line_as_written() -> None:
    exercise = line("2/5 2/8h 1/5 1/8h 1/10s")
    gestures = perform(exercise, exercise.tempo, 500 * MS, EXACT, Faults(), random.Random(0))

    demonstration = simulated_player(exercise, exercise.tempo, 500 * MS, 7 * MS)

    expected = convert(gestures, STANDARD, STYLES["bend"], random.Random(0))
    assert demonstration.poll(10_000 * MS) == tuple(m._replace(stamp_ns=m.stamp_ns + 7 * MS) for m in expected)


def test_one_seed_gives_the_same_bytes_and_another_seed_others() -> None:
    exercise = line("2/5 2/8h 1/5 1/8h 1/10s", passes=10)

    def take(seed: int) -> tuple[StampedMessage, ...]:
        style = STYLES["mpe"].with_slips()
        return simulated_take(
            exercise, exercise.tempo, 0, skill=SKILLS["stumbling"], faults=Faults(), style=style, seed=seed
        )

    assert take(7) == take(7)
    assert take(7) != take(8)


def test_the_status_says_who_plays_and_when_it_is_over() -> None:
    exercise = line("2/5 2/8h")
    planted = faults_from_text("miss 1")

    demonstration = simulated_player(exercise, exercise.tempo, 0, 0, style=STYLES["mpe"], seed=4)
    player = simulated_player(exercise, exercise.tempo, 0, 0, faults=planted)
    player.poll(10_000 * MS)

    assert demonstration.status == "Demonstration, mpe style, seed 4"
    assert player.status == "Simulated player, exact, bend style, seed 1 (has finished)"
    assert demonstration.profile == STYLES["mpe"].profile


def test_it_plays_at_the_tempo_asked_for_and_not_the_written_one() -> None:
    exercise = line("1/5 1/5", qpm=120)
    half = type(exercise.tempo)(Fraction(60))

    player = simulated_player(exercise, half, 0, 0)

    note_ons = [message.stamp_ns for message in player.poll(10_000 * MS) if message.data[0] == 0x90]
    assert note_ons == [0, 500 * MS]
