"""How long the journal takes: a commit, and each command on 10,000 runs beside an empty journal.

Run as: python -m tests.benchmarks.journal_speed [RUNS] [EVENTS A RUN]
"""

import os
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory
from typing import NamedTuple

from darktimer.journal.connection import append
from darktimer.journal.journal import Journal, keep_text
from darktimer.journal.results import Result, add_result, result_row
from tests.journal.samples import PLAN, cue, run_start

ONCE = (
    ("journal", "search", "anchovy"),  # the first, which makes the index
    ("journal", "check"),
    ("journal", "export", "out.jsonl", "--force"),
    ("journal", "export", "out", "--force"),
)
OFTEN = (
    ("journal",),
    ("journal", "--all"),
    ("journal", "--all", "--json"),
    ("journal", "1"),
    ("journal", "search", "anchovy"),
    ("journal", "search", "nettle", "--last", "20"),
    ("journal", "search", "nettle", "--all"),
    ("journal", "--stock", "meadow"),
    ("journal", "--developer", "nettle", "--all"),
    ("journal", "--developer", "nettle", "--format", "135", "--all", "--json"),
    ("journal", "known"),
    ("journal", "known", "--stock", "harbour"),
    ("check", "plan.yaml"),  # of a stock that every second run knows
    ("journal", "compare", "1", "2"),
    ("baths",),
)
TIMES = 5


_EVENING_MS = 86_461_000  # a day and a little, so that no two began at one time of day

STOCKED = PLAN.replace("count: 1", "count: 1, stock: meadow 100, exposed at: 200")


def fill(folder: Path, runs: int, events: int) -> None:
    """Two real runs, then copies of them, each with a plan of its own, an evening and a result.

    A note of 1 MB is on the first.
    """
    with Journal.open(folder) as journal:
        for text in (STOCKED, STOCKED.replace("10 min", "8 min").replace("meadow", "harbour")):
            journal.begin_run(run_start(folder, text))
        add_result(journal, 1, Result(density=1, notes="invented " * 120_000))
        columns = "started_boot_ms, boot_id, title, planned_ms, plan_source, "
        columns += "cue_set, timeline, light, film, film_area_m2, baths, bases, state, "
        columns += "films, pieces, developments"
        kinds = ["cue"] * (events - 3) + ["fault", "key", "note"]

        def write(connection: sqlite3.Connection) -> None:
            for number in range(3, runs + 1):
                plan = keep_text(connection, f"{PLAN}# roll {number}, invented\n")
                connection.execute(
                    f"INSERT INTO runs (number, key, plan, started_utc_ms, {columns}) "
                    f"SELECT ?, ?, ?, started_utc_ms + ?, {columns} FROM runs WHERE number = ?",
                    (number, f"copy-{number}", plan, number * _EVENING_MS, 1 + number % 2),
                )
                said = result_row(number, Result(density=number % 5 - 2, notes="invented"), 0)
                append(connection, "results", said)
            connection.execute("UPDATE runs SET state = 'finished'")
            connection.executemany(
                "INSERT INTO events (run, number, at_ms, wall_utc_ms, kind, meaning, step, detail) "
                "VALUES (?, ?, ?, 0, ?, 'marked', 2, '')",
                ((run, n + 1, 1000 * n, kind)
                 for run in range(1, runs + 1) for n, kind in enumerate(kinds)),
            )  # fmt: skip

        journal.store.write(write)


def milliseconds(work: Callable[[], object], times: int) -> list[float]:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - start))
    return taken


def commits(folder: Path) -> str:
    with Journal.open(folder) as journal:
        run = journal.begin_run(run_start(folder))
        moments = iter(range(200))
        taken = milliseconds(lambda: journal.record(run, cue(next(moments))), 200)
        journal.finish_run(run)
    ninety_ninth = quantiles(taken, n=100)[98]
    return f"{median(taken):.1f} ms median, {ninety_ninth:.1f} ms 99th, {max(taken):.1f} ms worst"


class Taken(NamedTuple):
    """What a process took: seconds, seconds of a core, and the most memory in MiB."""

    s: float
    core_s: float
    mib: float


def command(folder: Path, words: tuple[str, ...]) -> Taken:
    """One whole process."""
    start = time.perf_counter()
    child = subprocess.Popen(
        [sys.executable, "-m", "darktimer", *words],
        env={**os.environ, "DARKTIMER_HOME": str(folder), "PYTHONPATH": os.getcwd()},
        cwd=folder,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    _, _, used = os.wait4(child.pid, 0)
    child.returncode = 0  # it has been waited for
    core_s = used.ru_utime + used.ru_stime
    return Taken(time.perf_counter() - start, core_s, used.ru_maxrss / 1024)


def medians(folders: tuple[Path, Path], words: tuple[str, ...], times: int) -> list[Taken]:
    """Of each folder, in turns, so that what else goes on meets both."""
    taken = [[command(folder, words) for folder in folders] for _ in range(times)]
    return [Taken(*map(median, zip(*each, strict=True))) for each in zip(*taken, strict=True)]


def main() -> None:
    runs, events = (int(word) for word in (sys.argv[1:] + ["10000", "200"][len(sys.argv) - 1 :]))
    with TemporaryDirectory(dir=".") as here:
        full, empty = Path(here).absolute() / "full", Path(here).absolute() / "empty"
        Journal.open(empty).close()
        fill(full, runs, events)
        for folder in (full, empty):
            (folder / "plan.yaml").write_text(STOCKED, "utf-8")
        size = sum(file.stat().st_size for file in full.iterdir()) / 1e6
        print(f"{runs} runs of {events} events, each with its own plan, {size:.0f} MB\n")
        print(f"one event kept, synced: {commits(full)}\n")
        heads = ("darktimer", "s", "empty journal, s", "more, s", "more of a core, s", "peak MiB")
        print(f"| {' | '.join(heads)} |\n{'|---' * len(heads)}|")
        for words, times in (*((each, 1) for each in ONCE), *((each, TIMES) for each in OFTEN)):
            here, none = medians((full, empty), words, times)
            figures = here.s, none.s, here.s - none.s, here.core_s - none.core_s
            cells = [" ".join(words), *(f"{each:.2f}" for each in figures), f"{here.mib:.0f}"]
            print(f"| {' | '.join(cells)} |", flush=True)


if __name__ == "__main__":
    main()
