"""Writes a run's events into the journal, in a thread of its own: no disk holds up key or sound.

What could not be written is kept and tried again until the run ends.
"""

import threading
import time
from typing import Any, Final

from darktimer.errors import DarktimerError
from darktimer.journal.events import FAULT, Event
from darktimer.journal.journal import Journal
from darktimer.journal.runs import ABORTED, FINISHED

_AGAIN_S: Final = 1.0
_LAST_CHANCE_S: Final = 5.0


class JournalWriter:
    """The events of one run; without a journal they go nowhere. ``troubles``: each is told once."""

    def __init__(self, journal: Journal | None, run: int = 0) -> None:
        self.troubles: list[str] = []
        self.run = run
        self._journal = journal
        self._waiting: list[Event] = []
        self._news = threading.Event()
        self._ending = self._given_up = False
        self._thread = threading.Thread(target=self._work, name="journal", daemon=True)
        if journal:
            self._thread.start()

    def write(self, event: Event) -> None:
        """Hands an event over; returns at once."""
        self._waiting.append(event)
        self._news.set()

    def finish(self, aborted: bool, exit_status: int) -> None:
        """Writes what is left and how the run ended; gives up after some seconds."""
        self._ending = True
        self._news.set()
        if self._journal:
            self._thread.join(_LAST_CHANCE_S)
            self._given_up = True
            if self._waiting:
                self._complain(f"{len(self._waiting)} events could not be written down")
            self._try(self._journal.finish_run, ABORTED if aborted else FINISHED, exit_status)

    def _work(self) -> None:
        while not self._given_up and (self._waiting or not self._ending):
            if not self._waiting:
                self._news.wait()
                self._news.clear()
            elif not self._keep(self._waiting[:]):
                time.sleep(_AGAIN_S)

    def _keep(self, events: list[Event]) -> bool:
        """All in one commit, for slow disks; one by one where some can never be written."""
        assert self._journal is not None
        cause = self._try(self._journal.record, *events)
        if cause == "unwritable" and len(events) > 1:
            return all(self._keep([event]) for event in events)
        kept = cause in ("", "unwritable")
        if kept:
            del self._waiting[: len(events)]
        return kept

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
