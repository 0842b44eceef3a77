"""Signals that would end a program, taken as presses of a key.

Film does not stop developing when somebody ends a program. So a signal to end is taken for a key
that is pressed by accident: it is answered, and five of them within two seconds ask to abort. The
terminal's closing is noted and nothing more.
"""

import signal
from collections import deque
from typing import Any, Final

from darktimer.live.gestures import Key
from darktimer.live.keys import interrupt

_ENDINGS: Final = ("SIGINT", "SIGTERM", "SIGQUIT", "SIGBREAK")
_IGNORED: Final = ("SIGTSTP", "SIGTTIN", "SIGTTOU", "SIGPIPE", "SIGHUP")


class Signals:
    """In a ``with`` block, signals arrive here as keys; ``endings`` are those keys."""

    endings: Final = frozenset(interrupt(name) for name in _ENDINGS)

    def __init__(self) -> None:
        self._arrived: deque[Key] = deque()
        self._before: dict[int, Any] = {}

    def __enter__(self) -> "Signals":
        for name in _ENDINGS:
            if hasattr(signal, name):
                self._take(getattr(signal, name), self._note)
        for name in _IGNORED:
            if hasattr(signal, name):
                self._take(getattr(signal, name), signal.SIG_IGN)
        return self

    def __exit__(self, *_: Any) -> None:
        for number, handler in self._before.items():
            signal.signal(number, handler)

    def taken(self) -> list[Key]:
        """The keys that arrived as signals since the last call."""
        arrived = []
        while self._arrived:
            arrived.append(self._arrived.popleft())
        return arrived

    def _take(self, number: int, handler: Any) -> None:
        self._before[number] = signal.signal(number, handler)

    def _note(self, number: int, _frame: Any) -> None:
        self._arrived.append(interrupt(signal.Signals(number).name))
