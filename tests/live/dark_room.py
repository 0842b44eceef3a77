"""The program in a terminal of its own, on a sound server of its own: what is written, and when."""

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import threading
import time
from pathlib import Path

from darktimer.journal import Event, Journal
from tests.device.null_sink import Server
from tests.live.faulty import NO_SAMPLES, SLEPT_MS

ROOT = Path(__file__).parents[2]
BLACK = b"\x1b[?25l"
#: The window's edge black, another screen, black ink on black, empty, no cursor.
BLACK_FROM_THE_FIRST_BYTE = b"\x1b]11;#000000\x1b\\\x1b[?1049h\x1b[0;30;40m\x1b[2J\x1b[H" + BLACK

#: Seconds, so that a test takes no longer; every kind of cue that a run in the dark must not lose.
PLAN = """
title: Seconds, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits:
  {lights out after: 2 s, loading: 4 s, transfer: 3 s, drain: none, opening: none,
   warnings: none, countdown: 0, tally: none, heartbeat: none, agitation: continuous}
steps:
  - load: by hand
  - develop: {develop_s} s
  - fix: 9 s
    light after: 5 s
  - wash: 4 s
"""


def written_plan(folder: Path, develop_s: int = 26) -> tuple[Path, Path]:
    """The plan, and the shipped cue set with a light-safe cue that takes three seconds."""
    plan, sounds = folder / "seconds.yaml", folder / "quick.yaml"
    plan.write_text(PLAN.replace("{develop_s}", str(develop_s)))
    shipped = (ROOT / "sounds" / "standard.yaml").read_text()
    sounds.write_text(shipped.replace("vast: 2600 ms", "vast: 500 ms"))
    return plan, sounds


class DarkRoom:
    """One process of the program, and everything that it writes to its terminal.

    With a folder of ``faults``, `faulty` puts those in that the folder holds.
    """

    def __init__(
        self,
        server: Server,
        home: Path,
        *words: str,
        faults: Path | None = None,
        rows: int = 30,
    ) -> None:
        program = ["-m", "tests.live.faulty", str(faults)] if faults else ["-m", "darktimer"]
        self._home = home
        self._slept_ms = 0
        self._faults = faults
        self._ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", rows, 80, 0, 0))
        self.began = time.monotonic()
        self._process = subprocess.Popen(
            [sys.executable, *program, *words],
            cwd=ROOT,
            env=server.environment | {"DARKTIMER_HOME": str(home), "TERM": "xterm"},
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            start_new_session=True,
        )
        os.close(theirs)
        self._closing = False
        self._chunks: list[tuple[float, bytes]] = []
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
            self._chunks.append((time.monotonic(), chunk))

    @property
    def written(self) -> bytes:
        """Everything so far."""
        return b"".join(chunk for _, chunk in self._chunks)

    @property
    def since_black(self) -> bytes:
        """Everything after the terminal was made black."""
        return self.written.partition(BLACK)[2]

    def wait_for(self, text: bytes, limit_s: float = 20) -> None:
        """Until a text was written."""
        end = time.monotonic() + limit_s
        while text not in self.written:
            if time.monotonic() > end or self._process.poll() is not None:
                raise AssertionError(f"{text!r} never came, but {self.written[-2000:]!r}")
            time.sleep(0.02)

    def press(self, *keys: bytes) -> None:
        """Presses keys, a quarter of a second apart."""
        for key in keys:
            os.write(self._ours, key)
            time.sleep(0.25)

    def turn_pages(self, until: bytes) -> None:
        """Presses space at each page, once it is there, until a text was written."""
        turned, end = 0, time.monotonic() + 20
        while until not in self.written:
            assert time.monotonic() < end, self.written[-2000:]
            if self.written.count(b"Space to go on") > turned:
                turned += 1
                self.press(b" ")
            time.sleep(0.02)

    def signal(self, number: signal.Signals) -> None:
        """Sends the process a signal."""
        os.kill(self._process.pid, number)

    def close_terminal(self) -> None:
        """The terminal goes away."""
        self._closing = True
        self._reader.join()
        os.close(self._ours)

    def ended(self, limit_s: float = 20) -> int:
        """Waits for the end; returns the exit status."""
        status = self._process.wait(limit_s)
        self._reader.join(2)
        return status

    def kill(self) -> None:
        """Ends it outright, if it still is there."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait()

    def happened(self, run: int = 1) -> list[Event]:
        """What the journal has."""
        with Journal.open(self._home) as journal:
            return journal.events(run)

    def session_ms(self) -> int:
        """The moment of the session now, counted by the journal's own start of it."""
        with Journal.open(self._home) as journal:
            run = journal.run(1)
        now_ms = time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1_000_000
        return now_ms + self._slept_ms - (run.started.boot_ms or 0)

    def sleep(self, ms: int) -> None:
        """The machine has slept for so long, by its clocks."""
        assert self._faults
        (self._faults / "new").write_text(str(ms))
        (self._faults / "new").rename(self._faults / SLEPT_MS)
        self._slept_ms = ms

    def fail_for(self, seconds: float) -> None:
        """For so long no block of sound can be made."""
        assert self._faults
        (self._faults / NO_SAMPLES).touch()
        time.sleep(seconds)
        (self._faults / NO_SAMPLES).unlink()

    def wait_until(self, session_ms: int) -> None:
        """Until that moment."""
        time.sleep(max(0, session_ms - self.session_ms()) / 1000)
