"""The click of the set-up's latency step."""

from fractions import Fraction

from trainer.devices.sound import Sound
from trainer.playing.calibration.latency import BAR_NS, BEATS_A_BAR, COUNT_IN_BARS, QUARTERS_PER_MINUTE
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds.click import render_click
from trainer.sounds.samples import mixed


def start_latency_click(sound: Sound, bars: int) -> int:
    """Let the count-in and `bars` bars of quarters sound; when the first beat after the count-in is heard."""
    click = render_click(
        Tempo(Fraction(QUARTERS_PER_MINUTE)),
        Meter(BEATS_A_BAR),
        count_in_bars=COUNT_IN_BARS,
        length_quarters=Fraction(bars * BEATS_A_BAR),
    )
    return sound.start(mixed(click)) + COUNT_IN_BARS * BAR_NS
