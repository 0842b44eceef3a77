"""``darktimer cues``: a cue set as a table, as a sound file that plays each cue, or checked."""

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from textwrap import fill
from typing import Final

import click

from darktimer.cli.options import ShippedOrFile, force_option, json_option, output_option
from darktimer.cues.cue_set import CueSet
from darktimer.cues.margins import gaps_ms
from darktimer.cues.reader import load_cue_set
from darktimer.process.timeline import Cue, Step, Timeline
from darktimer.terminal.table import Table
from darktimer.terminal.text import console, print_json, print_list, say
from darktimer.units import seconds_clock

#: Between two cues of the demonstration, so that each is heard alone.
_APART_MS: Final = 1_500
#: How pulses are drawn, the shortest first; what is longer than all is drawn as the last.
_MARKS: Final = ".-=#"


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
        _check(cues, as_json)
        return
    played = list(_played(cues))
    notes = _write(cues, played, target, force) if target else ()
    marks = _marks(cues)
    rows = [_row(cues, cue, marks) for cue in played]
    if as_json:
        print_json({"name": cues.name, "rule": cues.rule, "cues": rows})
        return
    _print(cues, rows, marks, told_when=target is not None)
    if target:
        click.echo()
        say(f"{target}: plays each of these at its time. Volume: start low.")
    for note in notes:
        click.echo(note)


def _check(cues: CueSet, as_json: bool) -> None:
    """Every broken rule with the meanings that break it; ends with status 1 where there is one."""
    from darktimer.cues.rules import RULES, broken_rules

    broken = broken_rules(cues)
    if as_json:
        print_json({"name": cues.name, "broken": [each._asdict() for each in broken]})
    elif not broken:
        click.echo(f"{cues.name} keeps all {len(RULES)} rules")
    else:
        out = console()
        for rule in RULES:
            if found := [each for each in broken if each.rule == rule.asks]:
                asks = rule.asks[0].upper() + rule.asks[1:]
                print_list(asks, (f"{', '.join(b.meanings)}: {b.found}" for b in found))
                out.print(fill(f"Figure: {rule.source}.", out.width, subsequent_indent="  "))
    if broken:
        sys.exit(1)


def _print(
    cues: CueSet, rows: list[dict[str, str | int]], marks: Mapping[int, str], told_when: bool
) -> None:
    out = console()
    out.print(f"{cues.name}: {cues.rule}\n")
    columns = [("At", "right"), ("Cue", "left"), ("Rhythm", "left"), ("Means", "left")]
    keys = ["at", "meaning", "rhythm", "says"][0 if told_when else 1 :]
    out.print(Table(columns[-len(keys) :], [[str(row[key]) for key in keys] for row in rows]))
    lengths = [f"{mark} {_spoken(ms)}" for ms, mark in marks.items()]
    out.print(f"\nIn a rhythm: {', '.join(lengths)}; a space is a longer rest.")
    if cues.unsaid:
        out.print(f"This set has no sound for: {', '.join(sorted(cues.unsaid))}.")


def _spoken(length_ms: int) -> str:
    return f"{length_ms} ms" if length_ms < 1000 else f"{length_ms / 1000:g} s"


def _played(cues: CueSet) -> Iterator[Cue]:
    """Every cue in turn, each alone; of each counted family only a few."""
    at_ms = _APART_MS
    for meaning in cues.meanings():
        family, _, number = meaning.rpartition("-")
        if family in cues.counts and int(number) not in _few(cues.counts[family].numbers):
            continue
        yield Cue(at_ms, cues.length_ms(meaning), meaning, 0)
        at_ms += cues.length_ms(meaning) + _APART_MS


def _few(numbers: range) -> range:
    return numbers[:3] if len(numbers) <= 3 else numbers[1:13:5]


def _row(cues: CueSet, cue: Cue, marks: Mapping[int, str]) -> dict[str, str | int]:
    return {
        "at": seconds_clock(cue.at_ms),
        "at_ms": cue.at_ms,
        "length_ms": cue.length_ms,
        "meaning": cue.meaning,
        "says": cues.says(cue.meaning),
        "rhythm": _drawn(cues, cue.meaning, marks),
    }


def _marks(cues: CueSet) -> dict[int, str]:
    """A mark for each length of a pulse, in milliseconds, the shortest first."""
    lengths = {pulse.length_ms for one in cues.meanings() for pulse in cues.pulses(one)}
    return {ms: _MARKS[min(k, len(_MARKS) - 1)] for k, ms in enumerate(sorted(lengths))}


def _drawn(cues: CueSet, meaning: str, marks: Mapping[int, str]) -> str:
    """A mark for each pulse, and a space for a rest that is longer than the usual gap."""
    pulses = cues.pulses(meaning)
    rests = [" " if gap_ms > cues.gap_ms else "" for gap_ms in (0, *gaps_ms(pulses))]
    return "".join(rest + marks[pulse.length_ms] for rest, pulse in zip(rests, pulses, strict=True))


def _write(cues: CueSet, played: list[Cue], target: Path, force: bool) -> tuple[str, ...]:
    """Writes the demonstration as a timeline of its own."""
    from darktimer.cues.score import Score
    from darktimer.cues.speaker import SPEAKERS
    from darktimer.output.file import FileOutput

    last = played[-1]
    end_ms = last.at_ms + last.length_ms + _APART_MS
    step = Step(cues.name, "step", 0, end_ms, dark=False)
    timeline = Timeline(cues.name, end_ms, (step,), (), tuple(played), ())
    lines = [f"{seconds_clock(cue.at_ms)} {cues.says(cue.meaning)}" for cue in played]
    output = FileOutput(target, f"Cues: {cues.name}", "\n".join(lines), force)
    return output.play(Score(timeline, cues, 48_000, SPEAKERS["wired"]))
