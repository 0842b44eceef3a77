"""Signals that would end or stop a program: a press of a key, or nothing.

Film does not stop developing when somebody ends a program. So a signal to end is taken for a key
that is pressed by accident: it is answered, and five of them within two seconds ask to abort. All
others that can be are ignored: nobody means them in the dark, and a shell would write a line about
each. The terminal's closing is noted elsewhere.
"""

import signal
from collections import deque
from contextlib import suppress
from typing import Any, Final

from darktimer.live.gestures import Key

_ENDINGS: Final = ("SIGINT", "SIGTERM", "SIGQUIT", "SIGBREAK")
#: They end and stop nothing, and the system or a library counts on them.
_HARMLESS: Final = ("SIGCHLD", "SIGCONT", "SIGURG", "SIGWINCH")
#: A signal of a number alone, as those of real time are, has no name.
_NAMES: Final = {each.value: each.name for each in signal.Signals}


class Signals:
    """In a ``with`` block, signals arrive here as keys; ``endings`` are those keys.

    A real `SIGSEGV` and its like, which no program can ignore, end it all the same.
    """

    endings: Final = frozenset(Key(name, False) for name in _ENDINGS)

    def __init__(self) -> None:
        self._arrived: deque[Key] = deque()
        self._before: dict[int, Any] = {}

    def __enter__(self) -> "Signals":
        for number in map(int, signal.valid_signals()):
            name = _NAMES.get(number, "")
            if name not in _HARMLESS:
                self._take(number, self._note if name in _ENDINGS else signal.SIG_IGN)
        return self

    def __exit__(self, *_: Any) -> None:
        for number, handler in self._before.items():
            signal.signal(number, handler)

    def taken(self) -> list[Key]:
        """The keys that arrived as signals since the last call."""
        return [self._arrived.popleft() for _ in range(len(self._arrived))]

    def _take(self, number: int, handler: Any) -> None:
        with suppress(OSError, ValueError):  # some cannot be taken at all
            before = signal.signal(number, handler)
            self._before[number] = signal.SIG_DFL if before is None else before

    def _note(self, number: int, _frame: Any) -> None:
        self._arrived.append(Key(_NAMES[number], False))
