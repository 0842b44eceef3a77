"""``darktimer listen``: what a recording holds, against what a plan asks for."""

import sys
from pathlib import Path

import click

from darktimer.cli.options import (
    FilePath,
    ShippedOrFile,
    cues_option,
    json_option,
    lights_out_option,
)


@click.command("listen")
@click.argument("recording", metavar="RECORDING", type=FilePath())
@click.option(
    "--plan",
    metavar="PLAN",
    type=ShippedOrFile("sequences"),
    required=True,
    help="The plan that was played, by name or file.",
)
@cues_option
@lights_out_option
@click.option("--gates", is_flag=True, help="The run may have waited at each transfer too.")
@click.option("--tracks", is_flag=True, help="The files of render --tracks were played.")
@json_option
def command(
    recording: Path,
    plan: str,
    cue_set: str,
    lights_out_after_ms: int | None,
    gates: bool,
    tracks: bool,
    as_json: bool,
) -> None:
    """Hear a RECORDING of PLAN and say which cues are in it.

    The recording may begin and end anywhere, at any level, with a tap running. For each cue: when
    it was heard, how far it is from its place in the plan (in ms, once start and clock of the
    recorder are set off), and how far it stands above the noise: its strongest partial against a
    third of an octave of noise, in dB. A cue is damaged where a pulse is missing although the noise
    would let it be heard. A run may wait as long as it likes for loading, and with --gates at each
    transfer, as live runs and tracks do. With --tracks no light-safe is expected where the hands
    shut the film in: files cannot know that they have.

    Exit status 1 when a cue that asks for an act was not heard, or was heard where it was not due,
    when a cue is damaged, when the player's clock is off by more than 1 %, and when a part of a run
    holds too few acts, or fits another place or shipped plan as well.

    \b
    Example:
      darktimer render long-stand -o stand.wav
      darktimer listen stand.wav --plan long-stand
    """
    from darktimer import shipped
    from darktimer.ear.hearing import hear
    from darktimer.ear.second_look import looked_at_again
    from darktimer.ear.speeds import at_its_speed
    from darktimer.ear.verdict import compared
    from darktimer.ear.waiting import as_planned, waits_heard, with_waits
    from darktimer.live.gates import gates as gates_of
    from darktimer.live.gates import waits_of
    from darktimer.live.tracks import led_by_tracks
    from darktimer.pages.heard import print_verdict, telling, verdict_json
    from darktimer.plan.reader import read_plan
    from darktimer.prepare.prepared import prepare
    from darktimer.process.compiler import compile_plan
    from darktimer.terminal.text import print_json

    prepared = prepare(plan, cue_set, lights_out_after_ms)
    timeline = led_by_tracks(prepared.timeline) if tracks else prepared.timeline
    sound, heard = at_its_speed(
        recording,
        timeline,
        lambda sound: list(telling(hear(sound, prepared.cue_set))),
    )
    others = (
        compile_plan(read_plan(name).plan, prepared.cue_set.length_ms)
        for name in shipped.names("sequences")
    )
    others = (other for other in others if other.cues != timeline.cues)
    waited_at = gates_of(timeline, waits_of(gates or None))
    free = [(gate.opens_ms, gate.plan_ms) for gate in waited_at]
    waits_ms = waits_heard(heard, timeline, free, sound.heard_ms)
    led = with_waits(timeline, free, waits_ms)
    verdict = compared(heard, led, sound.heard_ms, others)
    verdict = looked_at_again(verdict, sound, prepared.cue_set)
    verdict = as_planned(verdict, free, waits_ms)
    names = [timeline.steps[gate.step].name for gate in waited_at]
    waits = [(name, ms) for name, ms in zip(names, waits_ms, strict=True) if ms]
    if as_json:
        print_json(verdict_json(recording, sound.heard_ms, verdict, waits))
    else:
        print_verdict(verdict, waits)
    if not verdict.sure:
        sys.exit(1)
