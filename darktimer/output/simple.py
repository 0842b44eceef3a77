"""Plays a sound's loud stretches one by one through simpleaudio, for who asks for it by name.

Each stretch begins some tens of milliseconds late, never twice the same, by the clock, so that
errors do not add up; no bed keeps a speaker awake; a lost device shows only by a crash.
"""

import subprocess
import sys
import threading
import time
from contextlib import suppress
from importlib.util import find_spec
from typing import Final

import numpy as np

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.output.clock import Clock
from darktimer.output.devices import Device
from darktimer.output.protocol import Sound, is_quiet
from darktimer.units import frames

DEVICE: Final = Device(-1, "simpleaudio", "coarse: some tens of ms late", 1, 48_000, False)

_LOOK_S: Final = 0.01
_STEP_MS: Final = 100
#: The head of what it plays may be swallowed, so each stretch begins with so much quiet.
_AHEAD_MS: Final = 150
#: Silence that it plays first, to show that it plays at all.
_TRIAL_MS: Final = 500
_TRIAL_ENDS_MS: Final = 3000


def unusable() -> OutputError | None:
    """Why it cannot be used on this Python, if so."""
    if sys.version_info >= (3, 12):
        reason, remedy = "it crashes on Python 3.12 and later", "run darktimer on Python 3.11"
    elif find_spec("simpleaudio") is None:
        reason, remedy = "it is not installed", "pip install 'darktimer[simpleaudio]'"
    else:
        return None
    return OutputError(DEVICE.name, reason, remedy)


def offered() -> tuple[Device, ...]:
    """What it adds to the speakers that can be chosen."""
    return () if unusable() else (DEVICE,)


class SimpleStream:
    """The default device, used as a `DeviceStream` is. Raises `OutputError` where it cannot be."""

    name = DEVICE.name
    buffer_ms = 0

    def __init__(self, sound: Sound, clock: Clock, begin_ns: int) -> None:
        if refused := unusable():
            raise refused
        self.first_frame: int | None = None
        self.next_frame: int | None = None
        self.heard_ns: int | None = None
        self._sound = sound
        self._clock = clock
        self._begin_ns = begin_ns
        self._began_ns = clock.monotonic_ns()
        self._child = subprocess.Popen(
            [sys.executable, "-m", "darktimer.output.simple_child", str(sound.rate)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            bufsize=0,
            start_new_session=True,
        )
        threading.Thread(target=self._run, name=self.name, daemon=True).start()

    @property
    def finished(self) -> bool:
        """Whether its process is gone; whether anything is heard it cannot tell."""
        return self._child.poll() is not None

    def tend(self, now_ns: int) -> str:
        if self.finished:
            return "it cannot play here, or its player has crashed"
        if self.first_frame is None and now_ns - self._began_ns > _TRIAL_ENDS_MS * 1_000_000:
            return "the device takes no sound"
        self.heard_ns = self._clock.boot_ns()
        return ""

    def proven(self, now_ns: int) -> bool:
        return self.first_frame is not None

    def close(self, limit_s: float = 0.0) -> None:
        self._child.kill()

    def _due(self) -> int:
        return (self._clock.boot_ns() - self._begin_ns) * self._sound.rate // 1_000_000_000

    def _run(self) -> None:
        """Silence first, which shows that it plays at all; then, a little ahead, what is loud."""
        assert self._child.stdout
        with self._child, suppress(OSError):  # that it is gone shows
            self._send(np.zeros(frames(_TRIAL_MS, self._sound.rate), np.int16))
            if self._child.stdout.read(1):
                self.first_frame = self.next_frame = max(self._due(), 0)
                while not self.finished:
                    self.next_frame = self._played(self._due(), self.next_frame)
                    time.sleep(_LOOK_S)

    def _played(self, due: int, start: int) -> int:
        """Sends what is loud from ``start`` on, each stretch whole; returns where that ends."""
        step, ahead = (frames(ms, self._sound.rate) for ms in (_STEP_MS, _AHEAD_MS))
        if due - start > self._sound.rate:  # held up: what is long past is left out
            start = due
        while start < due + ahead:
            end = start + step
            while not is_quiet(self._sound, end - step, step):
                end += step
            if end > start + step:
                begin = min(start, due)
                self._send(self._sound.fill(begin, end - begin))
            start = end
        return start

    def _send(self, samples: Samples) -> None:
        assert self._child.stdin
        content = samples.astype("<i2").tobytes()
        self._child.stdin.write(len(content).to_bytes(4, "little") + content)
