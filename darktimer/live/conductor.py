"""The conductor: a timeline, a clock and two keys in; cues and the state of the run out.

Pure: it owns no clock, no thread and no device. An event and the time go in, and one state that is
never changed comes out; what each event does in each phase stands in `_TABLE`. Whoever wants to
know something from another thread reads ``state`` once, and goes by that.

The row of cues always reaches to the plan's end, or to the place where the plan waits, so that the
sound needs nobody until something happens. Without events the cues are the timeline's.
"""

import re
from collections.abc import Callable, Container
from typing import Any, Final

from darktimer.cues.cue_set import CueSet
from darktimer.live import moves
from darktimer.live.course import Course
from darktimer.live.gates import Waits, gates
from darktimer.live.missed import LATE_MS, TIMELESS
from darktimer.live.planning import follow
from darktimer.live.row import acts
from darktimer.live.script import Script
from darktimer.live.state import TIME, Event, Now, Phase, State
from darktimer.process import meanings
from darktimer.process.timeline import Timeline


class Conductor:
    """One run of one timeline, with a cue set that holds the answers too.

    A ``brisk`` one, for rehearsals, has the plan jump over its long quiet spans.
    """

    def __init__(
        self, timeline: Timeline, cue_set: CueSet, waits: Waits, *, brisk: bool = False
    ) -> None:
        self.timeline = timeline
        script = Script(timeline, cue_set.length_ms)
        self.state = State(script, Course(), gates(timeline, waits), brisk)
        self.leave_gates_before(0)

    def take(self, event: Event, now: Now) -> State:
        """What follows an event; it is the state from now on. A key in vain leaves no trace."""
        state = self.state.at(now)
        move = _TABLE[state.phase(now)][event.what]
        noted, marks = state, move is moves.mark
        if event.key:
            meaning = meanings.MARKED if marks else event.what
            noted = state.noting("key", meaning, key=event.key)
        after = move(noted, event)
        self.state = state if after is noted and not marks else after
        return self.state

    def leave_gates_before(self, plan_ms: int) -> None:
        """A run that begins in the middle waits at no gate that lies before it."""
        left = tuple(gate for gate in self.state.gates if gate.plan_ms >= plan_ms)
        state = self.state._replace(gates=left, course=Course())
        self.state = follow(state.stopping(state.next_stop_ms))

    def take_up(
        self, kept: dict[str, Any], heard: Container[tuple[str, int]], from_ms: int, now: Now
    ) -> State:
        """Goes on from a state that `State.kept` gave, as if the run had never stopped.

        ``heard`` are the cues that were heard to their end, each with its moment on the plan, and
        ``from_ms`` is the run's last sign of life. What is past and was not heard is no longer
        there; acts among it that are not long gone are made up for when sound is back.
        """
        state = follow(self.state.taken_up(self.state.kept() | kept))
        past = [c for c in state.cues if c.at_ms < now.filled_ms]
        unheard = [c for c in past if (c.meaning, state.planned_ms(c)) not in heard]
        lately_ms = from_ms - LATE_MS
        owed = (c for c in unheard if acts(c) and (c.at_ms >= lately_ms or c.meaning in TIMELESS))
        self.state = state._replace(row=state.row.without(unheard), owed=tuple(owed))
        return self.take(Event(TIME), now)


#: What each event does in each phase: the names of `moves`.
_WRITTEN: Final = """
              go on    where am I  hold     abort    time     silence  no more keys
going         mark     answer      hold     abort    time     make_up  wait_no_more
loading       loaded   answer      hold     abort    time     make_up  wait_no_more
film coming   film_in  answer      hold     abort    time     make_up  wait_no_more
film awaited  leave    answer      refuse   abort    time     make_up  wait_no_more
held          resume   answer      refuse   abort    time     make_up  wait_no_more
over          nothing  nothing     nothing  nothing  nothing  make_up  nothing
aborted       nothing  nothing     nothing  nothing  nothing  make_up  nothing
"""


def _read(written: str) -> dict[Phase, dict[str, Callable[[State, Event], State]]]:
    """Two spaces or more lie between the columns."""
    head, *rows = (re.split(r" {2,}", line.strip()) for line in written.strip().splitlines())
    return {
        Phase(phase): dict(zip(head, (getattr(moves, each) for each in names), strict=True))
        for phase, *names in rows
    }


_TABLE: Final = _read(_WRITTEN)
