"""Where a run waited for the hands: at its gates, as live runs do, and the tracks of a player.

All that follows a gate comes so much later; or sooner, where somebody went on before the time that
was allowed was over. Elsewhere the plan keeps its time: what is out of place there stays a fault.
"""

from bisect import bisect
from collections.abc import Callable, Iterator, Sequence
from itertools import accumulate
from typing import Final, NamedTuple

from darktimer.ear.alignment import Alignment, aligned, places
from darktimer.ear.hearing import Detection
from darktimer.ear.verdict import Check, Verdict, compared, laid
from darktimer.process import meanings
from darktimer.process.timeline import Timeline

#: A plan may be told to go on from the first moment on, and waits at the second, in ms.
MayWait = tuple[int, int]

#: A stretch between two gates has its place where so many of its cues are heard, and all its acts.
_FEWEST: Final = 3


class _Led(NamedTuple):
    """A timeline with so many ms of waiting at each gate, laid on a line of the recording."""

    waits_ms: list[int]
    line: Alignment
    verdict: Verdict


def waits_heard(
    heard: Sequence[Detection], timeline: Timeline, gates: Sequence[MayWait], duration_ms: float
) -> list[int]:
    """How many ms a recording waited at each gate, in order of time.

    Stretch by stretch, from where most cues lie to the first one, then to the last; and from the
    first sound, as many waits look like a clock that is slow.
    """

    def lay(waits_ms: list[int], line: Alignment) -> _Led:
        led = with_waits(timeline, gates, waits_ms)
        return _Led(waits_ms, line, laid(heard, led, line, duration_ms))

    found_ms = nowhere_ms = [0] * len(gates)
    line = aligned(heard, timeline.cues, any_clock=False)
    unmoved = compared(heard, timeline, duration_ms)
    if unmoved.fits or not line:
        return nowhere_ms
    fewest = _faults(unmoved)
    for start in (line, next(places(heard, timeline.cues, 0.0))):
        led, numbers = lay(nowhere_ms, start), range(len(gates))
        for gate in reversed(numbers):
            led = next(_better(led, gates, gate, gate, lay), led)
        for gate in numbers:
            led = next(_better(led, gates, gate, gate + 1, lay), led)
        if _faults(led.verdict) < fewest:
            found_ms, fewest = led.waits_ms, _faults(led.verdict)
        if not fewest:
            break
    return found_ms


def _better(
    led: _Led,
    gates: Sequence[MayWait],
    gate: int,
    stretch: int,
    lay: Callable[[list[int], Alignment], _Led],
) -> Iterator[_Led]:
    """With another wait at a gate, so that a stretch beside it has its place, and less is wrong."""
    opens_ms, plan_ms = gates[gate]
    before = stretch == gate
    for later_ms in _later_ms(led, _stretches(led.verdict, gates, led.waits_ms)[stretch]):
        waits_ms, line = led.waits_ms.copy(), led.line
        waits_ms[gate] += -later_ms if before else later_ms
        if waits_ms[gate] < opens_ms - plan_ms:
            continue
        if before:  # the plan began so much sooner
            line = line._replace(offset_ms=line.offset_ms + later_ms)
        moved = lay(waits_ms, line)
        found = _stretches(moved.verdict, gates, waits_ms)
        beside = _acts(found[gate])[-1:] + _acts(found[gate + 1])[:1]
        in_place = _is_heard(found[stretch]) and not _lost(beside)
        if in_place and _faults(moved.verdict) < _faults(led.verdict):
            yield moved


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


def _later_ms(led: _Led, stretch: Sequence[Check]) -> list[int]:
    """How much later than all others its cues may be heard, by the rarest act that is lost there.

    The least first: what is further away may be the same sound of another stretch.
    """
    lost = [check.cue for check in _acts(stretch) if check.state != "heard"]
    places = [(cue.meaning, led.line.at(cue.at_ms)) for cue in lost]
    shifts = [
        [one.at_ms - at_ms for one in led.verdict.false_acts if one.meaning == meaning]
        for meaning, at_ms in places
    ]
    rarest = min(filter(None, shifts), key=len, default=[])
    return sorted(map(round, rarest), key=abs)


def _acts(stretch: Sequence[Check]) -> list[Check]:
    return [check for check in stretch if meanings.asks(check.cue.meaning)]


def _is_heard(stretch: Sequence[Check]) -> bool:
    """Whether it has its place there: no act is lost, and more is heard than chance would bring."""
    return not _lost(stretch) and sum(check.state == "heard" for check in stretch) >= _FEWEST


def _lost(checks: Sequence[Check]) -> bool:
    """Whether any act is."""
    return any(check.state in ("missed", "mistaken") for check in _acts(checks))


def _faults(verdict: Verdict) -> int:
    return len(verdict.act_now_lost) + len(verdict.false_acts)
