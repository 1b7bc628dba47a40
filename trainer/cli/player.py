"""Whose takes these are, and the history that they go into."""

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from trainer.station import Station

LONGEST_NAME = 60


def player_of(_context: click.Context, _option: click.Parameter, name: str) -> str:
    """A player's name as the history knows it; `click.BadParameter` when it cannot be one."""
    plain = " ".join(name.split())
    if len(plain) > LONGEST_NAME or not plain.isprintable():
        raise click.BadParameter(f"{name!r}: expected a name of at most {LONGEST_NAME} letters")
    return plain


player_option = click.option(
    "--player",
    metavar="NAME",
    default="",
    callback=player_of,
    help="Who plays, when several do. Default: the one player who needs no name.",
)


def keep_history(station: "Station", player: str) -> None:
    """Let a station's takes go into the history as this player's."""
    from trainer.devices.recording import takes_folder
    from trainer.history.keeping import HistoryKeeper
    from trainer.history.opening import history_path

    folder = takes_folder()
    station.history = HistoryKeeper(history_path(folder), folder, player=player)


def say_trouble(station: "Station") -> None:
    """Say on standard error, when the window is closed, what the history could not do."""
    if station.history is not None and station.history.trouble is not None:
        click.echo(station.history.trouble, err=True)
