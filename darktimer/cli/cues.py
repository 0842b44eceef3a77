"""``darktimer cues``: a cue set as a table, as a sound file that plays each cue, or checked."""

import sys
from pathlib import Path

import click

from darktimer.cli.options import ShippedOrFile, force_option, json_option, output_option
from darktimer.cues.cue_set import CueSet
from darktimer.cues.demonstration import demonstration
from darktimer.cues.reader import load_cue_set
from darktimer.pages.cues import print_check, print_cues
from darktimer.process.timeline import Timeline
from darktimer.terminal.text import say
from darktimer.units import seconds_clock


@click.command("cues")
@click.argument("cue_set", metavar="[SET]", type=ShippedOrFile("sounds"), default="standard")
@output_option("Write a sound file that plays each cue in the order of the table.", required=False)
@force_option
@click.option("--check", is_flag=True, help="Name each rule that SET breaks; status 1 if any.")
@json_option
def command(cue_set: str, target: Path | None, force: bool, check: bool, as_json: bool) -> None:
    """Show what each cue of SET means and how its rhythm goes, or check SET.

    Shipped are standard, without-highs (for ears that have lost the high tones), small-speaker (a
    telephone's) and at-night (softer, no heartbeat). Copy one and change it; --check holds it to
    the rules that the shipped ones keep.

    \b
    Example:
      darktimer cues
      darktimer cues -o cues.wav
      darktimer cues --check my-set.yaml
    """
    if check and target:
        raise click.UsageError("--check writes no file; leave one of the two out")
    cues = load_cue_set(cue_set)
    if check:
        from darktimer.cues.rules import broken_rules

        broken = broken_rules(cues)
        print_check(cues, broken, as_json)
        if broken:
            sys.exit(1)
        return
    played = demonstration(cues)
    notes = _write(cues, played, target, force) if target else ()
    print_cues(cues, played.cues, as_json, with_times=target is not None)
    if target and not as_json:
        click.echo()
        say(f"{target}: plays each of these at its time. Volume: start low.")
        for note in notes:
            click.echo(note)


def _write(cues: CueSet, played: Timeline, target: Path, force: bool) -> tuple[str, ...]:
    from darktimer.cues.score import Score
    from darktimer.cues.speaker_profiles import SPEAKERS
    from darktimer.output.file import usual_rate, write_sound
    from darktimer.output.tags import Tags

    lines = [f"{seconds_clock(cue.at_ms)} {cues.says(cue.meaning)}" for cue in played.cues]
    score = Score(played, cues, usual_rate(target), SPEAKERS["wired"])
    return write_sound(target, score, Tags(f"Cues: {cues.name}", "\n".join(lines)), force)
