"""The keys of this terminal, and knocks beside them where they are wanted; for the light alone."""

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from typing import TYPE_CHECKING

import click

from darktimer.live.keyboard import Keyboard
from darktimer.live.keyboards import keyboard

if TYPE_CHECKING:
    from darktimer.live.knocks import Knocks


@contextmanager
def controls(knocks: "Knocks | None") -> Iterator[Keyboard]:
    """What a person leads a run by. The microphone is being opened: `Knocks.prove` waits for it."""
    if knocks:  # before its thread, which hides the error stream while the library loads
        click.echo("Trying the microphone ...", err=True)
    with knocks or nullcontext(), keyboard(knocks) as keys:
        yield keys
