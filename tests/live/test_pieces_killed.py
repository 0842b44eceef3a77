"""A film in pieces whose run is killed in the midst of them and taken up, heard by the ear."""

import signal
import time
from pathlib import Path

import soundfile

from darktimer.cues.reader import load_cue_set
from darktimer.ear.hearing import hear
from darktimer.ear.recording import Recording
from tests.device.null_sink import RATE, Ear, Server
from tests.live.dark_room import BLACK, BLACK_FROM_THE_FIRST_BYTE, DarkRoom

#: The develop begins at 4 s. Piece 2 goes in at 17 s, piece 1 at 34 s, and all leave at 47 s.
PLAN = """
title: Pieces in seconds, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits: {lights out after: 1 s, loading: 3 s, transfer: 3 s, drain: none, opening: none,
   warnings: 6 s, countdown: 2, heartbeat: none}
steps:
  - load: by hand
  - develop: 40 s
    agitation: none
    pieces: {times: [10 s, 27 s, 40 s], in: one by one}
  - fix: 1 min
"""
KILLED_MS, TAKEN_UP_MS, PIECE_1_MS, OVER_MS = 14_000, 18_000, 34_000, 38_000
#: A null sink's constant, by which its streams differ, and the ear's own.
NEAR_MS = 150


def test_a_run_killed_among_pieces_goes_on_with_the_right_one(
    server: Server, tmp_path: Path
) -> None:
    """Piece 2 was due while nobody led: it is asked for; piece 1 goes in on its moment."""
    plan, home = tmp_path / "pieces.yaml", tmp_path / "home"
    plan.write_text(PLAN)
    room = DarkRoom(
        server, home, "run", str(plan), "--no-gates", "--speaker", "none", "--start-in", "0.1 s"
    )
    try:
        room.wait_for(BLACK)
        room.wait_until(KILLED_MS)
        room.signal(signal.SIGKILL)
        room.ended()
        assert room.since_black == b""
        room.wait_until(TAKEN_UP_MS)
        ear = Ear(server)
        room = DarkRoom(server, home, "run", "--resume")
        room.wait_until(OVER_MS)
        sound = ear.heard()
        events = room.happened()
        assert BLACK_FROM_THE_FIRST_BYTE.startswith(room.written)
    finally:
        room.kill()
    later = [event for event in events if event.at_ms > TAKEN_UP_MS]
    late = [e.meaning for e in later if e.meaning.startswith("late")]
    assert [each for each in late if each != "late stand"] == ["late piece-2"]
    soundfile.write(tmp_path / "heard.flac", sound.samples, RATE)
    found = list(hear(Recording(tmp_path / "heard.flac"), load_cue_set("standard")))
    # The stand of the moment before is left out where the run is taken up just after it.
    told = [each.meaning for each in found if each.meaning not in ("pip", "stand")]
    assert told[:4] == ["piece-2", "enter", "back", "here-1"]
    began_ms = _began_ms(room)
    put_in = [each for each in found if each.meaning == "enter"][-1]
    lag_ns = time.clock_gettime_ns(time.CLOCK_BOOTTIME) - time.monotonic_ns()
    at_ms = (sound.monotonic_ns(round(put_in.at_ms * RATE / 1000)) + lag_ns) / 1e6 - began_ms
    assert abs(at_ms - PIECE_1_MS) < NEAR_MS


def _began_ms(room: DarkRoom) -> int:
    """The run's first moment on the boot clock."""
    return time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1_000_000 - room.session_ms()
