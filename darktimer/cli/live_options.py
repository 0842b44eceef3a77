"""Options that a run and a rehearsal share, and what they come to."""

from collections.abc import Callable
from typing import Any

import click

from darktimer.cli.options import Duration, cues_option, lights_out_option

_PROFILES = ("none", "wired", "sleepy")
_OPTIONS: list[Callable[[Any], Any]] = [
    cues_option,
    lights_out_option,
    click.option(
        "--gates/--no-gates",
        default=None,
        help="Wait at each transfer until a key says that the film is in; or wait nowhere, also "
        "not at the end of loading. Without either a run waits for loading only.",
    ),
    click.option(
        "--speaker",
        "profile",
        type=click.Choice(_PROFILES),
        default="wired",
        show_default=True,
        help="What is added for the speaker: some fall asleep when it is quiet.",
    ),
    click.option(
        "--speaker-name",
        metavar="NAME",
        help="The speaker to play on, as darktimer speakers names it, or a part of its name.",
    ),
    click.option("--second-speaker", metavar="NAME", help="Another, for when the first is lost."),
    click.option(
        "--buffer",
        "buffer_ms",
        type=Duration(),
        default="0.3 s",
        show_default=True,
        help="Sound handed over ahead. More survives a busier computer; keys answer later by it.",
    ),
    click.option(
        "--rate",
        type=click.IntRange(8000, 192_000),
        default=48_000,
        show_default=True,
        help="Samples a second.",
    ),
]


def live_options(command: Any) -> Any:
    """Adds all of them to a command."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command
