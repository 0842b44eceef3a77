"""The program in a terminal of its own, on a sound server of its own: what is written, and when."""

import os
import signal
import sys
import time
from pathlib import Path

from darktimer.journal.events import Event
from darktimer.journal.journal import Journal
from tests.device.null_sink import Server
from tests.live.faulty import NO_SAMPLES, SLEPT_MS
from tests.live.terminal import ROOT, Terminal

BLACK = b"\x1b[?25l"
#: The window's edge black, another screen, black ink on black, empty, no cursor.
BLACK_FROM_THE_FIRST_BYTE = b"\x1b]11;#000000\x1b\\\x1b[?1049h\x1b[0;30;40m\x1b[2J\x1b[H" + BLACK

#: Seconds, so that a test takes no longer; every kind of cue that a run in the dark must not lose.
PLAN = """
title: Seconds, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits:
  {lights out after: 2 s, loading: 4 s, transfer: 3 s, drain: none, opening: none,
   warnings: none, countdown: 0, tally: none, heartbeat: none, agitation: continuous,
   baths told by: signature}
steps:
  - load: by hand
  - develop: {develop_s} s
  - fix: 9 s
    light after: 5 s
  - wash: 4 s
"""


def written_plan(
    folder: Path, develop_s: int = 26, agitation: str = "continuous"
) -> tuple[Path, Path]:
    """The plan, and the shipped cue set with a light-safe cue that takes three seconds."""
    plan, sounds = folder / "seconds.yaml", folder / "quick.yaml"
    develop = f"{develop_s} s\n    agitation: {agitation}"
    plan.write_text(PLAN.replace("{develop_s} s", develop))
    shipped = (ROOT / "sounds" / "standard.yaml").read_text()
    sounds.write_text(shipped.replace("vast: 2600 ms", "vast: 500 ms"))
    return plan, sounds


class DarkRoom(Terminal):
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
        self._turned = 0
        self._faults = faults
        here = {"DARKTIMER_HOME": str(home), "TERM": "xterm"}
        words = (sys.executable, *program, *words)
        super().__init__(words, server.environment | here, rows)

    @property
    def since_black(self) -> bytes:
        """Everything after the terminal was made black."""
        return self.written.partition(BLACK)[2]

    def press(self, *keys: bytes) -> None:
        """Presses keys, a quarter of a second apart."""
        for key in keys:
            self.type(key)
            time.sleep(0.25)

    def turn_pages(self, until: bytes) -> None:
        """Presses space at each page, once it is there, until a text was written."""
        end = time.monotonic() + 60
        while until not in self.written:
            assert time.monotonic() < end, self.written[-2000:]
            if self.written.count(b"Space to go on, Ctrl-C to leave.") > self._turned:
                self._turned += 1
                self.type(b" ")
            time.sleep(0.02)

    def signal(self, number: signal.Signals) -> None:
        """Sends the process a signal."""
        os.kill(self.process.pid, number)

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

    def wait_for_cue(self, meaning: str, since_ms: int, limit_s: float = 15) -> None:
        """Until a cue of this meaning was heard whole, or for as long as is asked for."""
        end = time.monotonic() + limit_s
        while time.monotonic() < end:
            cues = [e for e in self.happened() if e.kind == "cue" and e.at_ms >= since_ms]
            if any(cue.meaning == meaning for cue in cues):
                return
            time.sleep(0.1)

    def sleep(self, ms: int) -> None:
        """The machine has slept for so long, by its clocks."""
        assert self._faults
        (self._faults / "new").write_text(str(ms))
        (self._faults / "new").rename(self._faults / SLEPT_MS)
        self._slept_ms = ms

    def sleep_until(self, session_ms: int) -> None:
        """The machine sleeps until that moment of the run, even one whose process is gone."""
        self.sleep(session_ms - self.session_ms() + self._slept_ms)

    def fail_for(self, seconds: float) -> None:
        """For so long no block of sound can be made."""
        assert self._faults
        (self._faults / NO_SAMPLES).touch()
        time.sleep(seconds)
        (self._faults / NO_SAMPLES).unlink()

    def wait_until(self, session_ms: int) -> None:
        """Until that moment."""
        time.sleep(max(0, session_ms - self.session_ms()) / 1000)
