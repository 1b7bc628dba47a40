"""The option that says how large the window is."""

import re

import click

SMALLEST, LARGEST = (1024, 576), (7680, 4320)


def size_of(_context: click.Context, _option: click.Parameter, words: str) -> tuple[int, int]:
    """The size in pixels that e.g. `1920x1080` means; `click.BadParameter` when it means none."""
    found = re.fullmatch(r"(\d{3,4})[x×](\d{3,4})", words)
    size = (int(found[1]), int(found[2])) if found else (0, 0)
    if not all(least <= pixels <= most for least, pixels, most in zip(SMALLEST, size, LARGEST, strict=True)):
        raise click.BadParameter(f"{words!r}: expected e.g. 1920x1080, from 1024x576 to 7680x4320")
    return size


window_option = click.option(
    "--window", "size", metavar="WIDTHxHEIGHT", default="1280x720", show_default=True, callback=size_of
)
