from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.devices.test_outputs import MS, Card
from trainer.cli import main
from trainer.cli.sound import tapped_offset
from trainer.devices import outputs
from trainer.devices.outputs import Outlet
from trainer.devices.remembered import Memory
from trainer.devices.sound import SYSTEM_MIXER, SilentSound
from trainer.playing.calibration.output_offset import BEAT_NS
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, words)
    return result.exit_code, result.output


@pytest.fixture
def memory_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two cards, and a memory of their own."""
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    monkeypatch.setattr(outputs, "port_audio_outputs", lambda: {"Hut card": 0, "Cave card": 1})
    monkeypatch.setattr(outputs, "PortAudioSound", lambda number=0: Card("Cave card" if number == 1 else "Hut card"))
    return tmp_path / "remembered.json"


def test_the_outputs_are_named_and_the_chosen_one_is_marked(memory_path: Path) -> None:
    code, said = run("sound")

    assert code == 0
    assert said.splitlines() == [
        "outputs",
        "* the first that opens",
        "  Hut card",
        "  Cave card",
        f"  {SYSTEM_MIXER}",
        "Sound on Hut card, 10 ms.",
    ]
    assert not memory_path.exists()


def test_an_output_is_chosen_corrected_and_left_again(memory_path: Path) -> None:
    code, said = run("sound", "--output", "cave card", "--offset", "42")
    chosen = Memory(memory_path).sound
    run("sound", "--output", "first")

    assert code == 0
    assert "* Cave card, +42 ms" in said
    assert "Sound on Cave card, 10 ms, corrected by +42 ms." in said
    assert (chosen.output, chosen.offsets_ms) == ("Cave card", {"Cave card": 42.0})
    assert (Memory(memory_path).sound.output, Memory(memory_path).sound.offsets_ms) == ("", {"Cave card": 42.0})


def test_an_output_that_has_gone_stays_chosen_and_is_said_to_be_absent(
    memory_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("sound", "--output", "Cave card")
    monkeypatch.setattr(outputs, "port_audio_outputs", lambda: {"Hut card": 0})

    _, said = run("sound")

    assert "* Cave card, not there now" in said
    assert "Sound on Hut card, 10 ms." in said
    assert Memory(memory_path).sound.output == "Cave card"


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--output", "cave cart"], "'cave cart' is not an output that is there; nearest: 'Cave card'"),
        (["--offset", "501"], "offset of Hut card: 501 ms; expected at most 500 either way"),
        (["--offset", "nan"], "offset of Hut card: nan ms"),
    ],
)
def test_what_cannot_be_is_told_and_changes_nothing(memory_path: Path, words: list[str], message: str) -> None:
    code, said = run("sound", *words)

    assert code == 2
    assert message in said
    assert not memory_path.exists()


@pytest.mark.parametrize(("words", "message"), [("--offset 3", "nothing to correct"), ("--tap", "nothing to play to")])
def test_without_a_card_there_is_nothing_to_correct(
    memory_path: Path, monkeypatch: pytest.MonkeyPatch, words: str, message: str
) -> None:
    monkeypatch.setattr(outputs, "open_sound", lambda _: SilentSound("no card"))

    code, said = run("sound", *words.split())

    assert code == 2
    assert message in said
    assert not memory_path.exists()


class Hands:
    """Plays a note on each click, so late, from the moment the click sounds."""

    status = "Hut pickup"

    def __init__(self, late_ms: float) -> None:
        self.now_ns = 0
        self.beat = 0
        self.late_ns = round(late_ms * MS)

    def clock(self) -> int:
        self.now_ns += 5 * MS
        return self.now_ns

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        due_ns = 1_000 * MS + self.beat * BEAT_NS + self.late_ns  # the card's click begins at 1 s
        if now_ns < due_ns:
            return ()
        self.beat += 1
        return (StampedMessage(due_ns, bytes((0x90 | self.beat % 2, 64 - 5 * (self.beat % 2), 90))),)


def test_the_offset_is_found_by_playing_and_added_to_the_present_one() -> None:
    said: list[str] = []
    hands, card = Hands(30.0), Card()

    found_ms = tapped_offset(
        Outlet(card, 12.0), hands, PickupProfile(), said.append, clock_ns=hands.clock, sleep=lambda _: None
    )

    assert found_ms == 30.0  # heard 12 ms late as told, played 18 ms after that
    assert said[0] == "Play a note on each click, on any string: 10 more, at least."
    assert said[-1].startswith("Hut card: +30 ms from now on. Most people play 10 to 50 ms ahead")
    assert card.started_at_ns is None


def test_leaving_off_changes_nothing() -> None:
    said: list[str] = []
    card = Card()

    def interrupt(_: float) -> None:
        raise KeyboardInterrupt

    hands = Hands(30.0)
    found_ms = tapped_offset(Outlet(card), hands, PickupProfile(), said.append, clock_ns=hands.clock, sleep=interrupt)

    assert found_ms is None
    assert said[-1] == "Left off; nothing was changed."
    assert card.started_at_ns is None
