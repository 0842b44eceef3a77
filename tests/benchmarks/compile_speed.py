"""Time to compile a day-long plan, by its cues: ``python tests/benchmarks/compile_speed.py``.

Prints the median processor time of several compilations for about 1,000, 12,000 and 48,000 cues,
and how many times longer than in the line before each cue takes: 1.0 is growth in a straight line.
To reach: 24 hours with 12,000 cues in under 100 ms.
"""

import runpy
from pathlib import Path
from statistics import median
from time import process_time

from darktimer.plan.model import Plan
from darktimer.process.compiler import compile_plan

LENGTH_MS = runpy.run_path(str(Path(__file__).parents[1] / "golden" / "remake.py"))["length_ms"]
RUNS = 7


def day_long(turns: int, every_s: int) -> Plan:
    """24 hours with some turns at every interval, in steps of 4 hours."""
    bouts = {"inversions": f"{turns}", "within": f"{2 * turns} s", "every": f"{every_s} s"}
    develop = {"develop": "4 h", "repeat": "6", "agitation": bouts, "heartbeat": "none"}
    vessel = {"kind": "spiral tank", "light": "closed"}
    return Plan.read({"title": "A day", "vessel": vessel, "steps": [develop]})


def compile_ms(plan: Plan) -> float:
    """The median time of compiling ``plan``."""
    times = []
    for _ in range(RUNS):
        start = process_time()
        compile_plan(plan, LENGTH_MS)
        times.append((process_time() - start) * 1000)
    return median(times)


def main() -> None:
    print(f"{'cues':>8} {'ms':>8} {'us a cue':>9} {'growth':>7}")
    before = None
    for turns, every_s in ((2, 700), (2, 30), (8, 18)):
        plan = day_long(turns, every_s)
        cues = len(compile_plan(plan, LENGTH_MS).cues)
        ms = compile_ms(plan)
        each_us = ms * 1000 / cues
        growth = f"{each_us / before:7.2f}" if before else ""
        print(f"{cues:8,} {ms:8.1f} {each_us:9.2f} {growth}")
        before = each_us


if __name__ == "__main__":
    main()
