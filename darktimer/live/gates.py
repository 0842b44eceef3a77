"""Where a plan waits for the hands: at the end of loading; at transfers, until the film is in."""

from collections.abc import Iterator
from enum import StrEnum
from typing import Final, NamedTuple

from darktimer.plan.kinds import HAND_KINDS
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Timeline

#: Loading's own countdown lies within this long before its end.
_COUNTDOWN_MS: Final = 10_000


class Waits(StrEnum):
    """Where a run waits for a key: nowhere, as a sound file; at loading; at each transfer too."""

    NOWHERE = "nowhere"
    LOADING = "loading"
    TRANSFERS = "transfers"


def waits_of(gates: bool | None) -> Waits:
    """Where a run waits that was asked for gates, for none, or for neither."""
    return {None: Waits.LOADING, True: Waits.TRANSFERS, False: Waits.NOWHERE}[gates]


class Gate(NamedTuple):
    """The plan stands still at ``plan_ms`` unless it was told to go on from ``opens_ms`` on."""

    plan_ms: int
    opens_ms: int
    step: int
    loading: bool


def gates(timeline: Timeline, waits: Waits) -> tuple[Gate, ...]:
    """Every gate of a timeline, in order of time."""
    loadings = () if waits is Waits.NOWHERE else _loadings(timeline)
    transfers = _transfers(timeline) if waits is Waits.TRANSFERS else ()
    return tuple(sorted([*loadings, *transfers]))


def _loadings(timeline: Timeline) -> Iterator[Gate]:
    """The gate is before the countdown, which then leads from the key into the next bath."""
    for index, step in enumerate(timeline.steps):
        if step.kind in HAND_KINDS:
            pips = (c.at_ms for c in timeline.cues if (c.meaning, c.step) == (meanings.PIP, index))
            counted = (at_ms - CLEAR_MS for at_ms in pips if at_ms > step.end_ms - _COUNTDOWN_MS)
            yield Gate(min(counted, default=step.end_ms), step.start_ms, index, loading=True)


def _transfers(timeline: Timeline) -> Iterator[Gate]:
    for step, kind, start_ms, end_ms in timeline.spans:
        if kind == "transfer" and timeline.steps[step].kind != "done" and end_ms > start_ms:
            yield Gate(end_ms, start_ms, step, loading=False)
