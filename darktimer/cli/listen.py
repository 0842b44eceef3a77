"""``darktimer listen``: what a recording holds, against what a plan asks for."""

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from darktimer.cli.options import (
    FilePath,
    ShippedOrFile,
    cues_option,
    json_option,
    lights_out_option,
)
from darktimer.ear.verdict import Check, Verdict, is_act_now
from darktimer.prepare.prepared import prepare
from darktimer.terminal.table import Table
from darktimer.terminal.text import console, print_json
from darktimer.units import clock, whole_second

if TYPE_CHECKING:  # the ear is loaded when the command runs
    from darktimer.ear.hearing import Heard


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
@json_option
def command(
    recording: Path, plan: str, cue_set: str, lights_out_after_ms: int | None, as_json: bool
) -> None:
    """Hear a RECORDING of PLAN and say which cues are in it.

    The recording may begin and end anywhere, at any level, with a tap running. For each cue: when
    it was heard, how far it is from its place in the plan (in ms, once start and clock of the
    recorder are set off), and how far it stands above the noise: its strongest partial against a
    third of an octave of noise, in dB.

    Exit status 1 when a cue that asks for an act was not heard, or light-safe was heard where none
    was due.

    \b
    Example:
      darktimer render long-stand -o stand.wav
      darktimer listen stand.wav --plan long-stand
    """
    from darktimer.ear.hearing import hear
    from darktimer.ear.recording import Recording
    from darktimer.ear.verdict import compared

    prepared = prepare(plan, cue_set, lights_out_after_ms)
    sound = Recording(recording)
    heard = list(_telling(hear(sound, prepared.cue_set)))
    verdict = compared(heard, prepared.timeline, sound.heard_ms)
    if as_json:
        print_json(_report(recording, sound.heard_ms, verdict))
    else:
        _print(verdict)
    if not verdict.sure:
        sys.exit(1)


def _telling(heard: "Iterable[Heard]") -> "Iterator[Heard]":
    """Passes on what is heard, and tells a terminal how far the ear has come."""
    told = sys.stderr.isatty()
    if told:
        click.echo("Listening ...", err=True, nl=False)
    for one in heard:
        if told:
            click.echo(f"\rListening: {_second(one.at_ms)} ", err=True, nl=False)
        yield one
    if told:
        click.echo(f"\r{' ' * 24}", err=True, nl=False)
        click.echo("\r", err=True, nl=False)


def _report(recording: Path, length_ms: float, verdict: Verdict) -> dict[str, Any]:
    line = verdict.line
    return {
        "recording": str(recording),
        "length_ms": round(length_ms),
        "offset_ms": round(line.offset_ms, 1) if line else None,
        "clock_ppm": round(line.ppm, 1) if line else None,
        "cues": [_row(check) for check in verdict.checks],
        "unplanned": [
            {
                "heard_ms": round(one.at_ms, 1),
                "meaning": one.meaning,
                "margin_db": round(one.margin_db, 1),
            }
            for one in verdict.unplanned
        ],
        "act_now_lost": len(verdict.act_now_lost),
        "false_light_safe": len(verdict.false_light_safe),
        "sure": verdict.sure,
    }


def _row(check: Check) -> dict[str, Any]:
    one = check.heard
    return {
        "at_ms": check.cue.at_ms,
        "meaning": check.cue.meaning,
        "act_now": is_act_now(check.cue.meaning),
        "state": check.state,
        "heard_as": one.meaning if one else None,
        "heard_ms": round(one.at_ms, 1) if one else None,
        "error_ms": round(check.error_ms, 1) if check.error_ms is not None else None,
        "margin_db": round(one.margin_db, 1) if one else None,
    }


def _print(verdict: Verdict) -> None:
    out = console()
    columns = [("At", "point"), ("Cue", "left"), ("Heard", "left"), ("In file", "right")]
    columns += [("Error, ms", "right"), ("Over noise, dB", "right")]
    out.print(Table(columns, map(_cells, verdict.checks)))
    out.print()
    for one in verdict.unplanned:
        out.print(
            f"Not planned: {one.meaning} at {_second(one.at_ms)} of the recording, "
            f"{one.margin_db:.0f} dB over the noise"
        )
    for sentence in _sentences(verdict):
        out.print(sentence)


def _cells(check: Check) -> list[str]:
    one = check.heard
    if one is None or check.error_ms is None:
        return [clock(check.cue.at_ms), check.cue.meaning, check.state, "", "", ""]
    word = "yes" if check.state == "heard" else f"as {one.meaning}"
    place = [clock(check.cue.at_ms), check.cue.meaning, word, _second(one.at_ms)]
    return [*place, f"{round(check.error_ms):+d}", f"{one.margin_db:.0f}"]


def _second(ms: float) -> str:
    return clock(whole_second(ms))


def _begins(offset_ms: float) -> str:
    """Which of the two began first."""
    seconds = f"{abs(offset_ms) / 1000:.1f} s"
    if offset_ms < 0:
        return f"The recording begins {seconds} into the plan."
    return f"The plan begins {seconds} into the recording."


def _sentences(verdict: Verdict) -> Iterator[str]:
    if verdict.line is None:
        yield "No cue of this plan was heard: another plan, another cue set, or too much noise."
        return
    states = [check.state for check in verdict.checks]
    count = {state: states.count(state) for state in ("heard", "missed", "mistaken", "outside")}
    yield (
        f"{count['heard']} cues heard, {count['missed']} missed, {count['mistaken']} mistaken, "
        f"{count['outside']} outside the recording, {len(verdict.unplanned)} not planned."
    )
    yield _begins(verdict.line.offset_ms)
    ms_an_hour = round(verdict.line.ppm * 3.6)
    yield f"The recorder's clock is off by {ms_an_hour:+d} ms an hour."
    for check in verdict.act_now_lost:
        yield f"Lost: {check.cue.meaning} at {clock(check.cue.at_ms)}, which asks for an act"
    for one in verdict.false_light_safe:
        yield f"False: light-safe at {_second(one.at_ms)} of the recording, where none is due"
    yield "Every cue that asks for an act can be heard." if verdict.sure else "Not safe to work by."
