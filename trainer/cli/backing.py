"""`boxwalk backing`: drums, bass and chords to play over, heard or written to a WAV file."""

import time
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint, complaints
from trainer.cli.sounding import levels_named

if TYPE_CHECKING:
    from trainer.devices.sound import Sound
    from trainer.score.meter import Meter
    from trainer.score.tempo import Tempo
    from trainer.sounds.backing import Backing, Levels

LONGEST_MINUTES = 240
NOTHING_TO_DO = "say a key, such as --key 'A minor'; `boxwalk backing --feels` names the feels"


@click.command()
@click.option("--key", "key_name", metavar="KEY", help='Root and scale, e.g. "A minor", "E blues", "D dorian".')
@click.option("--feel", metavar="NAME", help="Default: the first in the meter. --feels names them.")
@click.option(
    "--chords", default="", metavar="DEGREES", help='By degrees of the key, e.g. "i iv". Default: usual ones.'
)
@click.option(
    "--tempo", type=float, default=90.0, show_default=True, metavar="QPM", help="Quarters a minute, 30 to 300."
)
@click.option("--bars", type=click.IntRange(1, 64), help="Of the loop. Default: 4, or one for each chord.")
@click.option("--meter", metavar="N/D", help="Default: that of the feel.")
@click.option("--levels", default="", metavar="PERCENTS", help='In percent of the usual: "drums 80, bass 120".')
@click.option("--loops", type=click.IntRange(1, 1000), default=1, show_default=True, help="In the file.")
@click.option(
    "--minutes", type=click.FloatRange(0.1, LONGEST_MINUTES), default=10.0, show_default=True, help="To hear."
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE.wav",
    help="Write the loop, which can be repeated without a seam, and play nothing.",
)
@click.option("--feels", is_flag=True, help="Name the feels, and the usual chords of --key.")
def backing(**options: Any) -> None:
    """Drums, bass and chords in a key: play over them (Ctrl C ends), or write them to a file."""
    from trainer.theory.naming import UnknownWord
    from trainer.theory.scale import key_named

    try:
        key = None if options["key_name"] is None else key_named(options["key_name"])
        if options["feels"]:
            click.echo("\n".join(feel_lines(key.name if key else "")))
            return
        if key is None:
            raise Complaint(NOTHING_TO_DO)
        wanted = _backing(options)
        levels = _levels(options["levels"])
        tempo = _tempo(options["tempo"])
    except (UnknownWord, ValueError) as error:
        raise Complaint(str(error)) from error
    click.echo(f"{key.name}, {wanted.words}, at {float(tempo.quarters_per_minute):g}.")
    if options["out"] is None:
        _play(wanted, tempo, levels, options["minutes"])
    else:
        _write(wanted, tempo, levels, options["loops"], options["out"])


def feel_lines(key_name: str = "") -> list[str]:
    """Every feel with what it is, and the usual chords of a key."""
    from trainer.score.meter import Meter
    from trainer.sounds.feels import FEELS, pulse
    from trainer.theory.chords import sequences
    from trainer.theory.scale import key_named

    feels = [*FEELS.values(), pulse(Meter())]
    width = max(len(feel.name) for feel in feels)
    lines = [
        f"{feel.name:{width}}  {feel.meter.beats}/{feel.meter.beat_unit:<3} {feel.about}"
        if feel.name in FEELS
        else f"{feel.name:{width}}  any   {feel.about}"
        for feel in feels
    ]
    if key_name:
        lines += [f"usual chords in {key_name}: {'; '.join(sequences(key_named(key_name)))}"]
    return lines


def _backing(options: dict[str, Any]) -> "Backing":
    from trainer.score.meter import Meter
    from trainer.sounds.backing import Accompaniment, Backing, backing_for
    from trainer.sounds.feels import feel_named
    from trainer.theory.scale import key_named

    key = key_named(options["key_name"])
    asked = None if options["meter"] is None else meter_named(options["meter"])
    feel = None if options["feel"] is None else feel_named(options["feel"], asked)
    if feel is not None and asked is not None and feel.meter != asked:
        raise Complaint(f"{feel.name} is in {feel.meter.beats}/{feel.meter.beat_unit}, not in {options['meter']}")
    meter = feel.meter if feel is not None else asked or Meter()
    name = "" if feel is None else feel.name
    found: Backing = backing_for(key, meter, Accompaniment(name, options["chords"]), options["bars"])
    return found


def meter_named(words: str) -> "Meter":
    """A meter such as 7/8; `Complaint` for anything else."""
    from trainer.score.meter import Meter

    beats, _, unit = words.partition("/")
    if not (beats.isdecimal() and unit.isdecimal() and 1 <= int(beats) <= 32 and int(unit) in {1, 2, 4, 8, 16}):
        raise Complaint(f"meter {words!r}: expected e.g. 4/4 or 7/8")
    return Meter(int(beats), int(unit))


def _levels(words: str) -> "Levels":
    from trainer.sounds.backing import Levels

    return levels_named(words, Levels())


def _tempo(qpm: float) -> "Tempo":
    from trainer.score.tempo import Tempo

    if not 30 <= qpm <= 300:
        raise Complaint(f"tempo {qpm:g}: expected 30 to 300 quarters a minute")
    return Tempo(Fraction(qpm).limit_denominator(1_000_000))


def _write(wanted: "Backing", tempo: "Tempo", levels: "Levels", loops: int, path: Path) -> None:
    import numpy as np

    from trainer.sheets.saving import save
    from trainer.sounds.band import bars_of
    from trainer.sounds.endless import Endless
    from trainer.sounds.samples import RATE, mixed
    from trainer.sounds.wav import wav_bytes

    loop = mixed(Endless(bars_of(wanted, tempo, levels), wanted.meter.bar_quarters, tempo).seamless())
    with complaints():
        save(path, wav_bytes(np.tile(loop, loops)))
    click.echo(f"{path}: {len(loop) * loops / RATE:.2f} s, repeats without a seam")


def _play(wanted: "Backing", tempo: "Tempo", levels: "Levels", minutes: float, sound: "Sound | None" = None) -> None:
    from dataclasses import replace

    from trainer.devices.outputs import remembered_sound
    from trainer.devices.sound_desk import SoundDesk

    desk = SoundDesk(sound or remembered_sound())
    desk.use_mix(replace(desk.mix, levels=levels))
    try:
        if not desk.sound.is_audible:
            raise Complaint(f"{desk.sound.status}. --out FILE.wav writes it to a file.")
        click.echo("Ctrl C ends.")
        began_ns = desk.start_backing(wanted, tempo, round(minutes * 60_000_000_000))
        time.sleep(max(0.0, (began_ns - time.perf_counter_ns()) / 1e9 + minutes * 60))
    except KeyboardInterrupt:
        click.echo()
    finally:
        desk.sound.close()
