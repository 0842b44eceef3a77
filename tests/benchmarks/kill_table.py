"""Kills a whole run at random moments, resumes it each time, and tells what was lost and how soon.

    python -m tests.benchmarks.kill_table [--kills 200] [--side-by-side 2] [--seed 1]

The runs are real ones in terminals of their own, each with a sound server and an ear.
"""

import argparse
import statistics
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.device.null_sink import Server
from tests.live.kills import Killed, killed


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--side-by-side", type=int, default=2)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()

    def one(number: int) -> Killed:
        # each its own, as an ear hears all that a server plays
        with Server(short=True) as server, TemporaryDirectory() as folder:
            share = asked.kills // asked.side_by_side
            return killed(server, Path(folder), share, asked.seed + number)

    with ThreadPoolExecutor(asked.side_by_side) as pool:
        done = list(pool.map(one, range(asked.side_by_side)))
    taken_up = [each for run in done for each in run.taken_up]
    after_ms = sorted(each.after_ms for each in taken_up) or [0]
    off_ms = [each.off_ms for each in taken_up] or [0]
    late_ms = [each for run in done for each in run.late_ms] or [0.0]
    print(
        f"{sum(run.kills for run in done)} kills, {sum(run.rows for run in done)} rows written, "
        f"{sum(run.rows_lost for run in done)} lost, {sum(run.light for run in done)} bytes of "
        f"light; {len(taken_up)} lived to take the run up, after {after_ms[0]} to {after_ms[-1]} "
        f"ms, median {statistics.median(after_ms):.0f}, {sum(each > 1000 for each in after_ms)} "
        f"later than 1 s; off by {min(off_ms)} to {max(off_ms)} ms by the journal's clocks; "
        f"{len(late_ms)} acts heard {min(late_ms):.0f} to {max(late_ms):.0f} ms late by ear, "
        f"median {statistics.median(late_ms):.0f}; last words {[run.cues for run in done]}"
    )


if __name__ == "__main__":
    main()
