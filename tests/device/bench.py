"""A bench that is knocked on: a second sink, whose monitor is a microphone called ``bench``.

A faint noise runs on it from first to last, as in any room; knocks are sums of damped modes with a
click at their beginning, like a knuckle on wood (made up; what a bench sounds like differs).
"""

import contextlib
import fcntl
import os
import subprocess
import threading
import time
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tests.device.null_sink import RATE, Server

#: The rests of each pattern, in seconds.
GO_ON, WHERE = (0.2, 0.2, 0.42), (0.42, 0.2, 0.2)
_BEFORE_S = 0.05
_BLOCK = RATE // 50
_PIPE_BYTES = 4096
_F_SETPIPE_SZ = 1031


def knuckle(seed: int = 1) -> NDArray[np.float64]:
    """One knock, its peak 1."""
    rng = np.random.default_rng(seed)
    seconds = np.arange(RATE // 8) / RATE
    hertz = np.exp(rng.uniform(np.log(300), np.log(7000), 16))
    waves = np.sin(2 * np.pi * np.outer(hertz, seconds) + rng.uniform(0, 6, 16)[:, None])
    decay_s = 0.015 * (hertz / 1000) ** -0.7
    level = (hertz / 500) ** -1.0
    wave = level @ (waves * np.exp(-seconds / decay_s[:, None]))
    click = RATE // 1000
    wave[:click] += 0.4 * np.abs(wave).max() * rng.standard_normal(click)
    return wave / np.abs(wave).max()


def knocked(rests_s: Sequence[float], peak: float = 0.1) -> NDArray[np.float64]:
    """Knocks with these rests, a moment of quiet before them and after."""
    moments = np.cumsum([_BEFORE_S, *rests_s])
    line = np.zeros(int((moments[-1] + 0.2) * RATE))
    wave = peak * knuckle()
    for at_s in moments:
        at = round(at_s * RATE)
        line[at : at + len(wave)] += wave[: len(line) - at]
    return line


class Bench:
    """Knocks are played at once, and known by the moments at which they were."""

    def __init__(self, server: Server, sink: str = "bench", noise: float = 0.0005) -> None:
        self._server = server
        self._sink = sink
        self._noise = noise
        self._coming = np.zeros(0)
        self._turn = threading.Lock()
        self._rng = np.random.default_rng(3)
        server.tell("load-module", *server.sink_words(sink))
        server.tell("set-default-sink", "nullsink")
        self._process = subprocess.Popen(
            [
                *("pacat", "-d", sink, "--raw", "--format=s16le", f"--rate={RATE}"),
                *("--channels=1", "--latency-msec=40"),
            ],
            env=server.environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        self._thread = threading.Thread(target=self._sound, daemon=True)
        self._thread.start()

    def knock(self, rests_s: Sequence[float]) -> None:
        """Knocks with these rests, from now on; returns when the last one sounds."""
        self.sound(knocked(rests_s))
        time.sleep(_BEFORE_S + sum(rests_s))

    def sound(self, line: NDArray[np.float64]) -> None:
        """Plays anything, from now on."""
        with self._turn:
            self._coming = line

    def mute(self, muted: bool) -> None:
        """The microphone gives zeros, or sound again."""
        self._server.tell("set-source-mute", f"{self._sink}.monitor", str(int(muted)))

    def end(self) -> None:
        """Nothing sounds there any more."""
        with self._process:
            self._process.kill()
            self._thread.join()

    def _sound(self) -> None:
        assert self._process.stdin
        pipe = self._process.stdin.fileno()
        fcntl.fcntl(pipe, _F_SETPIPE_SZ, _PIPE_BYTES)
        with contextlib.suppress(OSError):
            while True:
                os.write(pipe, self._block())

    def _block(self) -> bytes:
        with self._turn:
            now, self._coming = self._coming[:_BLOCK], self._coming[_BLOCK:]
        block = self._noise * self._rng.standard_normal(_BLOCK)
        block[: len(now)] += now
        return (np.clip(block, -1, 1) * 32_767).astype("<i2").tobytes()
