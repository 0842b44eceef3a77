"""Plays a sound's loud stretches one by one through simpleaudio, where PortAudio cannot be had.

Coarser than a speaker's stream, and says so: each stretch begins when the system gets round to it,
some tens of milliseconds late, never twice the same, and more on a busy machine; no bed keeps a
speaker awake; a lost device is noticed only by the crash of the player. Errors do not add up,
because each stretch is started by the clock.
"""

import subprocess
import sys
import threading
from collections import deque
from importlib.util import find_spec
from typing import Final

import numpy as np

from darktimer.cues.tone import BED_PEAK, Samples
from darktimer.errors import OutputError
from darktimer.output.clock import Clock
from darktimer.output.protocol import Sound
from darktimer.output.simple_child import HEAD
from darktimer.output.trouble import Kind, Trouble
from darktimer.units import frames

COARSE: Final = "simpleaudio begins each sound some tens of milliseconds late, not always as many"

_LOOK_S: Final = 0.01
_STEP_MS: Final = 100
#: The head of what it plays may be swallowed, so each stretch begins with so much quiet.
_AHEAD_MS: Final = 150


class SimpleStream:
    """One sound on the system's default device; has the face of a `SpeakerStream`."""

    buffer_ms = 0

    def __init__(self, sound: Sound, *, clock: Clock, begin_ns: int) -> None:
        self._sound = sound
        self._clock = clock
        self._begin_ns = begin_ns
        self._step = frames(_STEP_MS, sound.rate)
        self._trouble: deque[Trouble] = deque()
        self._player: subprocess.Popen[bytes] | None = None
        self._ended = threading.Event()
        self._lost_ms: int | None = None
        self._scanned = 0
        self._thread = threading.Thread(target=self._run, name="simple player", daemon=True)

    def start(self, *, patient: bool = False) -> None:
        """Starts the player, which sees to the sound. Raises `OutputError`."""
        if sys.version_info >= (3, 12):
            self._refuse("it crashes on Python 3.12 and later", "run darktimer on Python 3.11")
        if find_spec("simpleaudio") is None:
            self._refuse("it is not installed", "pip install 'darktimer[simpleaudio]'")
        self._scanned = max(self._due(), 0)
        self._player = _player()
        self._thread.start()

    def close(self) -> None:
        """Ends the sound at once."""
        self._ended.set()
        if self._thread.is_alive():
            self._thread.join(1)
        if self._player:
            _end(self._player)
        self._player = None

    def position_ms(self) -> int:
        """Session time now; negative before the beginning."""
        return (self._clock.boot_ns() - self._begin_ns) // 1_000_000

    def filled_ms(self) -> int:
        """Session time up to which the sound has been looked through."""
        return max(self.position_ms(), self._scanned * 1000 // self._sound.rate + 1)

    @property
    def playing(self) -> bool:
        """Whether the player is alive; whether anything is heard it cannot tell."""
        return self._player is not None and self._player.poll() is None

    def trouble(self) -> list[Trouble]:
        """Everything that went wrong, or right again, since the last call; in order."""
        return [self._trouble.popleft() for _ in range(len(self._trouble))]

    def _refuse(self, reason: str, mend: str) -> None:
        raise OutputError("simpleaudio", reason, mend)

    def _report(self, kind: Kind, gap_ms: int) -> None:
        self._trouble.append(Trouble(kind, self.position_ms(), "simpleaudio", gap_ms))

    def _due(self) -> int:
        return (self._clock.boot_ns() - self._begin_ns) * self._sound.rate // 1_000_000_000

    def _run(self) -> None:
        while not self._ended.wait(_LOOK_S):
            try:
                self._look()
            except OSError:
                self._lose()

    def _look(self) -> None:
        """Looks a little ahead, and what is loud from there on goes to the player whole."""
        if not self.playing:
            raise BrokenPipeError
        due = self._due()
        ahead = min(due + frames(_AHEAD_MS, self._sound.rate), self._sound.frames)
        if due - self._scanned > self._sound.rate:  # held up: what is long past is left out
            self._scanned = due
        while self._scanned < ahead:
            count = min(ahead - self._scanned, self._step)
            first = self._first_loud(self._scanned, count)
            if first is None:
                self._scanned += count
            else:
                self._send(self._stretch(min(first, self._due()), first))
        if self._lost_ms is not None:
            self._report("back", self.position_ms() - self._lost_ms)
            self._lost_ms = None

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
        assert self._player
        assert self._player.stdin
        content = samples.astype("<i2").tobytes()
        self._player.stdin.write(HEAD.pack(self._sound.rate, len(content)) + content)
        self._player.stdin.flush()

    def _lose(self) -> None:
        if self._lost_ms is None:
            self._lost_ms = self.position_ms()
            self._report("lost", 0)
        if self._player:
            _end(self._player)
        self._ended.wait(0.5)
        self._scanned = max(self._scanned, self._due())
        self._player = _player()


def _is_loud(samples: Samples) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    loud: np.ndarray[tuple[int], np.dtype[np.bool_]] = (samples > BED_PEAK) | (samples < -BED_PEAK)
    return loud


def _player() -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "darktimer.output.simple_child"],
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        bufsize=0,
        start_new_session=True,
    )


def _end(player: subprocess.Popen[bytes]) -> None:
    with player:
        player.kill()
