"""What nearly every command begins with: a plan read and compiled with a cue set."""

from typing import NamedTuple

from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.plan.reader import PlanFile, read_plan
from darktimer.process.compiler import compile_plan
from darktimer.process.timeline import Timeline


class Compiled(NamedTuple):
    """A plan with its file, the cue set it is told with, and its timeline."""

    file: PlanFile
    cue_set: CueSet
    timeline: Timeline


def compiled(plan: str, cue_set: str, lights_out_after_ms: int | None) -> Compiled:
    """Reads and compiles; raises `DarktimerError` with everything that is wrong."""
    file, cues = read_plan(plan), load_cue_set(cue_set)
    timeline = file.blamed(lambda: compile_plan(file.plan, cues.length_ms, lights_out_after_ms))
    return Compiled(file, cues, timeline)
