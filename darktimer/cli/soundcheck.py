"""``darktimer soundcheck``: whether each cue carries to where the head will be."""

from typing import TYPE_CHECKING

import click

from darktimer.cli.options import (
    Read,
    cues_option,
    device_option,
    json_option,
    microphone_option,
    plan_if_any_argument,
)
from darktimer.ear.levels import START_DB
from darktimer.errors import UnreadableError
from darktimer.terminal.text import say

if TYPE_CHECKING:  # loads numpy
    from darktimer.cues.cue_set import CueSet


def _level_db(text: str) -> int:
    """How loud at most, in whole dB against a run: 0 or less."""
    try:
        level_db = int(text.removesuffix("dB").strip())
    except ValueError:
        raise UnreadableError(f"{text!r} is not a level", "write one such as -12 dB") from None
    if not START_DB <= level_db <= 0:
        raise UnreadableError(f"{text!r} is out of range", f"write {START_DB} to 0 dB")
    return level_db


def _played(plan: str | None, cue_set: str) -> "tuple[CueSet, list[str]]":
    """The cue set, and what a run of the plan plays, or all that the set can say."""
    from darktimer.cues.reader import load_cue_set
    from darktimer.learn.lesson import played
    from darktimer.prepare.prepared import prepare

    if plan is None:
        cues = load_cue_set(cue_set)
        return cues, cues.meanings()
    prepared = prepare(plan, cue_set, None)
    return prepared.cue_set, played(prepared.timeline)


@click.command("soundcheck")
@plan_if_any_argument
@cues_option
@device_option
@microphone_option
@click.option("--ask", is_flag=True, help="Use no microphone: play each cue and ask.")
@click.option(
    "--level",
    "most_db",
    type=Read("level", _level_db),
    default=0,
    help="Never play louder than this against a run, such as -12 dB; 0 dB is as loud as a run.",
)
@json_option
def command(
    plan: str | None,
    cue_set: str,
    device: str | None,
    microphone: str | None,
    ask: bool,
    most_db: int,
    as_json: bool,
) -> None:
    """Play the faintest cues, and say which of them the noise of the room covers.

    Of each note that a run of PLAN will play, also in answer to keys, you hear the cue that plays
    it softest: where these are clear, all are. Without a PLAN they are those of the whole set.

    Put the microphone where your head will be, and let the water run as it will. The sound starts
    low and rises until a cue is clear, never above --level. Without a microphone you are asked
    what you hear. Exit status 1 where a cue is not clear.

    \b
    Example:
      darktimer soundcheck open-tub-half-agitation
      darktimer soundcheck --ask --level "-6 dB"
    """
    from darktimer.ear.levels import faintest
    from darktimer.output.microphone import microphone as found
    from darktimer.output.player import Player
    from darktimer.output.speakers import Speakers
    from darktimer.pages.answers import EnoughError
    from darktimer.pages.soundcheck import CAUTION, RATE, ask_by_ear, listen

    cues, played = _played(plan, cue_set)
    those = faintest(cues, played)
    ear = None if ask else found(microphone)
    if ear is None and as_json:
        raise click.UsageError("--json needs a microphone, and there is none")
    if ear is None and not ask:
        say("There is no microphone here, so you are asked what you hear.")
    say(CAUTION, err=as_json)
    try:
        with Player(Speakers(name=device, rate=RATE)) as player:
            if ear is None:
                clear = ask_by_ear(cues, those, player, most_db)
            else:
                clear = listen(cues, those, player, ear, most_db, as_json)
    except EnoughError:
        say("Ended before every cue was judged.")
        clear = False
    if not clear:
        raise click.exceptions.Exit(1)
