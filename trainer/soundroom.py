"""Makes the room of the sound: its screen, joined to the station's desk."""

from collections.abc import Callable

from trainer.devices.tap_click import start_tap_click
from trainer.playing.calibration.output_offset import OffsetTaps
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.screens.screen import Screen
from trainer.screens.sound import SoundDoors, SoundScreen
from trainer.screens.sound_ways import SoundWays
from trainer.sounds.stems import Stem
from trainer.station import Station

LONGEST_HEARD_NS = 600_000_000_000
"""So long a line is heard again and again before it stops by itself."""


def sound_room(station: Station, line: Exercise, tempo: Tempo, leave: Callable[[], Screen]) -> Screen:
    """The screen, tried out with a line at a tempo."""
    desk = station.desk

    def hear(wanted: tuple[str, ...]) -> None:
        passes = max(1, int(tempo.quarters(LONGEST_HEARD_NS) // line.length_quarters))
        desk.demonstrate(line, tempo, [Stem(name) for name in wanted], passes)

    def choose_output(name: str) -> float:
        desk.choose_output(name)
        return desk.offset_ms

    return SoundScreen(
        SoundWays(line, desk.mix, desk.outputs(), desk.output, desk.offset_ms),
        SoundDoors(
            keep_mix=desk.keep_mix,
            choose_output=choose_output,
            keep_offset=desk.keep_offset,
            hear=hear,
            click=lambda: start_tap_click(desk.sound),
            began_ns=lambda: desk.sound.started_at_ns,
            taps=lambda first_beat_ns: OffsetTaps(station.profile, line.tuning, first_beat_ns),
            hush=desk.sound.stop,
            leave=leave,
            status=lambda: station.status if not desk.sound.is_audible else desk.sound.status,
        ),
    )
