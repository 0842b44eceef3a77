"""What a run has come to, written into the journal: what was heard, what happened, where it was.

A cue is written down when it was heard to its end: what was not heard was not told.
"""

from bisect import bisect_left
from collections.abc import Callable
from typing import Any, Final

from darktimer.journal import events as kinds
from darktimer.journal.events import Event, fault_lines
from darktimer.live.cue_queue import BY_TIME, NEVER
from darktimer.live.journal_writer import JournalWriter
from darktimer.live.resume import CutOff
from darktimer.live.state import Now, State
from darktimer.output.clock import Clock
from darktimer.output.trouble import Trouble
from darktimer.process.timeline import Timeline

#: This often the journal is told that the run goes on, so that a kill leaves no longer doubt.
ALIVE_MS: Final = 2_000
#: What a person did: marked a moment, went on, held.
_BY_HANDS: Final = (kinds.KEY, "gate", "hold")


class Logbook:
    """Of one run. ``log`` is what happened.

    ``keys`` that mean nothing are only counted, since one that is held sends 30 a second.
    """

    def __init__(
        self,
        timeline: Timeline,
        writer: JournalWriter,
        clock: Clock,
        position_ms: Callable[[], int],
    ) -> None:
        self.log: list[Event] = []
        self._faults: list[Event] = []
        self._steps = timeline.steps
        self._writer = writer
        self._clock = clock
        self._position_ms = position_ms
        self._planned = {(cue.at_ms, cue.meaning) for cue in timeline.cues}
        self._unwritten_ms = NEVER
        self._alive_ms = 0
        self._step: int | None = None
        self.keys = 0

    @property
    def troubles(self) -> list[tuple[int, str]]:
        """What a person must be told when it is over."""
        return list(fault_lines(self._faults))

    def take_up(self, found: CutOff, state: State, now: Now) -> None:
        """A run goes on; what was before is written down, up to the step that was begun then."""
        self._unwritten_ms, self._step = now.at_ms, state.position(found.last_ms).step
        lasted = f"{(now.at_ms - found.last_ms) / 1000:.1f} s"
        detail = state.kept() | {"origin": found.origin._asdict()}
        if found.warning:
            detail["doubt"] = found.warning
        self.log += (event for event in found.happened if event.kind in _BY_HANDS)
        self._faults += (event for event in found.happened if event.kind == kinds.FAULT)
        self.fault(now, f"cut off, resumed after {lasted}", **detail)

    def take(self, state: State) -> None:
        """What the last trigger has led to."""
        for event in state.happened:
            self._write(event)
        self._faults += (event for event in state.happened if event.kind == kinds.FAULT)
        self.log += state.happened

    def note(self, at_ms: int, meaning: str, **detail: Any) -> None:
        """Anything else that is worth knowing later."""
        self._write(Event(at_ms, 0, kinds.NOTE, meaning, detail=detail))

    def fault(self, now: Now, found: str, **detail: Any) -> None:
        """Something failed; the person is told of it afterwards."""
        self._fail(Event(now.at_ms, 0, kinds.FAULT, found, detail=detail))

    def meet(self, trouble: Trouble, now: Now) -> None:
        """What the speaker tells; nothing is written down of what is still to come."""
        kind, at_ms, detail, gap_ms = trouble
        at_ms = min(at_ms, now.at_ms)
        if kind == "corrected":
            self.note(at_ms, kind, moved_ms=gap_ms)
            return
        found = {"found": detail, "gap_ms": gap_ms}
        self._fail(Event(at_ms, 0, kinds.FAULT, kind, detail=found))

    def _fail(self, fault: Event) -> None:
        self._faults.append(fault)
        self._write(fault)

    def keep_up(self, state: State, now: Now) -> None:
        """What was heard since the last call, the steps begun and ended, and that it goes on."""
        self._write_cues(state, now)
        self._write_steps(state, now)
        if now.at_ms >= self._alive_ms + ALIVE_MS:
            self._alive_ms = now.at_ms
            keys, self.keys = self.keys, 0
            self.note(now.at_ms, "alive", **({"keys": keys} if keys else {}))

    def _write_cues(self, state: State, now: Now) -> None:
        first = bisect_left(state.cues, self._unwritten_ms, key=BY_TIME)
        for cue in state.cues[first:]:
            if cue.end_ms > now.heard_ms:
                break
            planned_ms = state.planned_ms(cue)
            known = (planned_ms, cue.meaning) in self._planned
            moment = planned_ms if known else None
            self._write(Event(cue.at_ms, 0, kinds.CUE, cue.meaning, cue.step, moment))
            self._unwritten_ms = cue.at_ms + 1

    def _write_steps(self, state: State, now: Now) -> None:
        if now.at_ms < 0:
            return
        current = state.position(now.at_ms).step
        for index in range(0 if self._step is None else self._step + 1, current + 1):
            start_ms = self._steps[index].start_ms
            at_ms = state.time_map.at_ms(start_ms)
            if index:
                self._write(Event(at_ms, 0, kinds.STEP_ENDED, "", index - 1, start_ms))
            self._write(Event(at_ms, 0, kinds.STEP_BEGUN, "", index, start_ms))
        self._step = current

    def end(self, state: State, now: Now, aborted: bool, exit_status: int) -> None:
        """How the run ended."""
        if state.end_ms is not None and self._step is not None:
            at_ms = min(now.at_ms, state.end_ms)
            planned_ms = self._steps[self._step].end_ms
            self._write(Event(at_ms, 0, kinds.STEP_ENDED, "", self._step, planned_ms))
        self._writer.finish(aborted, exit_status)

    def _write(self, event: Event) -> None:
        """At the wall clock's time for its moment."""
        wall_ms = self._clock.wall_ns() // 1_000_000 + event.at_ms - self._position_ms()
        self._writer.write(event._replace(wall_utc_ms=wall_ms))
