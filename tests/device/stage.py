"""Players and loads in processes of their own, and what is to be measured of a recording."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from marks import EVERY_MS, Found, find
from null_sink import RATE, Heard, Server

_PLAYER = Path(__file__).parent / "player.py"


class Player:
    """Plays marks on a server's speaker until it is ended; ``told`` is its report then."""

    def __init__(self, server: Server, *options: str) -> None:
        self._process = subprocess.Popen(
            [sys.executable, str(_PLAYER), *options],
            env=server.environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            start_new_session=True,
        )
        self.told = self._line()
        self.begin_ns: int = self.told.get("begin_ns", 0)

    def _line(self) -> dict[str, Any]:
        assert self._process.stdout
        told: dict[str, Any] = json.loads(self._process.stdout.readline())
        return told

    def stop(self) -> None:
        os.kill(self._process.pid, signal.SIGSTOP)

    def go_on(self) -> None:
        os.kill(self._process.pid, signal.SIGCONT)

    def end(self, limit_s: float = 10) -> dict[str, Any]:
        """Ends it and returns its report; raises `subprocess.TimeoutExpired` if it hangs."""
        assert self._process.stdin
        self._process.stdin.close()
        self.told |= self._line()
        self._process.wait(limit_s)
        return self.told

    def kill(self) -> None:
        with self._process:
            self._process.kill()


#: Ends by itself when nobody is left to end it.
_HOG = "import os\nparent = os.getppid()\nwhile os.getppid() == parent: pass"


class Hogs:
    """Processes that each take what they can get of a processor."""

    def __init__(self, number: int) -> None:
        busy = [sys.executable, "-c", _HOG]
        self._processes = [subprocess.Popen(busy, start_new_session=True) for _ in range(number)]

    def end(self) -> None:
        for process in self._processes:
            process.kill()
            process.wait()


class Measured(NamedTuple):
    """How marks were heard: all they share is the place of mark 0 in the recording.

    ``worst_frames`` is the largest distance of any from its place, ``off`` the marks that are out
    of it, each with its distance, ``lost`` how many of those between the first and the last were
    not heard, ``latency_ms`` how late the sound is as a whole.
    """

    marks: int
    lost: int
    worst_frames: int
    latency_ms: float
    off: dict[int, int]


def offsets(found: Found) -> np.ndarray:
    """Where mark 0 would be by each of the marks, in frames of the recording."""
    return found.frames - found.numbers * (EVERY_MS * RATE // 1000)


def measured(heard: Heard, begin_ns: int) -> Measured:
    found = find(heard.samples)
    places = offsets(found)
    constant = int(np.median(places))
    span = int(found.numbers[-1] - found.numbers[0]) + 1
    middle = len(places) // 2
    number, frame = int(found.numbers[middle]), int(found.frames[middle])
    late_ns = heard.monotonic_ns(frame) - begin_ns - number * EVERY_MS * 1_000_000
    return Measured(
        len(places),
        span - len(np.unique(found.numbers)),
        int(np.abs(places - constant).max()),
        late_ns / 1e6,
        {int(n): int(by) for n, by in zip(found.numbers, places - constant, strict=True) if by},
    )
