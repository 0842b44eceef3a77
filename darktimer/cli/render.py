"""``darktimer render``: a sound file to work by."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from itertools import starmap
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from darktimer.cli.options import (
    FilePath,
    WholeNumber,
    force_option,
    json_option,
    output_option,
    profile_option,
    with_plan,
)
from darktimer.pages.briefing import print_warnings_and_notes
from darktimer.prepare.prepared import Prepared
from darktimer.process.meanings import LIGHT_SAFE
from darktimer.process.timeline import Timeline
from darktimer.terminal.text import console, print_json, say
from darktimer.units import clock

if TYPE_CHECKING:  # loaded once a plan has compiled: faults are told sooner, and memory is spared
    from darktimer.live.tracks import Track
    from darktimer.output.album import AlbumTrack
    from darktimer.output.protocol import Progress


@click.command("render")
@with_plan
@output_option(
    "Where to write: .wav, .flac, .ogg, .opus or .mp3; if not named, PLAN's own name with .flac, "
    "in this folder.",
    required=False,
)
@click.option(
    "--tracks",
    "folder",
    metavar="FOLDER",
    type=FilePath(),
    help="Write a file for each stretch in which nothing may wait, and for loading one that waits, "
    'with a playlist: the player\'s own "next" is then "go on".',
)
@click.option(
    "--format",
    "ending",
    type=click.Choice(["mp3", "opus", "ogg", "flac", "wav"]),
    help="The format of --tracks.  [default: mp3]",
)
@click.option(
    "--gates",
    is_flag=True,
    help="With --tracks: wait at each transfer too, until the film is in.",
)
@profile_option
@click.option(
    "--rate",
    type=WholeNumber(8000, 192_000),
    help="Samples a second.  [default: 48000; as .mp3, .opus and .ogg 24000]",
)
@force_option
@json_option
def command(
    prepared: Prepared,
    target: Path | None,
    folder: Path | None,
    ending: str | None,
    gates: bool,
    **given: Any,
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
      darktimer render roll.yaml --tracks roll
    """
    if folder and target:
        raise click.UsageError("--tracks takes the place of --output: name one of them.")
    if not folder and (ending or gates):
        raise click.UsageError("--format and --gates belong to --tracks.")
    if folder:
        _tracks(prepared.with_recipes(), folder, f".{ending or 'mp3'}", gates, **given)
    else:
        target = target or Path(f"{Path(prepared.file.document.source).stem}.flac")
        _whole(prepared.with_recipes(), target, **given)


def _whole(
    prepared: Prepared, target: Path, profile: str, rate: int | None, force: bool, as_json: bool
) -> None:
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
    tags = Tags(prepared.timeline.title, _steps(prepared.timeline))
    with _progress() as progress:
        notes = write_sound(target, score, tags, force, progress)
    if as_json:
        report = {
            "file": str(target),
            "rate": score.rate,
            "frames": score.frames,
            "bytes": target.stat().st_size,
        }
        print_json(report | _report(prepared, profile, notes))
    else:
        line = f"{target}: {clock(prepared.timeline.duration_ms)}, {prepared.timeline.title}"
        _print(prepared, [line], profile, notes)


def _tracks(
    prepared: Prepared,
    folder: Path,
    ending: str,
    gates: bool,
    profile: str,
    rate: int | None,
    force: bool,
    as_json: bool,
) -> None:
    from darktimer.live.gates import Waits
    from darktimer.live.tracks import safe_by_hand, tracks
    from darktimer.output.album import PLAYLIST, names, write_album
    from darktimer.output.file import usual_rate

    rate = rate or usual_rate(Path(f"a{ending}"))
    waits = Waits.TRANSFERS if gates else Waits.LOADING
    cut = list(tracks(prepared.timeline, prepared.cue_set, waits))
    album = _album(prepared, cut, rate, profile)
    with _progress() as progress:
        notes = write_album(folder, album, ending, force, progress)
    if safe_by_hand(prepared.timeline):
        notes = (_SAFE_BY_HAND, *notes)
    files = list(zip(names(album, ending), cut, strict=True))
    if as_json:
        listed = [_track_json(name, track) for name, track in files]
        report = {"folder": str(folder), "playlist": PLAYLIST, "rate": rate, "tracks": listed}
        print_json(report | _report(prepared, profile, notes))
    else:
        length = clock(prepared.timeline.duration_ms) + " and the waiting" * (len(cut) > 1)
        head = f"{folder}: {length}, {prepared.timeline.title}"
        players = _players(cut, gates)
        _print(prepared, [head, *starmap(_track_line, files)], profile, (*players, *notes))


def _album(prepared: Prepared, cut: "list[Track]", rate: int, profile: str) -> "list[AlbumTrack]":
    from darktimer.cues.score import Score
    from darktimer.cues.speaker_profiles import SPEAKERS
    from darktimer.output.album import AlbumTrack
    from darktimer.output.tags import Tags

    return [
        AlbumTrack(
            Score(track.line, prepared.cue_set, rate, SPEAKERS[profile]),
            Tags(
                track.title,
                _steps(track.line, track.from_ms),
                prepared.timeline.title,
                number,
            ),
        )
        for number, track in enumerate(cut, 1)
    ]


def _track_json(name: str, track: "Track") -> dict[str, object]:
    lengths = {"plan_ms": track.plan_ms, "wait_ms": track.wait_ms}
    return {"file": name, "title": track.title, **lengths}


def _track_line(name: str, track: "Track") -> str:
    waits = f", then waits for {clock(track.wait_ms)}" if track.wait_ms else ""
    return f"  {name}: {clock(track.plan_ms)}{waits}"


def _players(cut: "list[Track]", gates: bool) -> Iterator[str]:
    """How to play the files, and what waits do to the plan."""
    if not any(track.wait_ms for track in cut):
        yield "Nothing in this plan waits for the hands, so it is one file."
        return
    safe = any(cue.meaning == LIGHT_SAFE for track in cut for cue in track.line.cues)
    yield (
        "Play the playlist, without shuffle or repeat. Where a file waits, the player's own next "
        "is go on, and its previous takes that back; some players want it twice, as the first only "
        "begins the same file again. After the time told it goes on by itself: then press previous"
        + safe * ", and believe light-safe only if the film was in every bath"
        + "."
    )
    adds = "the waiting and to each drain" if gates else "the waiting"
    yield f"A player's pause between two files, up to some seconds, adds to {adds}, and to no more."
    late = "all that follows, light-safe too" if safe else "all that follows"
    yield f"A moment told here is the plan's own: each wait puts off {late}."


_SAFE_BY_HAND: Final = (
    "No file here sounds light-safe: a player goes on by itself, and cannot know that the film is "
    "shut in. Turn on the light only when you have shut it in yourself."
)


def _steps(timeline: Timeline, from_ms: int = 0) -> str:
    steps = timeline.steps
    return "\n".join(f"{clock(max(0, step.start_ms - from_ms))} {step.name}" for step in steps)


def _report(prepared: Prepared, profile: str, notes: tuple[str, ...]) -> dict[str, object]:
    return {
        "speaker": profile,
        "warnings": [asdict(warning) for warning in prepared.warnings()],
        "notes": [*notes, *prepared.remarks, *prepared.timeline.notes],
    }


def _print(prepared: Prepared, lines: list[str], profile: str, notes: tuple[str, ...]) -> None:
    from darktimer.cues.speaker_profiles import SPEAKERS

    for line in lines:
        say(line, hang="     ")
    print_warnings_and_notes(prepared, (f"Speaker {profile} {SPEAKERS[profile].says}.", *notes))
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
