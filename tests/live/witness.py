"""How long a machine keeps everybody waiting: a test holds the program to its own time only."""

import threading
import time

_EVERY_S = 0.02
#: Any machine wakes somebody as late as this now and then.
_USUAL_S = 0.005


class Witness:
    """A thread that wants to wake fifty times a second, and adds up how much later it does.

    Who shares the machine with it is kept from running as long, more or less.
    """

    def __init__(self) -> None:
        self._late_s = 0.0
        threading.Thread(target=self._watch, daemon=True).start()

    @property
    def late_ms(self) -> float:
        """All of it until now; on a machine that has time, nothing."""
        return self._late_s * 1000

    def _watch(self) -> None:
        while True:
            due_s = time.monotonic() + _EVERY_S
            time.sleep(_EVERY_S)
            self._late_s += max(time.monotonic() - due_s - _USUAL_S, 0.0)
