"""One whole run in real time, recorded from a null sink's monitor and heard by the ear.

    python -m tests.benchmarks.whole_run [--minutes 15]

A develop with half agitation, and a load, a rinse and a fix around it, as ``darktimer run`` plays
them in a terminal. Prints what ``darktimer listen`` says, and how many bytes of light there were.
"""

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import soundfile

from tests.device.null_sink import RATE, Ear, Server
from tests.live.dark_room import DarkRoom

_PLAN = """
title: Half moving, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits: {lights out after: 2 s, loading: 20 s}
steps:
  - load: by hand
  - develop: {minutes} min
    agitation: 1/2
  - rinse: 1 min
  - fix: 2 min
"""
_AROUND_S = 300


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=int, default=15)
    minutes = parser.parse_args().minutes
    with Server() as server, tempfile.TemporaryDirectory() as folder:
        _run(server, Path(folder), minutes)


def _run(server: Server, folder: Path, minutes: int) -> None:
    plan, recording = folder / "half.yaml", folder / "heard.flac"
    plan.write_text(_PLAN.replace("{minutes}", str(minutes)), encoding="utf-8")
    ear = Ear(server)
    time.sleep(3)  # a sink that nobody listened to is ahead of its time
    room = DarkRoom(server, folder / "home", "run", str(plan), "--no-gates", "--start-in", "1 s")
    room.wait_for(b"\x1b[?25l")
    lit = len(room.written)
    limit = time.monotonic() + minutes * 60 + _AROUND_S
    while not any(event.meaning == "end" for event in room.happened()):
        if time.monotonic() > limit:
            raise SystemExit("the run did not end")
        time.sleep(2)
    time.sleep(3)
    print(f"bytes of light: {len(room.written) - lit}", flush=True)
    room.kill()
    soundfile.write(recording, ear.heard().samples, RATE)
    listen = [sys.executable, "-m", "darktimer", "listen", str(recording), "--plan", str(plan)]
    subprocess.run(listen, check=False)


if __name__ == "__main__":
    main()
