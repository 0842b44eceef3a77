"""A sound is played and one key answers it; the space bar plays it again, q ends."""

from collections.abc import Collection
from typing import Final

import click

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.output.player import Player
from darktimer.terminal.text import say

_AGAIN: Final = " "
_END: Final = "qQ\x03\x04\x1b"


class EnoughError(Exception):
    """The person wants no more."""


def answer(player: Player, samples: Samples, keys: Collection[str] = ()) -> str:
    """The key pressed while a sound plays or after it, any where none are named; `EnoughError`."""
    while True:
        player.begin(samples)
        key = _pressed()
        while keys and key not in keys and key != _AGAIN:
            say(f"press one of {' '.join(keys)}, the space bar to hear it again, or q", "  ")
            key = _pressed()
        if key != _AGAIN:
            return key


def _pressed() -> str:
    try:
        key = click.getchar()
    except (EOFError, KeyboardInterrupt):
        raise EnoughError from None
    except OSError:
        raise OutputError("keyboard", "there is none", "use a terminal") from None
    if not key or key in _END:
        raise EnoughError
    return key.lower()
