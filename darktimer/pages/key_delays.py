"""How long after what it answers each key for "go on" was pressed in a rehearsal."""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from darktimer.live.cue_queue import acts
from darktimer.live.session import Session
from darktimer.terminal.table import print_table
from darktimer.terminal.text import say
from darktimer.units import seconds_clock

#: What a key for "go on" can end, or do without.
_ANSWERS: Final = {
    ("gate", "went on"): "the wait",
    ("gate", "passed"): "no wait",
    ("hold", "went on"): "the hold",
}


class Press(NamedTuple):
    """A key for "go on": when, in which step, and how long after what it answers."""

    at_ms: int
    step: str
    answers: str
    late_ms: int


def presses(session: Session) -> Iterator[Press]:
    """Every such key of a session, in order of time."""
    conductor = session.conductor
    for at_ms, _, kind, meaning, step, _, detail in session.log:
        name = conductor.timeline.steps[step or 0].name
        if (kind, meaning) in _ANSWERS:
            yield Press(at_ms, name, _ANSWERS[kind, meaning], detail.get("late_ms", 0))
        elif kind == "key" and meaning == "marked":
            before = [cue for cue in conductor.state.cues if cue.at_ms <= at_ms and acts(cue)]
            if before:
                yield Press(at_ms, name, before[-1].meaning, at_ms - before[-1].at_ms)


def print_presses(session: Session, pressed: Sequence[Press]) -> None:
    """What went wrong, then each key."""
    for at_ms, found in session.troubles:
        say(f"{seconds_clock(at_ms)} {found}")
    if not pressed:
        say("No key for going on was pressed.")
        return
    rows = [[seconds_clock(p.at_ms), p.step, p.answers, _late(p.late_ms)] for p in pressed]
    columns = [("At", "right"), ("Step", "left"), ("After", "left"), ("Late by", "right")]
    say("How long each key for going on came after its cue:")
    print_table(columns, rows)


def _late(ms: int) -> str:
    return f"{abs(ms) / 1000:.1f} s{' early' if ms < 0 else ''}"
