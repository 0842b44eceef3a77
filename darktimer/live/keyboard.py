"""What a person presses during a run: keys, and the signals that would end or stop a program.

Film does not stop developing when somebody ends a program. So a signal to end is taken for a key
pressed by accident: it is answered, and five of them within two seconds ask to abort. All others
that can be are ignored: nobody means them in the dark, and a shell would write a line about each.
"""

import signal
import time
from collections import deque
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final, Self

from darktimer.live.gestures import ENDINGS, Key

if TYPE_CHECKING:  # a run without them has no time for what they need
    from darktimer.live.knocks import Knocks

#: No more than this is read at a time, of bytes or codes, however much there is.
AT_ONCE: Final = 256
#: They end and stop nothing, and the system or a library counts on them.
_HARMLESS: Final = ("SIGCHLD", "SIGCONT", "SIGURG", "SIGWINCH")
#: A signal of a number alone, as those of real time are, has no name.
_NAMES: Final = {each.value: each.name for each in signal.Signals}


class Keyboard:
    """A context in which signals are keys; this one has no others. ``gone``: none will come.

    ``knocks`` on the bench are read with them.
    """

    gone = True
    knocks: "Knocks | None" = None

    def __init__(self) -> None:
        self._arrived: deque[Key] = deque()
        self._before: dict[int, Any] = {}

    def __enter__(self) -> Self:
        for number in map(int, signal.valid_signals()):
            name = _NAMES.get(number, "")
            handler = self._note if name in ENDINGS else signal.SIG_IGN
            with suppress(OSError, ValueError):  # some cannot be taken at all
                if name not in _HARMLESS:
                    before = signal.signal(number, handler)
                    self._before[number] = signal.SIG_DFL if before is None else before
        return self

    def __exit__(self, *_: Any) -> None:
        for number, handler in self._before.items():
            signal.signal(number, handler)

    @property
    def silent(self) -> bool:
        """Whether nobody can press or knock any more."""
        return self.gone and (self.knocks is None or self.knocks.gone)

    def read(self, wait_s: float) -> list[Key]:
        """The keys pressed since the last call; waits up to ``wait_s`` for the first."""
        if self.gone:
            time.sleep(wait_s)
        pressed = [] if self.gone else self._pressed(wait_s)
        knocked = self.knocks.read() if self.knocks else []
        return [*pressed, *knocked, *(self._arrived.popleft() for _ in range(len(self._arrived)))]

    def _pressed(self, wait_s: float) -> list[Key]:
        raise NotImplementedError

    def _note(self, number: int, _frame: Any) -> None:
        self._arrived.append(Key(_NAMES[number], False))
