"""Plays a sound's loud stretches one by one through simpleaudio, for who asks for it by name.

Coarser than a card: each stretch begins when the system gets round to it, some tens of milliseconds
late, never twice the same, and more on a busy machine; no bed keeps a speaker awake; a lost device
is noticed only by the crash of the process that plays. Errors do not add up, because each stretch
is started by the clock.
"""

import subprocess
import sys
import threading
from importlib.util import find_spec
from typing import Final

import numpy as np

from darktimer.cues.tone import BED_PEAK, Samples
from darktimer.errors import OutputError
from darktimer.output.clock import Clock
from darktimer.output.devices import Device
from darktimer.output.protocol import Sound
from darktimer.output.simple_child import HEAD
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


class SimplePlayer:
    """The system's default device; `Playing`. Raises `OutputError` where it cannot be used."""

    name = DEVICE.name
    buffer_ms = 0

    def __init__(self, sound: Sound, clock: Clock, begin_ns: int) -> None:
        if refused := unusable():
            raise refused
        self.first_frame: int | None = None
        self.heard_ns: int | None = None
        self._sound = sound
        self._clock = clock
        self._begin_ns = begin_ns
        self._step = frames(_STEP_MS, sound.rate)
        self._ended = threading.Event()
        self._scanned = 0
        self._began_ns = clock.monotonic_ns()
        self._child = _child()
        threading.Thread(target=self._run, name=self.name, daemon=True).start()

    @property
    def next_frame(self) -> int | None:
        return None if self.first_frame is None else self._scanned

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

    def excuse(self, now_ns: int) -> None:
        self._began_ns = now_ns

    def retire(self, limit_s: float = 0.0) -> None:
        self._ended.set()
        self._child.kill()

    def _due(self) -> int:
        return (self._clock.boot_ns() - self._begin_ns) * self._sound.rate // 1_000_000_000

    def _run(self) -> None:
        with self._child:
            try:
                self._try()
                while not self._ended.wait(_LOOK_S):
                    self._look()
            except OSError:  # it is gone, which shows
                pass
            finally:
                self._child.kill()

    def _try(self) -> None:
        assert self._child.stdout
        self._send(np.zeros(frames(_TRIAL_MS, self._sound.rate), np.int16))
        if not self._child.stdout.read(1):
            raise BrokenPipeError
        self.first_frame = self._scanned = max(self._due(), 0)

    def _look(self) -> None:
        """Looks a little ahead, and what is loud from there on goes to the child whole."""
        due = self._due()
        ahead = due + frames(_AHEAD_MS, self._sound.rate)
        if due - self._scanned > self._sound.rate:  # held up: what is long past is left out
            self._scanned = due
        while self._scanned < ahead:
            count = min(ahead - self._scanned, self._step)
            first = self._first_loud(self._scanned, count)
            if first is None:
                self._scanned += count
            else:
                self._send(self._stretch(min(first, self._due()), first))

    def _first_loud(self, start: int, count: int) -> int | None:
        loud = np.flatnonzero(_is_loud(self._sound.fill(start, count)))
        return start + int(loud[0]) if len(loud) else None

    def _stretch(self, start: int, first: int) -> Samples:
        """The samples from ``start`` until it has been quiet for one step after ``first``."""
        end = first + self._step
        while _is_loud(self._sound.fill(end, self._step)).any():
            end += self._step
        self._scanned = end
        return self._sound.fill(start, end - start)

    def _send(self, samples: Samples) -> None:
        assert self._child.stdin
        content = samples.astype("<i2").tobytes()
        self._child.stdin.write(HEAD.pack(self._sound.rate, len(content)) + content)
        self._child.stdin.flush()


def _is_loud(samples: Samples) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    loud: np.ndarray[tuple[int], np.dtype[np.bool_]] = (samples > BED_PEAK) | (samples < -BED_PEAK)
    return loud


def _child() -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "darktimer.output.simple_child"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        bufsize=0,
        start_new_session=True,
    )
