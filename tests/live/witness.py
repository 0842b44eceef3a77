"""How long a machine keeps everybody waiting: a test holds the program to its own time only."""

import os
import threading
import time
from typing import Any, Final, Self

import pytest

_EVERY_S: Final = 0.02
#: Any machine wakes somebody as late as this now and then.
_USUAL_S: Final = 0.005
#: So many programs that want to run at once, for each core, are more than this suite brings.
_TOO_BUSY: Final = 3


def skip_if_too_busy() -> None:
    """Where others keep the machine so busy that a sound server misses cycles of its own."""
    waiting, cores = os.getloadavg()[0], os.cpu_count() or 1
    if waiting > _TOO_BUSY * cores:
        pytest.skip(f"{waiting:.0f} programs want to run at once on {cores} cores")


class Witness:
    """A thread that wants to wake fifty times a second, and adds up how much later it does.

    Who shares the machine with it is kept from running as long, more or less. A context.
    """

    def __init__(self) -> None:
        self._late_s = 0.0
        self._ended = threading.Event()  # waits whatever a test makes of `time.sleep`
        self._thread = threading.Thread(target=self._watch, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: Any) -> None:
        self._ended.set()
        self._thread.join()

    @property
    def late_ms(self) -> float:
        """All of it until now; on a machine that has time, nothing."""
        return self._late_s * 1000

    def _watch(self) -> None:
        due_s = time.monotonic() + _EVERY_S
        while not self._ended.wait(_EVERY_S):
            self._late_s += max(time.monotonic() - due_s - _USUAL_S, 0.0)
            due_s = time.monotonic() + _EVERY_S
