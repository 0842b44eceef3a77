"""A sound server killed and started again, over and over, under one whole run in the dark.

What is measured is heard: each time a recording begins as the server is back, and says when the
first sound above the background was in it. The journal says which sound that was.
"""

import time
from pathlib import Path
from typing import NamedTuple

import numpy as np

from darktimer.journal.events import Event
from tests.device.null_sink import Ear, Server
from tests.live.dark_room import DarkRoom, written_plan
from tests.live.witness import Witness

GONE_S = 0.8
#: As long as an answer takes, so that none goes on when sound is back the next time.
HEARD_S = 6.2
LOUD = 1_000
_LEAD_S = 11


class Return(NamedTuple):
    """From the server's return to the sound and to the first cue by the journal, and as recorded.

    ``cues`` are what was told then: the word that sound is back, and what followed; ``late_ms`` is
    for how long the machine kept everybody waiting meanwhile.
    """

    sound_ms: int
    cue_ms: int
    heard_ms: float
    cues: tuple[str, ...]
    late_ms: float


def returns(server: Server, folder: Path, kills: int) -> tuple[list[Return], DarkRoom]:
    """Each return of a run that is led through so many kills; the room is left in the dark."""
    seconds = _LEAD_S + round(kills * (GONE_S + HEARD_S + 1)) + 15
    plan, sounds = written_plan(folder, develop_s=seconds)
    words = ("run", str(plan), "--cues", str(sounds), "--no-gates", "--speaker", "none")
    room = DarkRoom(server, folder / "home", *words, "--start-in", "0.1 s")
    try:
        room.wait_for(b"\x1b[?25l")
        room.wait_until(_LEAD_S * 1000)
        began_ms = room.session_ms()
        moments = [_killed(server, room) for _ in range(kills)]
        happened = [each for each in room.happened() if each.at_ms > began_ms]
        return [_return(happened, *moment) for moment in moments], room
    except BaseException:
        room.kill()
        raise


def _killed(server: Server, room: DarkRoom) -> tuple[int, float, float]:
    """Once; the session's moment of the return, how much later a cue was heard, and `late_ms`."""
    server.kill()
    time.sleep(GONE_S)
    server.start()
    returned_ms, returned_ns = room.session_ms(), time.monotonic_ns()
    with Witness() as witness:
        ear = Ear(server)
        time.sleep(HEARD_S)
    heard = ear.heard()
    loud = np.flatnonzero(np.abs(heard.samples) > LOUD)
    assert len(loud), "no cue was heard"
    return returned_ms, (heard.monotonic_ns(int(loud[0])) - returned_ns) / 1e6, witness.late_ms


def _return(happened: list[Event], returned_ms: int, heard_ms: float, late_ms: float) -> Return:
    since = [e for e in happened if returned_ms < e.at_ms < returned_ms + HEARD_S * 1000]
    sound_ms = next(e.at_ms for e in since if (e.kind, e.meaning) == ("fault", "back"))
    cues = [e for e in since if e.kind == "cue"]
    told = tuple(e.meaning for e in cues)
    return Return(sound_ms - returned_ms, cues[0].at_ms - returned_ms, heard_ms, told, late_ms)
