"""A plan for a positive, begun from the shipped one that reverses film; it must be gone through.

Its times and volumes are invented, and those of the bleach are its maker's: no question could ask
for all that, so the plan is copied with its comments and says what is to be changed.
"""

from pathlib import Path
from typing import Final

from darktimer import shipped
from darktimer.cues.reader import load_cue_set
from darktimer.plan.reader import read_plan_text
from darktimer.prepare.like import Like
from darktimer.prepare.prepared import prepare_file

_PLAN: Final = "reversal-motion-picture"
_YOURS: Final = (
    "The film, its vessel and the volume in it are invented: write yours.",
    "So are the developers and their times: a test on a short piece tells them.",
    "Bleach and clearing bath are bought: write their makers' times, least ones too.",
)


def positive(target: Path) -> Like:
    """The text to write into ``target``, its plan, and what is still to be written in it."""
    text = shipped.find("sequences", "plan", _PLAN).read_text("utf-8")
    prepared = prepare_file(read_plan_text(text, target), load_cue_set("standard"))
    return Like(text, prepared, _YOURS)
