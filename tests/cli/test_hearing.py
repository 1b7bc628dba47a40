import time

import pytest

from tests.builders import line
from trainer.cli.hearing import let_sound
from trainer.devices.sound import SilentSound
from trainer.sounds.samples import RATE, Pcm


class Card(SilentSound):
    """Takes what is played and is heard at once."""

    is_audible = True

    def __init__(self) -> None:
        super().__init__("it stands in for a card")
        self.played: list[Pcm] = []
        self.is_closed = False

    def start(self, buffer: Pcm) -> int:
        self.played.append(buffer)
        return super().start(buffer)

    def close(self) -> None:
        self.is_closed = True


def test_a_line_sounds_to_its_end_and_the_card_is_given_back(monkeypatch: pytest.MonkeyPatch) -> None:
    slept: list[float] = []
    monkeypatch.setattr(time, "sleep", slept.append)
    card, exercise = Card(), line("two-gates")
    length_s = exercise.tempo.ns(exercise.length_quarters) / 1e9

    let_sound(exercise, card)

    (buffer,) = card.played
    assert len(buffer) / RATE >= length_s - 0.5
    assert 0 < slept[0] - length_s < 1
    assert card.is_closed


def test_without_a_card_it_says_so_and_does_not_wait(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delattr(time, "sleep")

    let_sound(line("two-gates"), SilentSound("no card was found"))

    assert capsys.readouterr().err == "No sound: no card was found.\n"
