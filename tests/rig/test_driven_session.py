"""A whole first day in the real window, on a real port: once by the keyboard alone, once by the mouse alone."""

import time
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.builders import played
from trainer.coaching.asking import within_limits
from trainer.coaching.contest import START_SHARE, Contest
from trainer.contests import standings
from trainer.devices.recording import list_takes
from trainer.devices.remembered import Memory
from trainer.following.verdict import Pace
from trainer.judging import Asked, judge_take
from trainer.playing.take import read_take
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo

from .conftest import PlayThrough
from .hands import Hand, Keyboard, Mouse, where_words_stand
from .test_window import Window, display, screen_size, window  # noqa: F401 - fixtures

pytestmark = pytest.mark.rig

BEGINS_WITHIN_S = 10.0
PHRASE = load_exercise("two-gates").excerpt(0, 7)
HEARD_AT = Tempo(Fraction(320))


def began_ns(takes: Path) -> int:
    """When the pass of the contest began, on the steady clock: the file of a take is made as it begins."""
    deadline = time.monotonic() + BEGINS_WITHIN_S
    while not (found := list(takes.glob("*_contest-*.mid"))):
        assert time.monotonic() < deadline, "no pass was begun"
        time.sleep(0.002)
    return time.perf_counter_ns() - (time.time_ns() - found[0].stat().st_ctime_ns)


@pytest.mark.parametrize("screen_size", ["1280x720"], indirect=True)
@pytest.mark.parametrize("hand_of", [Keyboard, Mouse], ids=["keyboard", "mouse"])
def test_from_the_first_run_to_a_take_a_captured_phrase_and_a_run_of_the_contest(
    hand_of: Callable[[Window], Hand],
    window: Callable[..., Window],  # noqa: F811 - the fixture
    play_through: PlayThrough,
    tmp_path: Path,
) -> None:
    first, takes = load_exercise("first-stones"), tmp_path / "takes"
    player = play_through([])
    player.start()
    player.sent_ns()
    boxwalk = window("--silent")
    hand = hand_of(boxwalk)

    hand.ask("Return", "play the first line")
    hand.ask("p", "pace")  # at one's own, so that nothing need be waited for
    where_words_stand(boxwalk, "begin when you like")
    player.play(played(replace(first.excerpt(0, 7), tempo=Tempo(Fraction(400))), starts_at_ns=0))
    hand.ask("Escape", "end")
    hand.ask("Escape", "list")

    hand.ask("ctrl+b", "board")
    where_words_stand(boxwalk, "write it down")
    player.play(played(replace(PHRASE, tempo=HEARD_AT), starts_at_ns=0))
    hand.ask("Return", "write it down")
    hand.ask("F7", "keep")
    hand.ask("Return", "keep it")
    hand.ask("Escape", "list")

    where_words_stand(boxwalk, "type to search")
    hand.to_the_end_of_the_list()
    hand.ask("ctrl+t", "contest")
    hand.ask("space", "play this pass")
    (kept,) = (tmp_path / "exercises").glob("*.toml")
    line = load_exercise(str(kept))
    at = Contest(line, within_limits(START_SHARE * float(line.tempo.quarters_per_minute))).tempo
    player.play(played(replace(line, tempo=at), starts_at_ns=at.ns(line.meter.bar_quarters)), began_ns(takes))
    hand.ask("Escape", "leave")
    where_words_stand(boxwalk, "type to search")
    hand.ask("Escape", "leave")

    assert boxwalk.process.wait(10) == 0
    practised = [take for take in list_takes(takes) if take.header and not take.header.contest][-1]
    take = read_take(practised.path)
    assert take.header is not None
    assert (take.header.exercise_name, take.header.pace, take.header.input) == (first.name, Pace.FREE, player.port)
    notes = judge_take(first, take, Asked())["notes"][:8]
    assert [note["verdict"] for note in notes] == ["matched"] * 8
    assert [note.pitch for note in line.notes] == [note.pitch for note in PHRASE.notes]
    (run,) = standings([takes]).runs
    assert (run.exercise.notes, run.passes, run.slips) == (line.notes, 1, 0)
    assert run.best.points > 0
    assert Memory(tmp_path / "remembered.json").choices.input_name == player.port
