"""The click that an output's offset is found by."""

from fractions import Fraction

from trainer.devices.sound import Sound
from trainer.playing.calibration.output_offset import QUARTERS_PER_MINUTE
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds.endless import Playable
from trainer.sounds.mix import Mix
from trainer.sounds.samples import samples_in
from trainer.sounds.stems import click_music

LONGEST_NS = 1_800_000_000_000


def start_tap_click(sound: Sound) -> int:
    """Let quarters sound until they are stopped, half an hour at most; when the first one is heard."""
    click = click_music(Meter(), Tempo(Fraction(QUARTERS_PER_MINUTE)), Mix())
    return sound.start(Playable([click], samples_in(LONGEST_NS)))
