"""The test bench: a private sound server without a sound card, for each worker its own."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from null_sink import Ear, Server, kind_of_server
from stage import Hogs, Player


def _started(*, short: bool) -> Server:
    kind = kind_of_server()
    if program := kind.missing():
        pytest.skip(f"{program} is not installed (see .ci/run)")
    server = kind(short=short)
    server.start()
    return server


@pytest.fixture(scope="module")
def even_server() -> Iterator[Server]:
    """A server whose sink keeps the time of our clock, to the sample; not to be broken.

    Somebody listens to it all the time: a sink that nobody listens to is up to 2 s ahead.
    """
    server = _started(short=False)
    listener = Ear(server)
    time.sleep(2.5)
    yield server
    listener.heard()
    server.end()


@pytest.fixture
def server() -> Iterator[Server]:
    """A server that a test may break; its sink has short buffers, as a card has."""
    server = _started(short=True)
    yield server
    server.end()


@pytest.fixture
def ending() -> Iterator[ExitStack]:
    """Ends what a test leaves behind, the last begun first."""
    with ExitStack() as stack:
        yield stack


@pytest.fixture
def listen(ending: ExitStack) -> Callable[..., Ear]:
    def listening(server: Server, sink: str = "nullsink") -> Ear:
        ear = Ear(server, sink)
        ending.callback(ear.heard)
        return ear

    return listening


@pytest.fixture
def play(ending: ExitStack) -> Callable[..., Player]:
    def playing(server: Server, *options: str) -> Player:
        player = Player(server, *options)
        ending.callback(player.kill)
        return player

    return playing


@pytest.fixture
def hog(ending: ExitStack) -> Callable[[int], Hogs]:
    def hogging(number: int) -> Hogs:
        hogs = Hogs(number)
        ending.callback(hogs.end)
        return hogs

    return hogging
