"""What becomes of an act that was not heard to its end.

It is asked for again as soon as there is room for it among the other acts, unless

- what undoes it was due after it, or will be within 3 s of asking: to stand is undone by moving,
  either by lifting the film, to turn over by turning again, all of these by the next bath; or
- it would come 10 s late or more, counted from when it was first due; but to turn over is right
  as long as nothing undoes it, since a second side in less light is better than one in none.

Then the place of the bath and the time left replace it, which follow any silence that hid an
act. Light-safe and the end are right at any later time, and always asked for again; so is a piece
of the film that goes in or out alone, by its number, until all of them leave.
"""

from bisect import bisect_right
from collections.abc import Sequence
from typing import Final

from darktimer.live.cue_queue import BY_TIME
from darktimer.process import meanings
from darktimer.process.timeline import Cue

#: Older acts are replaced by an answer.
LATE_MS: Final = 10_000
#: What is undone sooner than this is not worth the hands' while.
WORTH_MS: Final = 3_000
#: Right at any later time; every other act grows old.
TIMELESS: Final = frozenset({meanings.LIGHT_SAFE, meanings.END})

_UNDONE_BY: Final = {
    meanings.MOVE: {meanings.STAND, meanings.LIFT, "enter"},
    meanings.STAND: {meanings.MOVE, meanings.LIFT, "enter"},
    meanings.LIFT: {"enter"},
    "enter": {meanings.LIFT, "enter"},
    meanings.REVERSE: {meanings.REVERSE, meanings.LIFT, "enter"},
}


def worth_asking(meaning: str, due_ms: int, again: Cue, planned: Sequence[Cue]) -> bool:
    """Whether an act due at ``due_ms`` is still right as ``again``, in view of the ``planned``."""
    if meaning in TIMELESS:
        return True
    undone_by = _UNDONE_BY.get(meanings.family(meaning), set())
    first = bisect_right(planned, due_ms, key=BY_TIME)
    for cue in planned[first:]:
        if cue.at_ms >= again.end_ms + WORTH_MS:
            break
        if meanings.family(cue.meaning) in undone_by:
            return False
    return meaning == meanings.REVERSE or again.at_ms - due_ms < LATE_MS
