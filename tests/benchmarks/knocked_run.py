"""One whole run in real time, led by knocks alone, and heard beside its own sounds.

    python -m tests.benchmarks.knocked_run [--minutes 10]

The bench is a sink of its own, whose monitor is the microphone; what the speaker plays is on it
too, about as loud as the knocks. Wherever the run waits, *go on* is knocked; between, *where am I*
at any moment. Prints how many were taken, in the quiet and over the program's own sounds; how late;
knocks that nobody knocked; what the program took of a core.
"""

import argparse
import os
import random
import tempfile
import time
from itertools import pairwise
from pathlib import Path

import numpy as np

from darktimer.journal.events import Event
from tests.device.bench import GO_ON, WHERE, Bench
from tests.device.null_sink import RATE, Ear, Server
from tests.live.dark_room import DarkRoom

_PLAN = """
title: Led by knocks, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits: {lights out after: 2 s, loading: 20 s}
steps:
  - load: by hand
  - develop: {minutes} min
    agitation: 1/2
  - rinse: 1 min
  - fix: 2 min
"""
_ANSWERED_S = 2.0
#: Quiet is asked for so long before the last knock and after it.
_ALONE_S = 1.6
_AFTER_S = 0.3
_BED = 200


class Knocker:
    """Knocks on a bench as a person does, and keeps the moment of each last knock."""

    def __init__(self, bench: Bench, ear: Ear, speaker: Ear) -> None:
        self.knocked: list[tuple[str, int]] = []
        self._bench = bench
        self._ear = ear
        self._speaker = speaker

    def knock(self, what: str, rests_s: tuple[float, ...]) -> None:
        """And keeps when the last of them was on the bench, on the monotonic clock."""
        self._bench.knock(rests_s)
        time.sleep(_AFTER_S)
        own = self._speaker.so_far().samples[-round((_ALONE_S + _AFTER_S) * RATE) :]
        what += ", over its own sounds" if np.abs(own.astype(int)).max() > _BED else ""
        heard = self._ear.so_far()
        since = max(0, len(heard.samples) - RATE)
        loud = np.flatnonzero(np.abs(heard.samples[since:].astype(int)) > 2_500)
        starts = loud[np.flatnonzero(np.diff(loud, prepend=-RATE) > RATE // 20)]
        self.knocked.append((what, heard.monotonic_ns(since + int(starts[-1])) // 1_000_000))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=int, default=10)
    minutes = parser.parse_args().minutes
    server = Server()
    server.add_device("bench", "pulse device bench.monitor")
    with server, tempfile.TemporaryDirectory() as folder:
        _run(server, Path(folder), minutes)


def _run(server: Server, folder: Path, minutes: int) -> None:
    plan = folder / "knocked.yaml"
    plan.write_text(_PLAN.replace("{minutes}", str(minutes)), encoding="utf-8")
    bench = Bench(server)
    server.tell("load-module", "module-loopback", "source=nullsink.monitor", "sink=bench")
    inputs = server.tell("list", "short", "sink-inputs").splitlines()
    server.tell("set-sink-input-volume", inputs[-1].split()[0], "60%")
    ears = Ear(server, "bench"), Ear(server)
    time.sleep(3)
    words = ("run", str(plan), "--gates", "--start-in", "1 s", "--knocks", "--microphone", "bench")
    room = DarkRoom(server, folder / "home", *words)
    room.wait_for(b"\x1b[?25l")
    began_s, knocker = time.monotonic(), Knocker(bench, *ears)
    _lead(room, knocker, began_s + minutes * 60 + 600)
    ticks = sum(map(int, Path(f"/proc/{room.process.pid}/stat").read_text().split()[13:15]))
    share = ticks / os.sysconf("SC_CLK_TCK") / (time.monotonic() - began_s)
    offset_ms = round(time.monotonic() * 1000) - room.session_ms()
    happened = room.happened()
    room.kill()
    bench.end()
    for ear in ears:
        ear.heard()
    _tell(knocker.knocked, happened, offset_ms, share)


def _lead(room: DarkRoom, knocker: Knocker, limit_s: float) -> None:
    """Knocks until light-safe was heard."""
    chance, next_s = random.Random(1), time.monotonic() + 20
    while not _last(happened := room.happened(), "light-safe"):
        if time.monotonic() > limit_s:
            raise SystemExit("the run did not end")
        waits = _last(happened, "hold") > max(_last(happened, "went on"), _last(happened, "go on"))
        asked = _last(happened, "confirm") > max(_last(happened, "went on"), 0)
        if waits or (asked and _last(happened, "go on") < _last(happened, "confirm")):
            knocker.knock("go on", GO_ON)
        elif time.monotonic() > next_s:
            knocker.knock("where am I", WHERE)
            next_s = time.monotonic() + chance.uniform(4, 20)
        time.sleep(_ANSWERED_S)


def _last(happened: list[Event], meaning: str) -> int:
    """When it was last; 0 for never."""
    return max((event.at_ms for event in happened if event.meaning == meaning), default=0)


def _tell(
    knocked: list[tuple[str, int]], happened: list[Event], offset_ms: int, share: float
) -> None:
    taken = [e for e in happened if e.kind == "key"]
    print("| asked by knocks | knocked | taken | median, s | worst, s |")
    print("|---|---|---|---|---|")
    left = list(taken)
    for what in sorted({asked for asked, _ in knocked}):
        late_ms = []
        moments = [at_ms - offset_ms for asked, at_ms in knocked if asked == what]
        for at_ms in moments:
            found = [e for e in left if 0 <= e.at_ms - at_ms < 1500 and what.startswith(_asks(e))]
            if found:
                left.remove(found[0])
                late_ms.append(found[0].at_ms - at_ms)
        middle = f"{np.median(late_ms) / 1000:.2f}" if late_ms else "-"
        worst = f"{max(late_ms) / 1000:.2f}" if late_ms else "-"
        print(f"| {what} | {len(moments)} | {len(late_ms)} | {middle} | {worst} |")
    print(f"knocks taken that nobody knocked: {[(e.at_ms, e.meaning) for e in left]}")
    gaps = [b.at_ms - a.at_ms for a, b in pairwise(e for e in happened if e.kind == "cue")]
    print(f"cues {len(gaps) + 1}, faults {sum(e.kind == 'fault' for e in happened)}")
    print(f"{share * 100:.1f} % of a core", flush=True)


def _asks(event: Event) -> str:
    return "go on" if event.meaning == "marked" else event.meaning


if __name__ == "__main__":
    main()
