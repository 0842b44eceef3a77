"""Everything that was planned and did happen, kept so that a kill loses nothing that was heard."""

from darktimer.journal.clocks import Elapsed, Reading, elapsed, read_clocks
from darktimer.journal.events import Event
from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from darktimer.journal.runs import Run, RunStart
from darktimer.journal.start import about_to_start

__all__ = [
    "Elapsed",
    "Event",
    "Journal",
    "JournalError",
    "Reading",
    "Run",
    "RunStart",
    "about_to_start",
    "elapsed",
    "read_clocks",
]
