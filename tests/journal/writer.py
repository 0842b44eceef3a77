"""A process that writes down events as fast as it can and says each that was kept.

Run as: writer.py FOLDER FIRST COUNT. It begins a run, or takes up the unfinished one.
"""

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from darktimer.journal.journal import Journal
from tests.journal.samples import cue, run_start


def main() -> None:
    folder, first, count = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    with TemporaryDirectory() as own, Journal.open(folder, patience_ms=20_000) as journal:
        found = journal.unfinished_run()
        run = found.number if found else journal.begin_run(run_start(Path(own)))
        for at_ms in range(first, first + count):
            journal.record(run, cue(at_ms))
            print(at_ms, flush=True)


if __name__ == "__main__":
    main()
