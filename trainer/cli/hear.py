"""`boxwalk hear`: a line as a demonstration, alone or over click and backing, heard or written to WAV files."""

import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint, complaints
from trainer.cli.sounding import mix_of, mix_options

if TYPE_CHECKING:
    from trainer.score.exercise import Exercise
    from trainer.score.tempo import Tempo
    from trainer.sounds.mix import Mix
    from trainer.sounds.stems import Stem

MOST_PASSES = 1000


@click.command()
@click.argument("exercise")
@click.option("--tempo", type=float, metavar="QPM", help="Quarters a minute. Default: the line's own tempo.")
@click.option("--with", "parts", default="line", show_default=True, metavar="PARTS", help="click, backing, line.")
@click.option("--passes", type=click.IntRange(1, MOST_PASSES), default=1, show_default=True, help="How often.")
@click.option("--loop", is_flag=True, help="Again and again, until Ctrl C.")
@click.option("--count-in", type=click.IntRange(0, 8), default=0, show_default=True, metavar="BARS", help="In a file.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE.wav",
    help="Write the parts, mixed, and play nothing.",
)
@click.option("--each", is_flag=True, help="With --out: a file for each part, FILE-click.wav and so on, that fit.")
@mix_options
def hear(**options: Any) -> None:
    """Let EXERCISE (a name, a file, or a line of text) sound: at any tempo, alone or over click and backing."""
    from trainer.cli.naming import exercise_named
    from trainer.devices.remembered import Memory
    from trainer.judging import tempo_of

    memory = Memory()
    with complaints():
        line = exercise_named(options["exercise"])
        tempo = line.tempo if options["tempo"] is None else tempo_of(options["tempo"])
    mix, wanted = mix_of(options, memory.sound.mix), _stems(options["parts"])
    if options["out"] is not None:
        if options["loop"]:
            raise Complaint("--loop goes without --out; --passes says how often the line is in the file")
        _write(line, tempo, mix, wanted, options)
    elif options["each"]:
        raise Complaint("--each goes with --out FILE.wav")
    else:
        _play(line, tempo, mix, wanted, MOST_PASSES if options["loop"] else options["passes"], memory)


def _stems(words: str) -> "tuple[Stem, ...]":
    from trainer.sounds.stems import Stem
    from trainer.theory.naming import named

    by_name = {stem.value: stem for stem in Stem}
    try:
        asked = [named(word, by_name, "a part") for word in words.replace(",", " ").split()]
    except ValueError as error:
        raise Complaint(f"--with: {error}") from error
    if not asked:
        raise Complaint(f"--with: expected one or more of {', '.join(by_name)}")
    return tuple(dict.fromkeys(asked))


def _write(line: "Exercise", tempo: "Tempo", mix: "Mix", wanted: "tuple[Stem, ...]", options: dict[str, Any]) -> None:
    from trainer.sheets.saving import save
    from trainer.sounds.samples import RATE, mixed
    from trainer.sounds.stems import stems
    from trainer.sounds.wav import wav_bytes

    path: Path = options["out"]
    whole = line.repeated(options["passes"])
    rendered = stems(whole, tempo, mix, wanted, count_in_bars=options["count_in"])
    files = (
        {path.with_name(f"{path.stem}-{stem.value}{path.suffix}"): [samples] for stem, samples in rendered.items()}
        if options["each"]
        else {path: list(rendered.values())}
    )
    with complaints():
        for file, parts in files.items():
            samples = mixed(*parts)
            save(file, wav_bytes(samples))
            click.echo(f"{file}: {len(samples) / RATE:.2f} s")


def _play(line: "Exercise", tempo: "Tempo", mix: "Mix", wanted: "tuple[Stem, ...]", passes: int, memory: Any) -> None:
    from trainer.devices.outputs import remembered_sound
    from trainer.devices.sound_desk import SoundDesk

    desk = SoundDesk(remembered_sound(memory))
    desk.use_mix(mix)
    try:
        if not desk.sound.is_audible:
            raise Complaint(f"{desk.sound.status}. --out FILE.wav writes it to a file.")
        click.echo(f"{line.title}, {', '.join(stem.value for stem in wanted)}. Ctrl C ends.")
        began_ns = desk.demonstrate(line, tempo, wanted, passes)
        ends_ns = began_ns + tempo.ns(passes * line.length_quarters)
        time.sleep(max(0, ends_ns - time.perf_counter_ns()) / 1e9)
    except KeyboardInterrupt:
        click.echo()
    finally:
        desk.sound.close()
