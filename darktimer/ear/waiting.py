"""Where a run waited for the hands: at its gates, as live runs do, and the tracks of a player.

All that follows a gate comes so much later; or sooner, where somebody went on before the time that
was allowed was over. Elsewhere the plan keeps its time: what is out of place there stays a fault.
"""

from bisect import bisect
from collections.abc import Sequence
from itertools import accumulate
from typing import Final

from darktimer.ear.alignment import Alignment, aligned
from darktimer.ear.hearing import Detection
from darktimer.ear.verdict import Check, Verdict, compared, laid
from darktimer.process import meanings
from darktimer.process.timeline import Timeline

#: A plan may be told to go on from the first moment on, and waits at the second, in ms.
MayWait = tuple[int, int]

#: A stretch between two gates has its place where so many of its cues are heard, and all its acts.
_FEWEST: Final = 3


def waits_heard(
    heard: Sequence[Detection], timeline: Timeline, gates: Sequence[MayWait], duration_ms: float
) -> list[int]:
    """How many ms a recording waited at each gate, in order of time.

    Stretch by stretch, from where most cues lie to the first one, then to the last; by a clock that
    is in order, as many waits look like one that is slow.
    """
    waits_ms = [0] * len(gates)
    line = aligned(heard, timeline.cues, any_clock=False)
    unmoved = compared(heard, timeline, duration_ms)
    if unmoved.fits or not line:
        return waits_ms
    verdict = laid(heard, timeline, line, duration_ms)
    numbers = range(len(gates))
    for gate, stretch in [*((n, n) for n in reversed(numbers)), *((n, n + 1) for n in numbers)]:
        opens_ms, plan_ms = gates[gate]
        for later_ms in _later_ms(verdict, line, _stretches(verdict, gates, waits_ms)[stretch]):
            tried_ms, moved_line = waits_ms.copy(), line
            tried_ms[gate] += later_ms if stretch > gate else -later_ms
            if stretch == gate:  # what comes before the gate begins so much sooner
                moved_line = line._replace(offset_ms=line.offset_ms + later_ms)
            if tried_ms[gate] < opens_ms - plan_ms:
                continue
            led = with_waits(timeline, gates, tried_ms)
            moved = laid(heard, led, moved_line, duration_ms)
            found = _stretches(moved, gates, tried_ms)
            beside = _acts(found[gate])[-1:] + _acts(found[gate + 1])[:1]
            if _is_heard([*found[stretch], *beside]) and _faults(moved) < _faults(verdict):
                waits_ms, line, verdict = tried_ms, moved_line, moved
                break
    return waits_ms if _faults(verdict) < _faults(unmoved) else [0] * len(gates)


def with_waits(timeline: Timeline, gates: Sequence[MayWait], waits_ms: Sequence[int]) -> Timeline:
    """The timeline as it was led, without what somebody went on from."""
    late_ms, starts_ms = _late_ms(waits_ms), _starts_ms(gates, waits_ms)
    cues = []
    for cue in timeline.cues:
        stretch = bisect([plan_ms for _, plan_ms in gates], cue.at_ms)
        at_ms = cue.at_ms + late_ms[stretch]
        if stretch == len(gates) or at_ms < starts_ms[stretch + 1]:
            cues.append(cue._replace(at_ms=at_ms))
    return timeline._replace(cues=tuple(cues))


def as_planned(verdict: Verdict, gates: Sequence[MayWait], waits_ms: Sequence[int]) -> Verdict:
    """The verdict on a timeline with waits, told by the moments of the plan."""
    parts = zip(_late_ms(waits_ms), _stretches(verdict, gates, waits_ms), strict=True)
    checks = (
        check._replace(cue=check.cue._replace(at_ms=check.cue.at_ms - late_ms))
        for late_ms, part in parts
        for check in part
    )
    return verdict._replace(checks=tuple(checks))


def _late_ms(waits_ms: Sequence[int]) -> list[int]:
    """How late each stretch is, from the one before the first gate on."""
    return [*accumulate(waits_ms, initial=0)]


def _starts_ms(gates: Sequence[MayWait], waits_ms: Sequence[int]) -> list[int]:
    """When each stretch begins on the timeline with waits."""
    _, *late_ms = _late_ms(waits_ms)
    return [0, *(plan_ms + late for (_, plan_ms), late in zip(gates, late_ms, strict=True))]


def _stretches(
    verdict: Verdict, gates: Sequence[MayWait], waits_ms: Sequence[int]
) -> list[list[Check]]:
    """What became of the cues before the first gate, between any two, and after the last."""
    starts_ms = _starts_ms(gates, waits_ms)
    stretches: list[list[Check]] = [[] for _ in starts_ms]
    for check in verdict.checks:
        stretches[bisect(starts_ms, check.cue.at_ms) - 1].append(check)
    return stretches


def _later_ms(verdict: Verdict, line: Alignment, stretch: Sequence[Check]) -> list[int]:
    """How much later than all others its cues may be heard, by the rarest act that is lost there.

    The least first: what is further away may be the same sound of another stretch.
    """
    lost = [check.cue for check in _acts(stretch) if check.state != "heard"]
    shifts = [
        [one.at_ms - line.at(cue.at_ms) for one in verdict.false_acts if one.meaning == cue.meaning]
        for cue in lost
    ]
    rarest = min(filter(None, shifts), key=len, default=[])
    return sorted(map(round, rarest), key=abs)


def _acts(stretch: Sequence[Check]) -> list[Check]:
    return [check for check in stretch if meanings.asks(check.cue.meaning)]


def _is_heard(stretch: Sequence[Check]) -> bool:
    """Whether it has its place there: no act is lost, and more is heard than chance would bring."""
    lost = any(check.state in ("missed", "mistaken") for check in _acts(stretch))
    return not lost and sum(check.state == "heard" for check in stretch) >= _FEWEST


def _faults(verdict: Verdict) -> int:
    return len(verdict.act_now_lost) + len(verdict.false_acts)
