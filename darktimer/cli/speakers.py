"""``darktimer speakers``: what this computer can play on, and whether it can be heard."""

from typing import TYPE_CHECKING

import click

from darktimer.cli.options import json_option
from darktimer.output.devices import Device
from darktimer.terminal.table import Table
from darktimer.terminal.text import console, print_json

if TYPE_CHECKING:
    from darktimer.cues.score import Score

_RATE = 48_000
_LEAD_MS = 500


@click.command("speakers")
@click.option("--play", is_flag=True, help="Play a test cue: once, on the default or on --device.")
@click.option("--device", metavar="NAME", help="The speaker to play on: its name or a part of it.")
@json_option
def command(play: bool, device: str | None, as_json: bool) -> None:
    """List the speakers of this computer; a star marks the default.

    A sound server shows as one speaker; which one it plays on is chosen in the system.

    A name, or any part of one that fits no other, chooses a speaker for a run.

    \b
    Example:
      darktimer speakers
      darktimer speakers --play
      darktimer speakers --play --device usb
    """
    from darktimer.output.portaudio import listed
    from darktimer.output.search import meant
    from darktimer.output.simple import offered

    found, speaker = (*listed(), *offered()), meant(device)
    heard = _play(speaker) if play else ()
    if as_json:
        print_json({"speakers": [_row(each) for each in found], "troubles": list(heard)})
        return
    out = console()
    columns = [("", "left"), ("Speaker", "left"), ("Sound system", "left")]
    out.print(Table(columns, [["*" * each.is_default, each.name, each.system] for each in found]))
    if play:
        out.print(f"\nPlayed on {speaker.name}: {'; '.join(heard) or 'no fault noticed'}.")


def _row(device: Device) -> dict[str, str | int | bool]:
    return {
        "name": device.name,
        "system": device.system,
        "channels": device.channels,
        "rate": device.rate,
        "default": device.is_default,
    }


def _play(device: Device) -> tuple[str, ...]:
    from darktimer.output.player import Player

    sound = _test_sound()
    with Player(sound.rate, device.name) as player:
        player.begin(sound.fill(0, sound.frames))
        player.wait()
    return tuple(f"{each.kind} {each.detail}".strip() for each in player.trouble())


def _test_sound() -> "Score":
    """The cue for beginning to move the film, as a run would play it."""
    from darktimer.cues.reader import load_cue_set
    from darktimer.cues.score import Score
    from darktimer.cues.speaker import SPEAKERS
    from darktimer.process.meanings import MOVE
    from darktimer.process.timeline import Cue, Step, Timeline

    cues = load_cue_set("standard")
    length_ms = cues.length_ms(MOVE)
    step = Step("speaker test", "step", 0, _LEAD_MS + length_ms, dark=False)
    cue = Cue(_LEAD_MS, length_ms, MOVE, 0)
    timeline = Timeline("Speaker test", step.end_ms, (step,), (), (cue,), ())
    return Score(timeline, cues, _RATE, SPEAKERS["wired"])
