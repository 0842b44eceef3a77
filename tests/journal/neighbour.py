"""A process that does to journals what it is told, a line at a time, and answers each with a line.

``open FOLDER AT`` begins a run there at a moment, with an event, and says how many notices there
were.
``write FOLDER SECONDS`` keeps events one after another for so long and says how many.
``hold FOLDER`` opens a journal and keeps it; ``record`` writes an event into its unfinished run.
"""

import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from tests.journal.samples import cue, run_start

held: list[Journal] = []


def opened(folder: str, at: str) -> str:
    with TemporaryDirectory() as own:
        start = run_start(Path(own))
        while time.time() < float(at):
            pass
        with Journal.open(Path(folder)) as journal:
            journal.record(journal.begin_run(start), cue(1))
            return f"{len(journal.notices)}"


def write(folder: str, seconds: str) -> str:
    with Journal.open(Path(folder), patience_ms=500) as journal:
        found = journal.unfinished_run()
        assert found
        end, kept = time.monotonic() + float(seconds), 0
        while time.monotonic() < end:
            journal.record(found.number, cue(kept))
            kept += 1
        return f"{kept}"


def hold(folder: str) -> str:
    held.append(Journal.open(Path(folder)))
    found = held[0].unfinished_run()
    return f"{found.number if found else 0}"


def record(run: str, at_ms: str) -> str:
    held[0].record(int(run), cue(int(at_ms)))
    return "kept"


def main() -> None:
    print("ready", flush=True)
    for line in sys.stdin:
        what, *words = line.split()
        try:
            done = {"open": opened, "write": write, "hold": hold, "record": record}[what](*words)
        except JournalError as error:
            done = f"refused: {error}"
        print(done, flush=True)


if __name__ == "__main__":
    main()
