"""Writes a run's events into the journal, in a thread of its own.

A slow or full disk so holds up neither a key nor the sound. What could not be written is kept and
tried again until the run ends. Knows no plan.
"""

import threading
import time
from collections import deque
from typing import Any, Final

from darktimer.errors import DarktimerError
from darktimer.journal.events import FAULT, Event
from darktimer.journal.journal import Journal
from darktimer.journal.runs import ABORTED, FINISHED

_AGAIN_S: Final = 1.0
_LAST_CHANCE_S: Final = 5.0


class Scribe:
    """Keeps the events of one run; without a journal it keeps them to itself.

    ``troubles`` is what a person must be told, each once. Every write that succeeds is on the disk.
    """

    def __init__(self, journal: Journal | None, run: int = 0) -> None:
        self.troubles: list[str] = []
        self.run = run
        self._journal = journal
        self._waiting: deque[Event] = deque()
        self._news = threading.Condition()
        self._ending = False
        self._thread = threading.Thread(target=self._work, name="journal", daemon=True)
        if journal:
            self._thread.start()

    def write(self, event: Event) -> None:
        """Hands an event over; returns at once."""
        with self._news:
            self._waiting.append(event)
            self._news.notify()

    def finish(self, aborted: bool, exit_status: int) -> None:
        """Writes what is left and how the run ended; gives up after some seconds."""
        with self._news:
            self._ending = True
            self._news.notify()
        if self._journal:
            self._thread.join(_LAST_CHANCE_S)
            if self._waiting:
                self._complain(f"{len(self._waiting)} events could not be written down")
            self._try(self._journal.finish_run, ABORTED if aborted else FINISHED, exit_status)

    def _work(self) -> None:
        give_up = None
        while True:
            with self._news:
                self._news.wait_for(lambda: bool(self._waiting) or self._ending, timeout=60)
                events = list(self._waiting)
                if not events and self._ending:
                    return
                if self._ending:
                    give_up = give_up or time.monotonic() + _LAST_CHANCE_S
            if events and not self._keep(events):
                if give_up and time.monotonic() > give_up:
                    return
                time.sleep(_AGAIN_S)

    def _keep(self, events: list[Event]) -> bool:
        """All in one commit: on a slow disk they would else wait for one another.

        One by one where something among them can never be written; that is let go of.
        """
        assert self._journal is not None
        cause = self._try(self._journal.record, *events)
        if cause == "unwritable" and len(events) > 1:
            return all(self._keep([event]) for event in events)
        for _ in events if cause in ("", "unwritable") else ():
            self._waiting.popleft()
        return cause in ("", "unwritable")

    def _try(self, call: Any, *what: Any) -> str:
        """Why it could not be done; "" where it was."""
        try:
            call(self.run, *what)
        except DarktimerError as error:
            cause = getattr(error, "cause", "") or "unknown"
            if cause != "unwritable" or len(what) == 1:
                self._complain(str(error))
            return cause
        return ""

    def _complain(self, trouble: str) -> None:
        """Once; it is written down as well, for when there is room again."""
        if trouble in self.troubles:
            return
        self.troubles.append(trouble)
        at = self._waiting[0] if self._waiting else Event(0, 0, FAULT)
        self._waiting.append(
            Event(at.at_ms, at.wall_utc_ms, FAULT, "journal", detail={"found": trouble})
        )
