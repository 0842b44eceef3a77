"""A plan begun from that of a run, and what of the run was not as its plan has it."""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from darktimer.cues.reader import load_cue_set
from darktimer.journal.clocks import local_text
from darktimer.journal.developments import developments_in
from darktimer.journal.journal import Journal
from darktimer.journal.runs import Run
from darktimer.plan.model import Plan
from darktimer.plan.reader import read_plan_text
from darktimer.prepare.prepared import Prepared, prepare_file
from darktimer.units import clock


class Like(NamedTuple):
    """The text to write, the plan as it is carried out today, and what differed in the run."""

    text: str
    prepared: Prepared
    differed: tuple[str, ...]


def like(journal: Journal, number: int, target: Path) -> Like:
    """The plan of a run, to stand in ``target``; raises `DarktimerError` where it is none today."""
    run = journal.run(number)
    began = local_text(run.started.wall_utc_ms)
    text = f"# Begun from run {number} of {began}.\n{journal.plan_text(number)}"
    file = read_plan_text(text, target)
    prepared = prepare_file(file, load_cue_set("standard"))
    return Like(text, prepared, tuple(_differed(run, prepared.plan)))


def _differed(run: Run, plan: Plan) -> Iterator[str]:
    """Develops that did not last as long as they would by the plan."""
    for done, planned in zip(run.developments, developments_in(plan, ()), strict=False):
        if done.time_ms != planned.time_ms:
            yield (
                f"{planned.developer} was for {clock(done.time_ms)} in run {run.number}; this plan "
                f"makes it {clock(planned.time_ms)}"
            )
