"""A small invented plan, what a run of it begins with, and events to write down."""

from pathlib import Path

from darktimer.journal.clocks import Reading
from darktimer.journal.events import Event
from darktimer.journal.runs import RunStart
from darktimer.journal.start import about_to_start
from darktimer.plan.reader import read_plan_file
from darktimer.process.compiler import compile_plan

PLAN = """\
title: Invented for tests
about: Invented; untested on film.
film: {format: 135-36, count: 1}
vessel: {kind: tub, light: open, volume: 1.5 l}
temperature: 20 C
steps:
  - load: by hand
  - develop: 10 min  # as on the last roll
    bath: nettle developer
    agitation: 1/2
  - fix: 8 min
    bath: plain fixer
    clearing: 3 min
  - wash: 5 min
"""
STARTED = Reading(1_900_000_000_000, 5_000_000, "one-start-of-a-machine")


def write_plan(folder: Path, text: str = PLAN) -> Path:
    path = folder / "invented.yaml"
    path.write_text(text, "utf-8")
    return path


def run_start(folder: Path, text: str = PLAN, area_m2: float | None = 0.05) -> RunStart:
    file = read_plan_file(write_plan(folder, text))
    timeline = compile_plan(file.plan, lambda _: 500)
    start = about_to_start(file, "standard", timeline, STARTED)
    return start._replace(film_area_m2=area_m2)


def cue(at_ms: int, meaning: str = "move", step: int = 2) -> Event:
    return Event(at_ms, STARTED.wall_utc_ms + at_ms, "cue", meaning, step, at_ms)
