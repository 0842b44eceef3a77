"""One run in the dark, killed outright at random moments and taken up again, over and over.

After each kill the journal must hold every row that could be read before it, and the terminal must
have been given nothing but black. Each time the run is taken up must be where real time is.
"""

import random
import signal
import time
from pathlib import Path
from typing import NamedTuple

from darktimer.journal import Event, Journal
from tests.device.null_sink import Server
from tests.live.dark_room import BLACK_FROM_THE_FIRST_BYTE, DarkRoom, written_plan

LONGEST_LIFE_S = 2.0
PATIENCE_S = 30
_LOOKS_S = 0.02


class TakenUp(NamedTuple):
    """How long after its start a process had taken the run up, and at which session time.

    It must be no sooner than ``from_ms`` and no later than ``to_ms``, by the boot clock.
    """

    after_ms: int
    at_ms: int
    from_ms: int
    to_ms: int


class Killed(NamedTuple):
    """What came of it all; ``cues`` are those after the last taking up."""

    kills: int
    rows: int
    rows_lost: int
    light: int
    taken_up: list[TakenUp]
    cues: list[str]


def killed(server: Server, folder: Path, kills: int, seed: int) -> Killed:
    """A run killed so many times; the last process lives until it has said where it is."""
    chance, home = random.Random(seed), folder / "home"
    plan, sounds = written_plan(folder, develop_s=3600)
    words = ("run", str(plan), "--cues", str(sounds), "--no-gates", "--start-in", "0.1 s")
    room = DarkRoom(server, home, *words)
    lost = light = 0
    taken_up: list[TakenUp] = []
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
                room, again = _resumed(server, home, journal, life_s)
                taken_up += again
            cues = _told(journal)
            rows = len(journal.events(1))
    finally:
        room.kill()
    light += _light(room, dark_from_the_first_byte=True)
    return Killed(kills, rows, lost, light, taken_up, cues)


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
            found = [_taken_up(new[0], from_ms, _session_ms(journal))]
        time.sleep(_LOOKS_S)
    return room, found


def _told(journal: Journal) -> list[str]:
    """What is told after the last taking up, to the time left."""
    end, cues = time.monotonic() + PATIENCE_S, [""]
    while time.monotonic() < end and not cues[-1].startswith("left-"):
        time.sleep(_LOOKS_S)
        rows = journal.events(1)
        last = max(i for i, row in enumerate(rows) if row.meaning.startswith("cut off"))
        cues = [row.meaning for row in rows[last:] if row.kind == "cue"] or [""]
    return cues


def _taken_up(event: Event, from_ms: int, to_ms: int) -> TakenUp:
    return TakenUp(event.at_ms - from_ms, event.at_ms, from_ms, to_ms)


def _session_ms(journal: Journal) -> int:
    now_ms = time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1_000_000
    return now_ms - (journal.run(1).started.boot_ms or 0)


def _light(room: DarkRoom, dark_from_the_first_byte: bool) -> int:
    """Bytes in the dark that do not blacken the terminal."""
    if not dark_from_the_first_byte:
        return len(room.since_black)
    written = room.written
    return 0 if BLACK_FROM_THE_FIRST_BYTE.startswith(written) else len(written)
