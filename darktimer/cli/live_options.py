"""Options that a run and a rehearsal share, and the speaker that they come to."""

from collections.abc import Callable
from typing import Any, NamedTuple

import click

from darktimer.cli.options import Duration, cues_option, lights_out_option
from darktimer.cues.speaker import SPEAKERS
from darktimer.live.gates import Waits
from darktimer.output.clock import Clock
from darktimer.output.protocol import Sound
from darktimer.output.speaker import SpeakerStream

#: The head of a stream may be lost, so it plays silence for so long before a session begins.
LEAD_MS = 2_000


class Speakers(NamedTuple):
    """Which speaker is played on, with how much sound handed over ahead, and at what rate."""

    profile: str
    name: str | None
    second_choice: str | None
    buffer_ms: int
    rate: int

    def stream(self, sound: Sound, clock: Clock, begin_ns: int) -> SpeakerStream:
        """A stream on which frame 0 is heard at ``begin_ns`` of the boot clock; not started."""
        return SpeakerStream(
            sound,
            device=self.name,
            second_choice=self.second_choice,
            buffer_ms=self.buffer_ms,
            clock=clock,
            begin_ns=begin_ns,
        )


def waits_of(gates: bool | None) -> Waits:
    """Where a run waits, after ``--gates``, ``--no-gates`` or neither."""
    return {None: Waits.LOADING, True: Waits.TRANSFERS, False: Waits.NOWHERE}[gates]


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
        type=click.Choice(list(SPEAKERS)),
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
