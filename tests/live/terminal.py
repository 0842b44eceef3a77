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
        self._ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", rows, 80, 0, 0))
        self.process = subprocess.Popen(
            words,
            cwd=ROOT,
            env=environment,
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(theirs, termios.TIOCSCTTY, 0),
            **({"stdin": theirs, "stdout": theirs, "stderr": theirs} | streams),
        )
        os.close(theirs)
        self._closing = not reads
        self._chunks: list[bytes] = []
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        while not self._closing:
            try:
                ready, _, _ = select.select([self._ours], [], [], 0.05)
                chunk = os.read(self._ours, 4096) if ready else b""
            except OSError:
                return
            if ready and not chunk:
                return
            self._chunks.append(chunk)

    @property
    def written(self) -> bytes:
        """Everything so far."""
        return b"".join(self._chunks)

    def type(self, sent: bytes) -> None:
        """Sends what keys send."""
        os.write(self._ours, sent)

    def wait_for(self, text: bytes, limit_s: float = 20) -> None:
        """Until a text was written."""
        end = time.monotonic() + limit_s
        while text not in self.written:
            if time.monotonic() > end or self.process.poll() is not None:
                raise AssertionError(f"{text!r} never came, but {self.written[-2000:]!r}")
            time.sleep(0.02)

    def close(self) -> None:
        """The terminal goes away."""
        self._closing = True
        self._reader.join()
        os.close(self._ours)

    def ended(self, limit_s: float = 20) -> int:
        """Waits for the end and for the last byte; returns the exit status."""
        status = self.process.wait(limit_s)
        self._reader.join(2)
        return status

    def kill(self) -> None:
        """Ends it outright, if it still is there."""
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
