"""One run in the dark, killed outright at random moments and taken up again, over and over.

After each kill the journal must hold every row that could be read before it, and the terminal must
have been given nothing but black. Each time the run is taken up must be where real time is: by the
journal's own clocks, and by an ear that knows when the plan's acts are due.
"""

import random
import signal
import time
from pathlib import Path
from typing import NamedTuple

import numpy as np

from darktimer.journal.events import CUE
from darktimer.journal.journal import Journal
from tests.device.null_sink import RATE, Ear, Heard, Server
from tests.live.dark_room import BLACK_FROM_THE_FIRST_BYTE, DarkRoom, written_plan

LONGEST_LIFE_S = 4.0
PATIENCE_S = 30
LOUD = 1_000
#: What is said beside the plan keeps half a second clear of acts.
NEAR_MS = 250
_LOOKS_S = 0.02


class TakenUp(NamedTuple):
    """How long after its start a process had taken the run up, and how far off its place was.

    ``off_ms`` is by the journal's clocks: what the wall's had gone since the run began, less the
    session time that was written down beside it.
    """

    after_ms: int
    off_ms: int


class Killed(NamedTuple):
    """What came of it all; ``cues`` are those after the last taking up.

    ``late_ms`` is how much later than due each act was heard, a constant of the sink included.
    """

    kills: int
    rows: int
    rows_lost: int
    light: int
    taken_up: list[TakenUp]
    late_ms: list[float]
    cues: list[str]


def killed(server: Server, folder: Path, kills: int, seed: int) -> Killed:
    """A run killed so many times; the last process lives until it has said where it is."""
    chance, home = random.Random(seed), folder / "home"
    plan, sounds = written_plan(folder, develop_s=3600, agitation="{share: 1/2, cycle: 10 s}")
    words = ("run", str(plan), "--cues", str(sounds), "--no-gates", "--speaker", "none")
    room = DarkRoom(server, home, *words, "--start-in", "0.1 s")
    lost = light = 0
    taken_up: list[TakenUp] = []
    late_ms: list[float] = []
    try:
        room.wait_for(b"\x1b[?25l")
        room.wait_until(5_000)
        with Journal.open(home) as journal:
            for turn in range(kills):
                seen = journal.events(1)
                room.signal(signal.SIGKILL)
                room.ended()
                kept = journal.events(1)
                lost += sum(row not in kept for row in seen)
                light += _light(room, dark_from_the_first_byte=turn > 0)
                life_s = None if turn == kills - 1 else chance.uniform(0, LONGEST_LIFE_S)
                ear = Ear(server)
                room, again = _resumed(server, home, journal, life_s)
                taken_up += again
                cues = _told(journal) if life_s is None else []
                late_ms += _late_ms(ear.heard(), journal)
            rows = len(journal.events(1))
    finally:
        room.kill()
    light += _light(room, dark_from_the_first_byte=True)
    return Killed(kills, rows, lost, light, taken_up, late_ms, cues)


def _resumed(
    server: Server, home: Path, journal: Journal, life_s: float | None
) -> tuple[DarkRoom, list[TakenUp]]:
    """A process and its taking up, if it came to that in so long; None: for as long as it takes."""
    before = len(journal.events(1))
    from_ms = _session_ms(journal)
    room = DarkRoom(server, home, "run", "--resume")
    end = time.monotonic() + (PATIENCE_S if life_s is None else life_s)
    found: list[TakenUp] = []
    while time.monotonic() < end and not (found and life_s is None):
        new = [] if found else journal.events(1)[before:]
        if new:
            assert new[0].meaning.startswith("cut off")
            began_ms = journal.run(1).started.wall_utc_ms
            off_ms = new[0].wall_utc_ms - began_ms - new[0].at_ms
            found = [TakenUp(new[0].at_ms - from_ms, off_ms)]
        time.sleep(_LOOKS_S)
    return room, found


def _told(journal: Journal) -> list[str]:
    """What is told after the last taking up, to the step and the next act."""
    end, cues = time.monotonic() + PATIENCE_S, [""]
    while time.monotonic() < end and "here-develop" not in cues[:-1]:
        time.sleep(_LOOKS_S)
        rows = journal.events(1)
        last = max(i for i, row in enumerate(rows) if row.meaning.startswith("cut off"))
        cues = [row.meaning for row in rows[last:] if row.kind == "cue"] or [""]
    return cues


def _late_ms(heard: Heard, journal: Journal) -> list[float]:
    """For each of the plan's own cues heard to its end: how much later than due it was heard."""
    began_ms = journal.run(1).started.boot_ms or 0
    lag_ns = time.clock_gettime_ns(time.CLOCK_BOOTTIME) - time.monotonic_ns()
    loud = np.flatnonzero(np.abs(heard.samples) > LOUD)
    onsets = loud[np.flatnonzero(np.diff(loud, prepend=-RATE) > RATE // 3)]
    heard_ms = [(heard.monotonic_ns(int(at)) + lag_ns) / 1e6 - began_ms for at in onsets]
    due_ms = [e.at_ms for e in journal.events(1) if e.kind == CUE and e.planned_ms == e.at_ms]
    late = [at_ms - due for at_ms in heard_ms for due in due_ms]
    return [each for each in late if abs(each) < NEAR_MS]


def _session_ms(journal: Journal) -> int:
    now_ms = time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1_000_000
    return now_ms - (journal.run(1).started.boot_ms or 0)


def _light(room: DarkRoom, dark_from_the_first_byte: bool) -> int:
    """Bytes in the dark that do not blacken the terminal."""
    if not dark_from_the_first_byte:
        return len(room.since_black)
    written = room.written
    return 0 if BLACK_FROM_THE_FIRST_BYTE.startswith(written) else len(written)
