"""``darktimer render``: a sound file to work by."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from darktimer.cli.options import (
    force_option,
    json_option,
    output_option,
    profile_option,
    with_plan,
)
from darktimer.pages.briefing import print_doubts_and_notes
from darktimer.prepare.prepared import Prepared
from darktimer.terminal.text import console, print_json, say
from darktimer.units import clock

if TYPE_CHECKING:  # loaded once a plan has compiled: faults are told sooner, and memory is spared
    from darktimer.cues.score import Score
    from darktimer.output.protocol import Progress


@click.command("render")
@with_plan
@output_option(
    "Where to write: .wav, .flac, .ogg, .opus or .mp3; if not named, PLAN's own name with .flac, "
    "in this folder.",
    required=False,
)
@profile_option
@click.option(
    "--rate",
    type=click.IntRange(8000, 192_000),
    help="Samples a second.  [default: 48000; as .mp3, .opus and .ogg 24000]",
)
@force_option
@json_option
def command(
    prepared: Prepared,
    target: Path | None,
    profile: str,
    rate: int | None,
    force: bool,
    as_json: bool,
) -> None:
    """Write a sound file that leads the hands through PLAN.

    Play it on anything that makes sound and shows no light. FLAC is a good choice: an hour takes
    seconds to write and about 120 MB; as WAV it takes 346 MB, as MP3 or Opus, which small players
    take, at most 15 MB.

    \b
    Example:
      darktimer render open-tub-half-agitation
      darktimer render my-plan.yaml -o a.mp3 --speaker sleepy
      darktimer render roll.yaml -o a.wav --lights-out-after 0
    """
    target = target or Path(f"{Path(prepared.file.document.source).stem}.flac")
    prepared = prepared.with_recipes()
    from darktimer.live.conductor import Conductor
    from darktimer.live.gates import Waits
    from darktimer.live.planning import performed

    # What leads a live run leads the file too, with nobody at its keys.
    led = performed(Conductor(prepared.timeline, prepared.cue_set, Waits.NOWHERE).state)
    from darktimer.cues.score import Score
    from darktimer.cues.speaker_profiles import SPEAKERS
    from darktimer.output.file import usual_rate, write_sound
    from darktimer.output.tags import Tags

    score = Score(led, prepared.cue_set, rate or usual_rate(target), SPEAKERS[profile])
    tags = Tags(prepared.timeline.title, _steps(prepared))
    with _progress() as progress:
        notes = write_sound(target, score, tags, force, progress)
    if as_json:
        print_json(_report(prepared, score, target, profile, notes))
    else:
        _print(prepared, target, (f"Speaker {profile} {SPEAKERS[profile].says}.", *notes))


def _steps(prepared: Prepared) -> str:
    return "\n".join(f"{clock(step.start_ms)} {step.name}" for step in prepared.timeline.steps)


def _report(
    prepared: Prepared, score: "Score", target: Path, profile: str, notes: tuple[str, ...]
) -> dict[str, object]:
    return {
        "file": str(target),
        "rate": score.rate,
        "frames": score.frames,
        "bytes": target.stat().st_size,
        "speaker": profile,
        "warnings": [asdict(warning) for warning in prepared.warnings()],
        "notes": [*notes, *prepared.remarks, *prepared.timeline.notes],
    }


def _print(prepared: Prepared, target: Path, notes: tuple[str, ...]) -> None:
    say(f"{target}: {clock(prepared.timeline.duration_ms)}, {prepared.timeline.title}")
    print_doubts_and_notes(prepared, notes)
    click.echo()
    say("Listen to it once in the light. Volume: start low. darktimer check shows cautions.")


@contextmanager
def _progress() -> Iterator["Progress | None"]:
    """A bar on the error stream where that is a terminal, nothing elsewhere."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.progress import Progress as Bar

    with Bar(console=console(err=True), transient=True) as bar:
        task = bar.add_task("Writing", total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
