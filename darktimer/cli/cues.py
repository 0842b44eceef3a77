"""``darktimer cues``: the cue set as a table, or as a sound file that plays each cue."""

from collections.abc import Iterator
from pathlib import Path

import click

from darktimer.cli.options import ShippedOrFile, json_option
from darktimer.cli.page import console, print_json, table
from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.process.timeline import Cue, Step, Timeline
from darktimer.units import clock

#: Between two cues of the demonstration, so that each is heard alone.
_APART_MS = 1_500
#: One character of a drawn rhythm.
_DRAWN_MS = 100


@click.command("cues")
@click.argument("cue_set", metavar="[SET]", type=ShippedOrFile("sounds"), default="standard")
@click.option(
    "-o",
    "--output",
    "target",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Write a sound file that plays each cue in the order of the table.",
)
@click.option("--force", is_flag=True, help="Write over a file that exists.")
@json_option
def command(cue_set: str, target: Path | None, force: bool, as_json: bool) -> None:
    """Show what each cue of SET means and how its rhythm goes.

    In a rhythm, each # is a tenth of a second of sound and each . a tenth of quiet.

    \b
    Example:
      darktimer cues
      darktimer cues -o cues.wav
    """
    cues = load_cue_set(cue_set)
    played = list(_played(cues))
    notes = _write(cues, played, target, force) if target else ()
    rows = [_row(cues, cue) for cue in played]
    if as_json:
        print_json({"name": cues.name, "rule": cues.rule, "cues": rows})
        return
    out = console()
    out.print(f"{cues.name}: {cues.rule}\n")
    columns = [("At", "right"), ("Cue", "left"), ("Means", "left"), ("Rhythm", "left")]
    keys = ["at", "meaning", "says", "rhythm"] if target else ["meaning", "says", "rhythm"]
    cells = [[str(row[key]) for key in keys] for row in rows]
    out.print(table(columns[-len(keys) :], cells))
    for note in notes:
        out.print(note)


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


def _row(cues: CueSet, cue: Cue) -> dict[str, str | int]:
    return {
        "at": clock(cue.at_ms // 1000 * 1000),
        "at_ms": cue.at_ms,
        "length_ms": cue.length_ms,
        "meaning": cue.meaning,
        "says": cues.says(cue.meaning),
        "rhythm": _drawn(cues, cue.meaning),
    }


def _drawn(cues: CueSet, meaning: str) -> str:
    line, at_ms = "", 0
    for pulse in cues.pulses(meaning):
        line += "." * max(1, round((pulse.at_ms - at_ms) / _DRAWN_MS)) if line else ""
        line += "#" * max(1, round(pulse.length_ms / _DRAWN_MS))
        at_ms = pulse.at_ms + pulse.length_ms
    return line


def _write(cues: CueSet, played: list[Cue], target: Path, force: bool) -> tuple[str, ...]:
    """Writes the demonstration as a timeline of its own."""
    from darktimer.cues.score import Score
    from darktimer.cues.speaker import SPEAKERS
    from darktimer.output.file import FileOutput

    last = played[-1]
    end_ms = last.at_ms + last.length_ms + _APART_MS
    step = Step(cues.name, "step", 0, end_ms, dark=False)
    timeline = Timeline(cues.name, end_ms, (step,), (), tuple(played), ())
    lines = [f"{clock(cue.at_ms // 1000 * 1000)} {cues.says(cue.meaning)}" for cue in played]
    output = FileOutput(target, f"Cues: {cues.name}", "\n".join(lines), force)
    return output.play(Score(timeline, cues, 48_000, SPEAKERS["wired"]))
