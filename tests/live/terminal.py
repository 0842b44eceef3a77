"""A terminal of a program's own, and every byte that anybody writes to it."""

import fcntl
import os
import pty
import select
import struct
import subprocess
import termios
import threading
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]


class Terminal:
    """A program at a terminal of its own, as in a shell; ``streams`` may lead elsewhere."""

    def __init__(
        self,
        words: Sequence[str],
        environment: Mapping[str, str],
        rows: int = 30,
        reads: bool = True,
        **streams: Any,
    ) -> None:
        self.ours, theirs = pty.openpty()
        self._ends = [theirs, self.ours]  # held open as by a shell
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", rows, 80, 0, 0))
        self.process = subprocess.Popen(
            words,
            cwd=ROOT,
            env=environment,
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(theirs, termios.TIOCSCTTY, 0),
            **({"stdin": theirs, "stdout": theirs, "stderr": theirs} | streams),
        )
        self._closing = not reads
        self._chunks: list[bytes] = []
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        ready = [self.ours]
        while ready or not self._closing:
            ready, _, _ = select.select([self.ours], [], [], 0.05)
            if ready:
                self._chunks.append(os.read(self.ours, 4096))

    @property
    def written(self) -> bytes:
        """Everything so far."""
        return b"".join(self._chunks)

    def type(self, sent: bytes) -> None:
        """Sends what keys send."""
        os.write(self.ours, sent)

    def wait_for(self, text: bytes, limit_s: float = 20) -> None:
        """Until a text was written."""
        end = time.monotonic() + limit_s
        while text not in self.written:
            if time.monotonic() > end or self.process.poll() is not None:
                raise AssertionError(f"{text!r} never came, but {self.written[-2000:]!r}")
            time.sleep(0.02)

    def close(self) -> None:
        """The terminal goes away."""
        self._stop_reading()
        while self._ends:
            os.close(self._ends.pop())

    def _stop_reading(self) -> None:
        self._closing = True
        self._reader.join()

    def ended(self, limit_s: float = 20) -> int:
        """Waits for the end; returns the exit status."""
        status = self.process.wait(limit_s)
        self._stop_reading()
        return status

    def kill(self) -> None:
        """Ends it outright, if it still is there."""
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        self.close()
