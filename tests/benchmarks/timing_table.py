"""Measures a speaker's timing under loads, from a recording of a null sink, as a Markdown table.

    python -m tests.benchmarks.timing_table [--seconds 900] [--buffer-ms 500] [--load idle ...]

With SOUND_SERVER=pipewire in the environment on PipeWire, else on PulseAudio.

An onset is in its place if all onsets share the place of frame 0; "worst" is the largest distance
of any from it. "Against the clock" is how far the sound moved against the monotonic clock, from
one half-minute to another. Processor time is the playing process's, in percent of one core; with a
thread of its own as the load it says nothing.
"""

import argparse
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "device"))

from marks import EVERY_MS, find
from null_sink import RATE, Ear, Heard, Server, kind_of_server
from stage import Hogs, Player, measured

LOADS = {
    "idle": ([], 0),
    "4 hogs on all cores": ([], 4),
    "busy Python thread": (["--load", "busy"], 0),
    "thread of long C calls": (["--load", "calls"], 0),
    "all at once": (["--load", "busy", "--load", "calls"], 4),
    "listening to knocks": (["--microphone", "heard"], 0),
    "the same beside 4 hogs": (["--microphone", "heard"], 4),
}
_LEAD_S = 1.5


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=int, default=900)
    parser.add_argument("--buffer-ms", type=int, default=500)
    parser.add_argument("--call-ms", type=int, default=50, help="how long one C call takes alone")
    parser.add_argument("--load", choices=LOADS, action="append")
    asked = parser.parse_args()
    print("| load | onsets | lost | worst, samples | against the clock, ms | moved | CPU, % |")
    print("|---|---|---|---|---|---|---|", flush=True)
    server = kind_of_server()()
    server.add_device("heard", "pulse device nullsink.monitor")
    with server:
        for load in asked.load or LOADS:
            print(_row(server, load, asked), flush=True)


def _row(server: Server, load: str, asked: argparse.Namespace) -> str:
    options, hogs = LOADS[load]
    ear = Ear(server)
    time.sleep(2.5)
    hogging = Hogs(hogs)
    numbers = ["--buffer-ms", str(asked.buffer_ms), "--call-ms", str(asked.call_ms)]
    player = Player(server, "--seconds", str(asked.seconds), *numbers, *options)
    try:
        time.sleep(_LEAD_S + asked.seconds + 0.5)
        told = player.end()
    finally:
        player.kill()
        hogging.end()
    heard = ear.heard()
    found = measured(heard, player.begin_ns)
    moved = ", ".join(each["detail"].split(" on ")[0] for each in told["trouble"]) or "never"
    cpu = "-" if "--load" in options else f"{told['cpu'] * 100:.1f}"
    cells = (load, found.marks, found.lost, found.worst_frames, _against_clock(heard), moved, cpu)
    return f"| {' | '.join(map(str, cells))} |"


def _against_clock(heard: Heard) -> str:
    """The difference of the earliest and the latest half-minute."""
    found = find(heard.samples)
    frames, numbers = found.frames[::120], found.numbers[::120]
    places_ms = [
        heard.monotonic_ns(int(frame)) / 1e6 - int(number) * EVERY_MS
        for frame, number in zip(frames, numbers, strict=True)
        if frame + 3 * RATE < len(heard.samples)
    ]
    return f"{np.ptp(places_ms):.1f}"


if __name__ == "__main__":
    main()
