"""Where a plan waits for the hands.

A plan can wait at two kinds of places: at the end of loading, which takes as long as it takes, and
at the end of a transfer, until the film is in. Reads them off a timeline; knows no keys.
"""

from collections.abc import Iterator
from enum import StrEnum
from typing import Final, NamedTuple

from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Span, Step, Timeline

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
    found: list[Gate] = []
    if waits is not Waits.NOWHERE:
        found += _loadings(timeline)
    if waits is Waits.TRANSFERS:
        found += _transfers(timeline)
    return tuple(sorted(found))


def _loadings(timeline: Timeline) -> Iterator[Gate]:
    """The gate is before the countdown, which then leads from the key into the next bath."""
    for index, step in enumerate(timeline.steps):
        if step.kind == "load":
            yield Gate(_before_countdown(timeline, index, step), step.start_ms, index, True)


def _before_countdown(timeline: Timeline, index: int, step: Step) -> int:
    pips = [
        cue.at_ms
        for cue in timeline.cues
        if cue.step == index
        and cue.meaning == meanings.PIP
        and cue.at_ms > step.end_ms - _COUNTDOWN_MS
    ]
    return min(pips) - CLEAR_MS if pips else step.end_ms


def _transfers(timeline: Timeline) -> Iterator[Gate]:
    for span in timeline.spans:
        if _into_a_bath(timeline.steps[span.step], span):
            yield Gate(span.end_ms, span.start_ms, span.step, False)


def _into_a_bath(step: Step, span: Span) -> bool:
    return span.kind == "transfer" and step.kind != "done" and span.end_ms > span.start_ms
