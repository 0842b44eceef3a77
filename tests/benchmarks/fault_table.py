"""Measures what faults do to the sound, on PulseAudio or PipeWire, as a Markdown table.

    python -m tests.benchmarks.fault_table [--server pipewire] [--fault NAME ...] [--buffer-ms 500]

Each fault once, in ten to fifteen seconds: marks are played by a process of its own and recorded
from a null sink. "Back after" is from the fault's end to the first moment heard again, by what the
player tells. "Out of place" is against the marks before the fault.
PipeWire is installed by: apt install pipewire pipewire-pulse wireplumber
"""

import argparse
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "device"))

from marks import EVERY_MS, find
from null_sink import Ear, Server, kind_of_server
from stage import Hogs, Player

_BEFORE_S, _AFTER_S = 3.5, 8.0


class Fault(NamedTuple):
    """What is done to a server or a player, and how it ends."""

    begin: Callable[[Server, Player], None]
    lasts_s: float
    end: Callable[[Server, Player], None]


def _nothing(server: Server, player: Player) -> None: ...


FAULTS = {
    "server killed and restarted": Fault(
        lambda server, _: server.kill(), 0.8, lambda server, _: server.start()
    ),
    "sinks removed, one returned": Fault(
        lambda server, _: (server.remove_sink("spare"), server.remove_sink("nullsink")),
        1.5,
        lambda server, _: server.return_sink("nullsink"),
    ),
    "sink suspended": Fault(
        lambda server, _: server.tell("suspend-sink", "nullsink", "1"),
        3,
        lambda server, _: server.tell("suspend-sink", "nullsink", "0"),
    ),
    "process stopped 3 s": Fault(
        lambda _, player: player.stop(), 3, lambda _, player: player.go_on()
    ),
    "server frozen 3 s, thawed": Fault(
        lambda server, _: server.freeze(), 3, lambda server, _: server.thaw()
    ),
    "server frozen 50 ms": Fault(
        lambda server, _: server.freeze(), 0.05, lambda server, _: server.thaw()
    ),
    "4 hogs for 5 s": Fault(_nothing, 5, _nothing),
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--server", choices=("pulseaudio", "pipewire"), default="pulseaudio")
    parser.add_argument("--fault", choices=FAULTS, action="append")
    parser.add_argument("--buffer-ms", type=int, default=500)
    asked = parser.parse_args()
    os.environ["SOUND_SERVER"] = asked.server
    if program := kind_of_server().missing():
        raise SystemExit(f"{program} is not installed")
    print("| fault | back after, s | out of place, ms: at first, at most, in the end | told |")
    print("|---|---|---|---|", flush=True)
    for name in asked.fault or FAULTS:
        print(f"| {name} | {' | '.join(_measured(name, asked.buffer_ms))} |", flush=True)


def _measured(name: str, buffer_ms: int) -> tuple[str, str, str]:
    server, fault = kind_of_server()(short=True), FAULTS[name]
    server.start()
    ears = [Ear(server)]
    time.sleep(1)
    player = Player(server, "--buffer-ms", str(buffer_ms))
    hogs = Hogs(4 if "hogs" in name else 0)
    try:
        time.sleep(_BEFORE_S)
        fault.begin(server, player)
        time.sleep(fault.lasts_s)
        fault.end(server, player)
        ended_ms = (time.monotonic_ns() - player.begin_ns) / 1e6
        hogs.end()
        ears.append(Ear(server))  # the first may have gone with its server or sink
        time.sleep(_AFTER_S)
        told = player.end()["trouble"]
        before, again = (_late_ms(ear, player) for ear in ears)
    finally:
        player.kill()
        server.end()
    return _back(told, ended_ms), _places(before, again, ended_ms), _kinds(told)


def _late_ms(ear: Ear, player: Player) -> dict[int, float]:
    heard = ear.heard()
    found = find(heard.samples)
    return {
        number: (heard.monotonic_ns(frame) - player.begin_ns) / 1e6 - number * EVERY_MS
        for number, frame in zip(found.numbers.tolist(), found.frames.tolist(), strict=True)
    }


def _back(told: list[dict[str, str | int]], ended_ms: float) -> str:
    again = [each["at_ms"] for each in told if each["kind"] in ("back", "stalled")]
    after = next((at - ended_ms for at in again if at > ended_ms - 100), None)
    return "never away" if after is None else f"{after / 1000:.2f}"


def _places(before: dict[int, float], again: dict[int, float], ended_ms: float) -> str:
    usual = np.median([late for n, late in before.items() if n * EVERY_MS < _BEFORE_S * 500])
    off = [late - usual for n, late in again.items() if n * EVERY_MS > ended_ms]
    if not off:
        return "nothing heard"
    return f"{off[0]:.1f}, {max(off, key=abs):.1f}, {off[-1]:.1f}"


def _kinds(told: list[dict[str, str | int]]) -> str:
    return ", ".join(str(each["kind"]) for each in told) or "nothing"


if __name__ == "__main__":
    main()
