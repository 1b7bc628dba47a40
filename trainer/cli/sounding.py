"""The options that say how a sitting sounds, and what they mean."""

import re
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint

if TYPE_CHECKING:
    from trainer.sounds.backing import Levels
    from trainer.sounds.mix import Mix

_LEVEL = re.compile(r"(\w+)\s+(\d+)\s*%?")

_OPTIONS = (
    click.option("--feel", metavar="NAME", help="Of the backing: shuffle, two-beat ... (`boxwalk backing --feels`)."),
    click.option("--chords", metavar="DEGREES", help='Of the backing, by degrees of the key: "i iv", "i VII VI VII".'),
    click.option(
        "--click", "thinning", metavar="BEATS", help="every beat, only on 1, only on 2 and 4, every other bar."
    ),
    click.option(
        "--subdivision", type=click.IntRange(1, 6), metavar="N", help="Strokes of the click that share a beat."
    ),
    click.option("--accents/--no-accents", default=None, help="Whether the click's first beat of a bar stands out."),
    click.option("--levels", metavar="PERCENTS", help='In percent of the usual: "drums 80, bass 120, click 50".'),
)


def mix_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of the sound, for a command that takes all its options by name."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def mix_of(options: dict[str, Any], usual: "Mix") -> "Mix":
    """How it is to sound: as asked for, else as remembered; `Complaint` for what cannot be."""
    from trainer.sounds.backing import Accompaniment
    from trainer.sounds.click_way import ClickWay
    from trainer.sounds.mix import Mix

    way, wanted = usual.click, usual.accompaniment
    try:
        return Mix(
            ClickWay(
                options["subdivision"] or way.subdivision,
                accents=way.accents if options["accents"] is None else options["accents"],
                thinning=way.thinning if options["thinning"] is None else _thinning(options["thinning"]),
            ),
            Accompaniment(
                wanted.feel if options["feel"] is None else _feel(options["feel"]),
                wanted.chords if options["chords"] is None else options["chords"],
            ),
            usual.levels if options["levels"] is None else levels_named(options["levels"], usual.levels),
        )
    except ValueError as error:
        raise Complaint(str(error)) from error


def levels_named(text: str, usual: "Levels") -> "Levels":
    """Levels such as `drums 80, click 50`; `UnknownWord` or `ValueError` for what cannot be."""
    from trainer.theory.naming import named

    levels = usual
    for words in filter(None, (words.strip() for words in text.split(","))):
        found = _LEVEL.fullmatch(words)
        if found is None:
            raise ValueError(f"level {words!r}: expected a part and its percent, such as 'drums 80'")
        part = named(found[1], {name: name for name in usual.__slots__}, "a part with a level")
        levels = replace(levels, **{part: int(found[2])})
    return levels


def _thinning(words: str) -> Any:
    from trainer.sounds.click_way import Thinning
    from trainer.theory.naming import named

    short = {way.value.removeprefix("only "): way for way in Thinning}
    return named(words, {**{way.value: way for way in Thinning}, **short}, "a way of the click")


def _feel(name: str) -> str:
    from trainer.sounds.feels import feel_named

    return feel_named(name).name
