"""Looks for a speaker by name until one opens, without making anybody wait.

Each try runs in a thread of its own, because opening blocks for as long as a sound server is
frozen. While one hangs, the next name is tried.
"""

import threading
from collections.abc import Callable
from contextlib import suppress
from itertools import cycle
from typing import Final

from darktimer.errors import OutputError
from darktimer.output.card import Card, closing, turn
from darktimer.output.devices import RENDER_INSTEAD, Device, chosen, devices, look_again

_HANGS_MS: Final = 1500
_PAUSE_MS: Final = 100


class Search:
    """Tries ``names`` in turn, again and again; None is the system's default."""

    def __init__(self, names: tuple[str | None, ...], opened: Callable[[Device], Card]) -> None:
        self.fault: OutputError | None = None
        self._names = cycle(names)
        self._opened = opened
        self._untried = self._number = len(names)
        self._tried_ns = 0
        self._running: dict[str | None, threading.Thread] = {}
        self._found: list[Card] = []
        self._over = False
        self._lock = threading.Lock()

    @property
    def exhausted(self) -> bool:
        """Whether every name was tried and none of the tries is still running."""
        return not (self._untried > 0 or self._running or self._found)

    def poll(self, now_ns: int) -> Card | None:
        """The card that has opened since, if any; else sees that a try is running."""
        with self._lock:
            card = self._found.pop() if self._found else None
            self._over = card is not None
        if card is None and now_ns - self._tried_ns > self._wait_ms() * 1_000_000:
            self._try(now_ns)
        return card

    def restart(self) -> None:
        """A card was lost: the name after the one tried last has its turn first."""
        self._untried = self._number
        self.fault = None

    def stop(self) -> None:
        """Whatever opens from now on is closed again."""
        with self._lock:
            self._over = True
            found, self._found = self._found, []
        for card in found:
            card.retire()

    def _wait_ms(self) -> int:
        if self._running:
            return _HANGS_MS
        return 0 if self._untried > 0 else _PAUSE_MS

    def _try(self, now_ns: int) -> None:
        name = next(self._names)
        self._untried -= 1
        self._tried_ns = now_ns
        if name not in self._running:
            thread = threading.Thread(
                target=self._open, args=(name,), name="opening a speaker", daemon=True
            )
            self._running[name] = thread
            thread.start()

    def _open(self, name: str | None) -> None:
        try:
            self._take(self._first_or_afresh(name))
        except OutputError as error:
            self.fault = error
        except Exception as error:  # a thread that dies would write to the error stream
            self.fault = OutputError("speaker", repr(error), RENDER_INSTEAD)
        finally:
            del self._running[name]

    def _take(self, card: Card) -> None:
        with self._lock:
            if not self._over:
                self._found.append(card)
                return
        card.retire()

    def _first_or_afresh(self, name: str | None) -> Card:
        """The list of devices is as old as the library's start, so a failure reads it again."""
        with turn():
            with suppress(OutputError):
                return self._opened(chosen(name, devices()))
            if len(self._running) == 1 and not self._found and not closing():
                look_again()
            return self._opened(chosen(name, devices()))
