"""The program, with faults that cannot be had from outside: each begins with a file of its name.

Run as: faulty.py FOLDER WORDS... While FOLDER holds ``no-samples``, no block of sound can be made;
what ``slept-ms`` says is how far the boot clock has run ahead, as after a machine's sleep.
"""

import sys
import threading
import time
from pathlib import Path

from darktimer.cli import main
from darktimer.cues.score import Score
from darktimer.output.clock import Clock

NO_SAMPLES, SLEPT_MS = "no-samples", "slept-ms"
_LOOKS_S = 0.02


class _Faults:
    """What is at fault now, read from the folder by a thread of its own."""

    def __init__(self, folder: Path) -> None:
        self.no_samples = False
        self.slept_ns = 0
        self._folder = folder
        self._look()
        threading.Thread(target=self._keep_looking, daemon=True).start()

    def _look(self) -> None:
        self.no_samples = (self._folder / NO_SAMPLES).exists()
        slept = self._folder / SLEPT_MS
        if slept.exists():
            self.slept_ns = int(slept.read_text() or 0) * 1_000_000

    def _keep_looking(self) -> None:
        while True:
            time.sleep(_LOOKS_S)
            self._look()


def _put_in(faults: _Faults) -> None:
    fill, boot_ns = Score.fill, Clock.boot_ns

    def failing(score, start, count):
        if faults.no_samples:
            raise RuntimeError("no samples")
        return fill(score, start, count)

    Score.fill = failing
    Clock.boot_ns = lambda clock: boot_ns(clock) + faults.slept_ns


if __name__ == "__main__":
    _put_in(_Faults(Path(sys.argv.pop(1))))
    main()
