"""The conductor: a timeline, a clock and two keys in; cues and the state of the run out.

Pure: a trigger and the time go in, and one state that is never changed comes out; what each trigger
does in each phase stands in `_TABLE`. Other threads read ``state`` once, and go by that. The queue
always reaches to the plan's end, or to where the plan waits, so that the sound needs nobody until
something happens. Without triggers the cues are the timeline's.
"""

import re
from collections.abc import Callable, Container
from typing import Any, Final

from darktimer.cues.cue_set import CueSet
from darktimer.live import transitions
from darktimer.live.cue_queue import NEVER, acts
from darktimer.live.gates import Waits, gates
from darktimer.live.missed import LATE_MS, TIMELESS
from darktimer.live.plan_index import PlanIndex
from darktimer.live.planning import follow
from darktimer.live.state import TIME, Now, Phase, State, Trigger
from darktimer.live.time_map import TimeMap
from darktimer.process import meanings
from darktimer.process.timeline import Timeline


class Conductor:
    """One run of one timeline, with a cue set that holds the answers too.

    With ``skip_silence``, for rehearsals, the plan jumps over its long quiet spans.
    """

    def __init__(
        self, timeline: Timeline, cue_set: CueSet, waits: Waits, skip_silence: bool = False
    ) -> None:
        self.timeline = timeline
        plan = PlanIndex(timeline, cue_set.length_ms)
        self.state = State(plan, TimeMap(), gates(timeline, waits), skip_silence)
        self.leave_gates_before(NEVER)

    def take(self, trigger: Trigger, now: Now) -> State:
        """What follows a trigger; it is the state from now on. A key in vain leaves no trace."""
        state = self.state.at(now)
        transition = _TABLE[state.phase(now)][trigger.what]
        noted, marks = state, transition is transitions.mark
        if trigger.key:
            meaning = meanings.MARKED if marks else trigger.what
            noted = state.noting("key", meaning, key=trigger.key)
        after = transition(noted, trigger)
        self.state = state if after is noted and not marks else after
        return self.state

    def leave_gates_before(self, plan_ms: int) -> None:
        """A run that begins in the middle waits at no gate that lies before it."""
        left = tuple(gate for gate in self.state.gates if gate.plan_ms >= plan_ms)
        state = self.state._replace(gates=left, time_map=TimeMap())
        self.state = follow(state.stopping(state.next_stop_ms))

    def take_up(
        self, kept: dict[str, Any], heard: Container[tuple[str, int]], from_ms: int, now: Now
    ) -> State:
        """Goes on from a state that `State.kept` gave, as if the run had never stopped.

        ``heard`` are the cues that were heard to their end, each with its moment on the plan;
        ``from_ms`` is the run's last sign of life. Unheard acts not long gone are made up for.
        """
        state = follow(self.state.taken_up(self.state.kept() | kept))
        past = [c for c in state.cues if c.at_ms < now.filled_ms]
        unheard = [c for c in past if (c.meaning, state.planned_ms(c)) not in heard]
        lately_ms = from_ms - LATE_MS
        owed = (
            c
            for c in unheard
            if acts(c) and (c.at_ms >= lately_ms or c.meaning in TIMELESS or state.piece_due(c))
        )
        self.state = state._replace(queue=state.queue.without(unheard), owed=tuple(owed))
        return self.take(Trigger(TIME), now)


#: What each trigger does in each phase: the names of `transitions`.
_WRITTEN: Final = """
              go on    where am I  hold     abort    time     silence  no more keys  deaf
going         mark     answer      hold     abort    time     make_up  wait_no_more  alarm
loading       loaded   answer      hold     abort    time     make_up  wait_no_more  alarm
film coming   film_in  answer      hold     abort    time     make_up  wait_no_more  alarm
film awaited  leave    answer      refuse   abort    time     make_up  wait_no_more  alarm
held          resume   answer      refuse   abort    time     make_up  wait_no_more  alarm
over          nothing  nothing     nothing  nothing  nothing  make_up  nothing       nothing
aborted       nothing  nothing     nothing  nothing  nothing  make_up  nothing       nothing
"""


def _read(written: str) -> dict[Phase, dict[str, Callable[[State, Trigger], State]]]:
    """Two spaces or more lie between the columns."""
    head, *rows = (re.split(r" {2,}", line.strip()) for line in written.strip().splitlines())
    return {
        Phase(phase): dict(zip(head, (getattr(transitions, each) for each in names), strict=True))
        for phase, *names in rows
    }


_TABLE: Final = _read(_WRITTEN)
