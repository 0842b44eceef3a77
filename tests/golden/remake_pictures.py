"""Remakes the pictures that the README shows: ``python -m tests.golden.remake_pictures``.

A plan's timeline, and every cue of the standard set drawn as a rhythm. Look at them before you
commit them.
"""

from collections.abc import Iterator
from pathlib import Path

from darktimer.cues.cue_set import CueSet
from darktimer.cues.demonstration import demonstration
from darktimer.cues.reader import load_cue_set
from darktimer.paper.drawn_cues import draw_cues, drawn_cues_of
from darktimer.paper.page import Box, Page
from darktimer.paper.step_rows import rows
from darktimer.paper.timeline_picture import picture
from darktimer.plan.reader import read_plan
from darktimer.process.compiler import compile_plan

CHECKOUT = Path(__file__).parents[2]
_WIDTH, _MARGIN, _SIZE = 760.0, 24.0, 10.0


def pictures() -> Iterator[tuple[Path, bytes]]:
    """Each picture, and where it lies."""
    cue_set = load_cue_set("standard")
    plan = read_plan("open-tub-half-agitation").plan
    timeline = compile_plan(plan, cue_set.length_ms)
    drawn = picture(timeline, rows(plan, timeline)).written("svg", timeline.title)
    yield CHECKOUT / "sequences/open-tub-half-agitation.svg", drawn
    yield CHECKOUT / "sounds/standard.svg", _cues(cue_set).written("svg", "Cues: standard")


def _cues(cue_set: CueSet) -> Page:
    page = Page(_WIDTH, _WIDTH)
    box = Box(_MARGIN, _MARGIN, _WIDTH - 2 * _MARGIN, 0)
    end = draw_cues(page, box, drawn_cues_of(demonstration(cue_set), cue_set), _SIZE)
    page.end_at(end + _MARGIN)
    return page


if __name__ == "__main__":
    for target, made in pictures():
        target.write_bytes(made)
