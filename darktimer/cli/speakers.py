"""``darktimer speakers``: what this computer can play on, and whether it can be heard."""

import click

from darktimer.cli.options import device_option, json_option
from darktimer.output.devices import Device
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_json, say


@click.command("speakers")
@click.option("--play", is_flag=True, help="Play a test cue: once, on the default or on --device.")
@device_option
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
    from darktimer.output.search import meant, speakers

    speaker, found = meant(device), speakers()
    heard = _play(speaker) if play else ()
    if as_json:
        print_json({"speakers": [_row(each) for each in found], "troubles": list(heard)})
        return
    columns = [("", "left"), ("Speaker", "left"), ("Sound system", "left")]
    print_table(columns, [["*" * each.is_default, each.name, each.system] for each in found])
    if play:
        say(f"\nPlayed on {speaker.name}: {'; '.join(heard) or 'no fault noticed'}.")


def _play(device: Device) -> tuple[str, ...]:
    """The cue for beginning to move the film, as a run would play it; returns what went wrong."""
    from darktimer.cues.reader import load_cue_set
    from darktimer.learn.sounds import Sounds
    from darktimer.output.player import Player
    from darktimer.output.speakers import Speakers
    from darktimer.process.meanings import MOVE

    sounds = Sounds(load_cue_set("standard"), seed=0)
    with Player(Speakers(name=device.name, rate=sounds.rate)) as player:
        player.begin(sounds.quiet(MOVE))
        player.wait()
    return tuple(f"{each.kind} {each.detail}".strip() for each in player.trouble())


def _row(device: Device) -> dict[str, str | int | bool]:
    return {
        "name": device.name,
        "system": device.system,
        "channels": device.channels,
        "rate": device.rate,
        "default": device.is_default,
    }
