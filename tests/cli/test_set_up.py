"""`boxwalk set-up` from a source that answers it, without a port, a card or a wall clock."""

from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.playing.builders import MS, STANDARD
from tests.set_up_player import SetUpPlayer
from trainer.cli import main
from trainer.cli.set_up import keep, lead
from trainer.devices.converter_style import STYLES, ConverterStyle
from trainer.devices.remembered import Memory
from trainer.devices.sound import SilentSound
from trainer.playing.calibration.guide import Guide, StepName
from trainer.sounds.samples import Pcm

REVERSED = (16, 15, 14, 13, 12, 11)
TRICKY = ConverterStyle(
    channel_of_course=REVERSED,
    bend_range_semitones=24,
    announces_range=False,
    latency_ns=3 * MS,
    latency_cycles=2.0,
    latency_sd_ns=600_000,
)


@dataclass
class Clock:
    """Time passes by sleeping; `interrupts_at_ns` is when Ctrl C is pressed."""

    now_ns: int = 0
    interrupts_at_ns: int | None = None

    def sleep(self, seconds: float) -> None:
        self.now_ns += round(seconds * 1e9)
        if self.interrupts_at_ns is not None and self.now_ns >= self.interrupts_at_ns:
            self.interrupts_at_ns = None
            raise KeyboardInterrupt


@dataclass
class HeardSound:
    """A card that is heard 20 ms after it was asked."""

    clock: Clock
    is_audible: bool = True
    latency_ns: int = 20 * MS
    started_at_ns: int | None = None
    status: str = "Sound on a card, 20 ms"
    played: list[int] = field(default_factory=list)

    def start(self, buffer: Pcm) -> int:
        self.played.append(len(buffer))
        self.started_at_ns = self.clock.now_ns + self.latency_ns
        return self.started_at_ns

    def stop(self) -> None:
        self.started_at_ns = None

    def close(self) -> None:
        self.stop()


def led(
    style: ConverterStyle, *, steps: tuple[StepName, ...] = tuple(StepName), interrupts_at_ns: int | None = None
) -> tuple[Guide, list[str], HeardSound]:
    """The guide at the end, what was said, and the card."""
    clock, said = Clock(interrupts_at_ns=interrupts_at_ns), []
    guide, sound = Guide(STANDARD, None, steps), HeardSound(clock)
    source = SetUpPlayer(guide, style, timing_sd_ns=5 * MS)
    lead(guide, source, sound, said.append, clock_ns=lambda: clock.now_ns, sleep=clock.sleep)
    return guide, said, sound


def test_a_tricky_device_is_learned_and_kept(tmp_path: Path) -> None:
    guide, said, sound = led(TRICKY)
    memory = Memory(tmp_path / "remembered.json")

    keep(guide, "Hut pickup", memory, said.append)

    profile = Memory(tmp_path / "remembered.json").profile_of("Hut pickup")
    assert profile == guide.profile
    assert (profile.channel_of_course, profile.bend_range_semitones) == (REVERSED, 24.0)
    assert profile.latency_cycles == pytest.approx(2.0, abs=0.4)
    assert sound.started_at_ns is None
    assert len(sound.played) == 1
    assert said[-1].startswith("Kept for Hut pickup")


def test_it_asks_for_one_thing_at_a_time_and_says_what_it_learned() -> None:
    _, said, _ = led(TRICKY, steps=(StepName.STRINGS, StepName.BEND))

    assert said[:4] == [
        "A simulated player is set up.",
        "Pluck string 6, open (E2), and let it ring.",
        "    String 6 arrived on channel 11.",
        "Pluck string 6 once more, open (E2), and let it ring.",
    ]
    assert said[-1] == "  * Bend range: 24 semitones."
    assert "  * Each string has its own channel: strings 1 to 6 arrive on 16 15 14 13 12 11." in said
    assert sum(line.startswith("Pluck string ") for line in said) == 12


def test_without_a_sound_the_latency_stays_as_it_was_and_says_why() -> None:
    clock, said = Clock(), []
    guide = Guide(STANDARD, None, (StepName.LATENCY,))

    lead(
        guide,
        SetUpPlayer(guide, TRICKY),
        SilentSound("no card"),
        said.append,
        clock_ns=lambda: clock.now_ns,
        sleep=clock.sleep,
    )

    assert guide.profile.latency_cycles == 0
    assert any("none can be heard. No sound: no card." in line for line in said)


def test_when_nothing_was_learned_nothing_is_kept(tmp_path: Path) -> None:
    guide, said = Guide(STANDARD), []
    for _ in StepName:
        guide.enough()

    keep(guide, "Hut pickup", Memory(tmp_path / "remembered.json"), said.append)

    assert said == ["Nothing was learned of Hut pickup; nothing was changed."]
    assert not (tmp_path / "remembered.json").exists()


def test_ctrl_c_in_the_strings_leaves_off() -> None:
    with pytest.raises(KeyboardInterrupt):
        led(TRICKY, interrupts_at_ns=3000 * MS)


def test_ctrl_c_once_the_hits_are_enough_will_do() -> None:
    style = replace(TRICKY, latency_sd_ns=0)

    guide, _, _ = led(style, steps=(StepName.LATENCY,), interrupts_at_ns=29_500 * MS)

    assert guide.profile.latency_cycles == pytest.approx(2.0, abs=0.6)


def test_a_keyboard_is_told_that_it_does_not_separate_strings() -> None:
    guide, said, _ = led(STYLES["keyboard"], steps=(StepName.STRINGS,))

    assert guide.is_finished
    assert "this device does not separate strings" in said[-1]


def test_a_wrong_step_or_tuning_is_answered_with_the_nearest() -> None:
    step = CliRunner().invoke(main, ["set-up", "--steps", "strings,latancy"])
    tuning = CliRunner().invoke(main, ["set-up", "--tuning", "dadgat"])

    assert (step.exit_code, tuning.exit_code) == (2, 2)
    assert "did you mean 'latency'" in step.output
    assert "dadgad" in tuning.output


def test_remembered_devices_are_listed_with_what_was_learned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    guide, said, _ = led(TRICKY, steps=(StepName.STRINGS, StepName.BEND))
    keep(guide, "Hut pickup", Memory(), said.append)

    output = CliRunner().invoke(main, ["ports"]).output

    assert "Hut pickup, set up on 20" in output
    assert "Bend range: 24 semitones." in output
