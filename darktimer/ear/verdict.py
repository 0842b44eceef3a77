"""Compares what was heard with what a timeline asks for.

Only here do the two meet: the cues were found without the timeline.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from darktimer.ear.hearing import Heard
from darktimer.ear.line_fit import Line, fitted
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Timeline

#: A cue is the planned one when it begins this near to its place on the fitted line.
_NEAR_MS: Final = 150.0


class Check(NamedTuple):
    """A planned cue and what was heard in its place.

    ``state`` is ``heard``, ``missed``, ``mistaken`` (another meaning was heard) or ``outside`` (the
    recording had not begun or had ended). ``error_ms`` is against the fitted line.
    """

    cue: Cue
    state: str
    heard: Heard | None
    error_ms: float | None


@dataclass(frozen=True)
class Verdict:
    """Every planned cue checked, and every sound taken for a cue that was not planned."""

    line: Line | None
    checks: tuple[Check, ...]
    unplanned: tuple[Heard, ...]

    @property
    def act_now_lost(self) -> tuple[Check, ...]:
        """Act-now cues that the recording should hold and that were not heard as such."""
        return tuple(
            check
            for check in self.checks
            if check.state in ("missed", "mistaken") and is_act_now(check.cue.meaning)
        )

    @property
    def false_light_safe(self) -> tuple[Heard, ...]:
        """Every light-safe heard where the timeline has none."""
        mistaken = [c.heard for c in self.checks if c.state == "mistaken" and c.heard]
        return tuple(h for h in (*mistaken, *self.unplanned) if h.meaning == meanings.LIGHT_SAFE)

    @property
    def sure(self) -> bool:
        """Whether a person could have worked by this recording without harm."""
        return bool(self.line and not self.act_now_lost and not self.false_light_safe)


def is_act_now(meaning: str) -> bool:
    return meanings.family(meaning) in meanings.ACT_NOW


def compared(heard: Sequence[Heard], timeline: Timeline, duration_ms: float) -> Verdict:
    """What became of every cue of ``timeline`` in a recording of ``duration_ms``."""
    line = fitted(heard, timeline.cues)
    if line is None:
        missed = tuple(Check(cue, "missed", None, None) for cue in timeline.cues)
        return Verdict(None, missed, tuple(heard))
    free = dict(enumerate(heard))
    checks = []
    for cue in timeline.cues:
        taken = _nearest(free, line.at(cue.at_ms), cue.meaning)
        one = free.pop(taken) if taken is not None else None
        checks.append(_check(cue, one, line, duration_ms))
    return Verdict(line, tuple(checks), tuple(free.values()))


def _nearest(free: dict[int, Heard], at_ms: float, meaning: str) -> int | None:
    """The key of the cue near a moment: one of the same meaning before any other."""
    near = [key for key, one in free.items() if abs(one.at_ms - at_ms) < _NEAR_MS]
    return min(
        near, key=lambda k: (free[k].meaning != meaning, abs(free[k].at_ms - at_ms)), default=None
    )


def _check(cue: Cue, one: Heard | None, line: Line, duration_ms: float) -> Check:
    at_ms = line.at(cue.at_ms)
    if one is not None:
        state = "heard" if one.meaning == cue.meaning else "mistaken"
        return Check(cue, state, one, one.at_ms - at_ms)
    inside = at_ms >= 0 and at_ms + cue.length_ms <= duration_ms
    return Check(cue, "missed" if inside else "outside", None, None)
