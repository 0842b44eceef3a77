"""The test bench: a private sound server without a sound card."""

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from null_sink import Server, missing


@pytest.fixture
def server() -> Iterator[Server]:
    """A sound server that a test may break."""
    if program := missing():
        pytest.skip(f"{program} is not installed (Debian: pulseaudio, pulseaudio-utils)")
    made = Server()
    made.start()
    yield made
    made.end()
