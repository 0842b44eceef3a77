"""How long the journal takes: a commit, and each question put to 10,000 runs beside an empty one.

Run as: python -m tests.benchmarks.journal_speed [RUNS] [EVENTS A RUN]
"""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory

from darktimer.journal import Journal
from darktimer.journal.exchange import export_json_lines
from darktimer.journal.listing import latest, search
from darktimer.journal.results import Result, add_result
from darktimer.journal.review import review
from tests.journal.samples import PLAN, cue, run_start

QUESTIONS = (
    ("journal",),
    ("journal", "--all", "--json"),
    ("journal", "1"),
    ("journal", "search", "nettle", "anchovy"),
    ("baths",),
)


def milliseconds(work: Callable[[], object], times: int = 5) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - start))
    return median(taken)


def fill(folder: Path, runs: int, events: int) -> None:
    """Two real runs, of two plans, then copies of them in one transaction, with a few faults."""
    with Journal.open(folder) as journal:
        for text in (PLAN, PLAN.replace("10 min", "8 min")):
            journal.begin_run(run_start(folder, text))
        add_result(journal, 1, Result(density=1, notes="invented"))
        names = [row[1] for row in journal.store.read("PRAGMA table_info(runs)")][2:]
        columns = ", ".join(names)
        with journal.store.writing() as connection:
            connection.executemany(
                f"INSERT INTO runs (key, {columns}) SELECT ?, {columns} FROM runs WHERE number = ?",
                ((f"copy-{n}", 1 + n % 2) for n in range(runs - 2)),
            )
            connection.execute("UPDATE runs SET state = 'finished'")
            kinds = ["cue"] * (events - 3) + ["fault", "key", "note"]
            connection.executemany(
                "INSERT INTO events VALUES (?, ?, ?, 0, ?, 'marked', 2, NULL, '')",
                ((run, n + 1, 1000 * n, kind)
                 for run in range(1, runs + 1) for n, kind in enumerate(kinds)),
            )  # fmt: skip


def commits(folder: Path) -> str:
    with Journal.open(folder) as journal:
        run = journal.begin_run(run_start(folder))
        taken = []
        for at_ms in range(200):
            start = time.perf_counter()
            journal.record(run, cue(at_ms))
            taken.append(1000 * (time.perf_counter() - start))
    ninety_ninth = quantiles(taken, n=100)[98]
    return f"{median(taken):.1f} ms median, {ninety_ninth:.1f} ms 99th, {max(taken):.1f} ms worst"


def command(folder: Path, words: tuple[str, ...]) -> float:
    def ask() -> None:
        subprocess.run(
            [sys.executable, "-m", "darktimer", *words],
            env={**os.environ, "DARKTIMER_HOME": str(folder)},
            capture_output=True,
            check=False,
        )

    return milliseconds(ask, 3)


def main() -> None:
    runs, events = (int(word) for word in (sys.argv[1:] + ["10000", "200"][len(sys.argv) - 1 :]))
    with TemporaryDirectory(dir=".") as folder:
        full, empty = Path(folder) / "full", Path(folder) / "empty"
        Journal.open(empty).close()
        fill(full, runs, events)
        size = sum(file.stat().st_size for file in full.iterdir()) / 1e6
        print(f"{runs} runs of {events} events, {size:.0f} MB")
        print(f"one event kept, synced: {commits(full)}")
        with Journal.open(full) as journal:
            for name, work in (
                ("open", lambda: Journal.open(full).close()),
                ("latest 20", lambda: latest(journal, 20)),
                ("all", lambda: latest(journal)),
                ("search", lambda: search(journal, ["nettle", "anchovy"])),
                ("one in full", lambda: review(journal, 1)),
                ("unfinished", journal.unfinished_run),
            ):
                print(f"{name}: {milliseconds(work):.1f} ms")
            start = time.perf_counter()
            export_json_lines(journal, Path(folder) / "out.jsonl")
            print(f"export: {time.perf_counter() - start:.1f} s")
        for words in QUESTIONS:
            small, large = command(empty, words), command(full, words)
            print(f"darktimer {' '.join(words)}: {large:.0f} ms, empty {small:.0f} ms")


if __name__ == "__main__":
    main()
