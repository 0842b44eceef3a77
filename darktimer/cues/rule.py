"""One rule of a cue set: what it asks for, the figure behind it, and how a breach is found."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from darktimer.cues.cue_set import CueSet
from darktimer.cues.margins import CuePulses

#: The meanings that break a rule, and how far off they are.
Breach = tuple[tuple[str, ...], str]
_Find = Callable[[CueSet, CuePulses], Iterator[Breach]]


class Rule(NamedTuple):
    """``source`` names the published figure behind the rule, or says that there is none."""

    asks: str
    source: str
    breaches: _Find


def rule(asks: str, source: str) -> Callable[[_Find], Rule]:
    """Makes a rule of the function that finds its breaches."""
    return lambda find: Rule(asks, source, find)
