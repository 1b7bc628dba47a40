"""Real MIDI ports and processes: fixtures for every test of this folder."""

import os
from collections.abc import Callable, Iterator, Sequence

import pytest

from trainer.playing.messages import StampedMessage

from .jack import JackServer
from .player import Player, PortChange

PlayThrough = Callable[..., Player]


@pytest.fixture(scope="session")
def jack_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[JackServer]:
    """A JACK server for all tests of the run; this process and those that it starts use it by default."""
    server = JackServer(f"boxwalk-rig-{os.getpid()}", tmp_path_factory.mktemp("jack") / "jackd.log")
    with pytest.MonkeyPatch.context() as patch, server:
        for name, value in server.environment.items():
            patch.setenv(name, value)
        yield server


@pytest.fixture
def play_through(jack_server: JackServer) -> Iterator[PlayThrough]:
    """`play_through(messages, port_name)` gives a `Player` that waits for its `start`."""
    players: list[Player] = []

    def make(steps: Sequence[StampedMessage | PortChange], port_name: str = "Pickup") -> Player:
        players.append(Player(jack_server, steps, port_name))
        return players[-1]

    yield make
    for player in players:
        player.stop()
