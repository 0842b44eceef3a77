"""Looks for a speaker by name until one opens, without making anybody wait.

Opening blocks for as long as a sound server is frozen: each try has a thread of its own.
"""

import threading
from collections.abc import Callable
from contextlib import suppress
from itertools import cycle
from typing import Final, NamedTuple

from darktimer.errors import OutputError
from darktimer.output.device_stream import DeviceStream
from darktimer.output.devices import RENDER_INSTEAD, Device, chosen
from darktimer.output.portaudio import listed, look_again, turn
from darktimer.output.simple import DEVICE as SIMPLE
from darktimer.output.simple import SimpleStream, offered

Playing = DeviceStream | SimpleStream

_HANGS_MS: Final = 1500
_PAUSE_MS: Final = 100


def meant(name: str | None) -> Device:
    """The speaker that a name means, of those that were last listed. Raises `OutputError`."""
    if name and name.casefold() == SIMPLE.name:
        return SIMPLE
    return chosen(name, listed())


def speakers() -> tuple[Device, ...]:
    """All that can be chosen by name. Raises `OutputError` where sound cannot be had at all."""
    try:
        return (*listed(), *offered())
    except OutputError:
        if offered():
            return offered()
        raise


class Tried(NamedTuple):
    """What came of a try to open the speaker of that name: one of the two."""

    name: str | None
    stream: Playing | None
    fault: OutputError | None


class Search:
    """Tries ``names`` in turn, again and again; None is the system's default.

    All but the tries themselves belongs to one thread. ``hand_over`` is called from others.
    """

    def __init__(
        self,
        names: tuple[str | None, ...],
        opened: Callable[[Device], Playing],
        hand_over: Callable[[Tried], None],
    ) -> None:
        self.running: set[str | None] = set()
        self.fault: OutputError | None = None
        self._stale = False
        self._names = cycle(names)
        self._opened = opened
        self._hand_over = hand_over
        self._untried = self._number = len(names)
        self._tried_ns: int | None = None

    @property
    def exhausted(self) -> bool:
        """Whether every name was tried and none of the tries is still running."""
        return self._untried <= 0 and not self.running

    def look(self, now_ns: int) -> None:
        """Sees that a try is running."""
        wait_ms = _HANGS_MS if self.running else _PAUSE_MS * (self._untried <= 0)
        if self._tried_ns is not None and now_ns - self._tried_ns <= wait_ms * 1_000_000:
            return
        name = next(self._names)
        self._untried -= 1
        self._tried_ns = now_ns
        if name not in self.running:
            self.running.add(name)
            threading.Thread(target=self._open, args=(name,), daemon=True).start()

    def take(self, tried: Tried) -> None:
        """A try has been handed over."""
        self.running.discard(tried.name)
        self.fault = tried.fault or self.fault

    def refuse(self, fault: OutputError) -> None:
        """What was opened is of no use: perhaps the list is old, and what was meant is back."""
        self.fault = fault
        self._stale = True

    def restart(self) -> None:
        """A speaker was lost: the name after the one tried last has its turn first."""
        self._untried = self._number
        self.fault = None

    def _open(self, name: str | None) -> None:
        try:
            done = Tried(name, self._first_or_afresh(name), None)
        except OutputError as error:
            done = Tried(name, None, error)
        except Exception as error:  # a thread that dies would write to the error stream
            done = Tried(name, None, OutputError("speaker", repr(error), RENDER_INSTEAD))
        self._hand_over(done)

    def _first_or_afresh(self, name: str | None) -> Playing:
        """The list of devices is as old as the library's start, so a failure reads it again."""
        with turn() as ours:
            if not self._stale:
                with suppress(OutputError):
                    return self._opened(meant(name))
            self._stale = not look_again(ours)
            return self._opened(meant(name))
