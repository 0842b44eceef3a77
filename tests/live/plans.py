"""Two short plans, one in an open vessel and one in a closed one, and what runs are made of."""

from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.live.gestures import Key
from darktimer.plan.model import Plan
from darktimer.plan.reader import read_plan_file
from darktimer.process.compiler import compile_plan
from darktimer.process.timeline import Timeline

SPACE = Key("space", True)
OTHER = Key("x", False)

OPEN = """
title: Open, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits:
  {lights out after: 5 s, loading: 20 s, opening: 10 s, tally: 1 min, warnings: 10 s,
   baths told by: signature}
steps:
  - load: by hand
  - soak: 30 s
  - develop: 2 min
    agitation: 1/2
  - rinse: 40 s
  - fix: 90 s
    light after: 60 s
  - wash: 40 s
"""
CLOSED = """
title: Closed, invented and untested on film
vessel: {kind: spiral tank, light: closed, volume: 500 ml}
habits: {baths told by: signature, lights out after: 5 s, loading: 30 s, lights on: 10 s}
steps:
  - load: by hand
  - develop: 2 min
    agitation: {inversions: 4, within: 10 s, every: 1 min}
  - stop: 30 s
  - fix: 1 min
  - wash: 1 min
"""
#: Film reversed to a positive: light is safe when the rinse after the bleach is over.
REVERSED = """
title: Reversed, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits: {lights out after: 2 s, loading: 5 s, transfer: 3 s, drain: none, opening: none,
   warnings: none, countdown: 0, tally: none, heartbeat: none}
steps:
  - load: by hand
  - develop: 30 s
    agitation: {share: 1/2, cycle: 10 s}
  - rinse: 10 s
  - bleach: 15 s
    least: 10 s
  - rinse: 10 s
  - clearing bath: 20 s
  - expose: 20 s
  - develop: 20 s
    name: Redevelop
    agitation: stand
  - fix: 10 s
"""
TRAY = """
title: Tray, invented and untested on film
film: {format: 9x12 cm, sheets: 4}
vessel: {kind: tray, light: open, volume: 1 l}
habits: {baths told by: signature, lights out after: 5 s, loading: 20 s}
steps:
  - load: by hand
  - develop: 2 min
    agitation: {shuffle each: 5 s}
  - fix: 4 min
    light after: 2 min
    agitation: {shuffle each: 5 s}
  - wash: 1 min
"""


def plan_of(text: str) -> Plan:
    """The plan that a text says."""
    with TemporaryDirectory() as folder:
        path = Path(folder, "plan.yaml")
        path.write_text(text)
        return read_plan_file(path).plan


@lru_cache
def cue_set() -> CueSet:
    """The shipped cue set with its answers."""
    return load_cue_set("standard")


@lru_cache
def timeline(text: str) -> Timeline:
    """What a plan's text comes to."""
    return compile_plan(plan_of(text), cue_set().length_ms)
