"""Tracks in a general player, its *next* pressed where they wait, recorded and heard by the ear.

    python -m tests.benchmarks.played_tracks [--plan load-and-soak] [--format mp3] [--wait 40]

``mpv`` plays them without a screen to a null sink. Prints what ``darktimer listen`` says.
"""

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import soundfile

from tests.device.null_sink import RATE, Ear, Server
from tests.device.track_player import playing

_PLAN = """
title: Brief, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits: {lights out after: 5 s, loading: 10 s}
steps:
  - load: by hand
  - soak: 30 s
  - fix: 40 s
    clearing: 20 s
    agitation: stand
"""
_PROGRAM = [sys.executable, "-m", "darktimer"]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--plan")
    parser.add_argument("--format", default="mp3")
    parser.add_argument("--wait", type=float, default=40)
    given = parser.parse_args()
    with Server() as server, tempfile.TemporaryDirectory() as folder:
        _played(server, Path(folder), given)


def _played(server: Server, folder: Path, given: argparse.Namespace) -> None:
    plan, recording = given.plan or folder / "brief.yaml", folder / "heard.flac"
    (folder / "brief.yaml").write_text(_PLAN, encoding="utf-8")
    render = ["render", str(plan), "--tracks", str(folder / "tracks"), "--format", given.format]
    made = subprocess.run([*_PROGRAM, *render, "--json"], capture_output=True, check=True)
    ear = Ear(server)
    time.sleep(3)  # a sink that nobody listened to is ahead of its time
    with playing(folder / "tracks" / "playlist.m3u8", server.environment) as player:
        for wait_s in _waits(json.loads(made.stdout)["tracks"], given.wait):
            time.sleep(wait_s)
            player.press_next()
        player.process.wait()
    soundfile.write(recording, ear.heard().samples, RATE)
    listen = ["listen", str(recording), "--plan", str(plan), "--tracks"]
    subprocess.run([*_PROGRAM, *listen], check=False)


def _waits(tracks: list[dict[str, Any]], wait_s: float) -> Iterator[float]:
    """The seconds until each press of *next*, from the one before it on."""
    rest_s = 0.0
    for track in tracks:
        rest_s += track["plan_ms"] / 1000
        if track["wait_ms"]:
            yield rest_s + wait_s
            rest_s = 0.0


if __name__ == "__main__":
    main()
