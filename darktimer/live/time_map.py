"""How the plan's moments fall on real time, once the hands have made it wait or go on early.

Within each segment plan and session run side by side, apart by a shift; between two the plan stood
still, or jumped. Times are milliseconds; the session's own begin with the run.
"""

from typing import NamedTuple


class Segment(NamedTuple):
    """The plan from ``from_ms`` to ``to_ms`` (None: to its end), played ``shift_ms`` later."""

    from_ms: int
    to_ms: int | None
    shift_ms: int


class TimeMap(NamedTuple):
    """Segments in order; the last one is being played, or stands where it ends."""

    segments: tuple[Segment, ...] = (Segment(0, None, 0),)

    @property
    def stops_ms(self) -> int | None:
        """The session time at which the plan stands still, or will; None where it never does."""
        last = self.segments[-1]
        return None if last.to_ms is None else last.to_ms + last.shift_ms

    def at_ms(self, plan_ms: int) -> int:
        """When a moment of the plan comes, or came; one that is waited at comes with going on.

        One that was jumped over falls on the jump; one beyond the next stop as if nobody waited.
        """
        index = max((i for i, p in enumerate(self.segments) if p.from_ms <= plan_ms), default=0)
        segment = self.segments[index]
        past_it = segment.to_ms is not None and plan_ms >= segment.to_ms
        if past_it and index + 1 < len(self.segments):
            following = self.segments[index + 1]
            return following.from_ms + following.shift_ms
        return plan_ms + segment.shift_ms

    def plan_ms(self, session_ms: int) -> int:
        """The moment of the plan that a moment of the session stands at."""
        begun = [p for p in self.segments if p.from_ms + p.shift_ms <= session_ms]
        segment = begun[-1] if begun else self.segments[0]
        plan = session_ms - segment.shift_ms
        return plan if segment.to_ms is None else min(plan, segment.to_ms)

    def plays(self, plan_ms: int) -> bool:
        """Whether a moment of the plan is in a segment: neither jumped over nor yet waited for."""
        return any(
            each.from_ms <= plan_ms and (each.to_ms is None or plan_ms < each.to_ms)
            for each in self.segments
        )

    def stopping(self, plan_ms: int | None) -> "TimeMap":
        """The same, but standing still at a later, or earlier, moment of the last segment."""
        *before, last = self.segments
        return TimeMap((*before, last._replace(to_ms=plan_ms)))

    def going_on(self, plan_ms: int, session_ms: int, stops_ms: int | None) -> "TimeMap":
        """From ``session_ms`` on the plan goes on at ``plan_ms``, until its ``stops_ms``."""
        segments = self.stopping(self.plan_ms(session_ms)).segments
        return TimeMap((*segments, Segment(plan_ms, stops_ms, session_ms - plan_ms)))
