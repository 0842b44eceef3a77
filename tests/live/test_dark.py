"""Dark means dark, and a run survives: the whole program in a terminal, on a real sound server."""

import os
import re
import shutil
import signal
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from darktimer.journal.events import Event
from darktimer.journal.journal import Journal
from tests.device.null_sink import Server
from tests.live.dark_room import DarkRoom, written_plan
from tests.live.witness import Witness
from tests.small_disk import small_disk

BACK_WITHIN_MS = 2_000
#: How long develop lasts, and when the plan ends it, had no key held it before.
DEVELOP_S, DEVELOPED_MS = 90, 99_000
#: Enough of it is left after its sleep for the word that sound is back, and for the step.
SLEPT_BEFORE_MS = 7_000


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of a megabyte where mounting one is allowed, a folder elsewhere."""
    with small_disk(tmp_path / "disk", kib=1024):
        yield tmp_path / "disk"


def _fill(disk: Path) -> Path | None:
    """Fills a small disk to the last byte; returns the file that does, None for a large disk."""
    if shutil.disk_usage(disk).total > 2_000_000:
        return None
    filler = disk / "filler"
    with filler.open("wb", buffering=0) as file, suppress(OSError):
        while True:
            file.write(bytes(512))
    return filler


def _begun(
    server: Server, home: Path, tmp_path: Path, develop_s: int = 26, faults: Path | None = None
) -> DarkRoom:
    plan, sounds = written_plan(tmp_path, develop_s)
    words = ("run", str(plan), "--cues", str(sounds), "--no-gates", "--start-in", "0.1 s")
    room = DarkRoom(server, home, *words, faults=faults)
    room.wait_for(b"\x1b[?25l")
    return room


def test_not_one_byte_in_the_dark_whatever_happens(server, disk, tmp_path):
    room = _begun(server, disk, tmp_path, DEVELOP_S, faults=tmp_path)
    try:
        with Witness() as witness:
            ended = _everything_happens(room, server, disk, witness)
        room.wait_for_cue("light-safe", 0, limit_s=40)
        assert room.since_black == b""
        happened = room.happened()
        print(*(f"{e.at_ms} {e.kind} {e.meaning}" for e in happened[-40:]), sep="\n")
        for fault, (at_ms, late_ms) in ended.items():
            _assert_told(happened, fault, at_ms, BACK_WITHIN_MS + late_ms)
        found = [e.meaning for e in happened if e.kind == "fault"]
        assert {"lost", "back", "stalled", "slept", "callback-error"} <= set(found)
        assert found.count("lost") >= 4, "killed, frozen, removed, suspended"
        safe = [e for e in happened if e.kind == "cue" and e.meaning == "light-safe"]
        assert safe, "the light-safe cue was heard"
        assert room.since_black == b"", "and still the screen waits for a key"
        room.press(b"x")
        room.wait_for(b"\x1b[?1049l")
        room.press(b"\x03")
        assert room.ended() == 4
        assert b"Faults:" in room.written
    finally:
        room.kill()
    with Journal.open(disk) as journal:
        assert journal.run(1).state == "aborted"
        assert journal.unfinished_run() is None


def _assert_told(happened: list[Event], fault: str, ended_ms: int, within_ms: float) -> None:
    """Within 2 s of a fault's end the word that sound is back was heard, then the step."""
    since = [e for e in happened if e.at_ms >= ended_ms]
    print(fault, *(f"{e.at_ms} {e.kind} {e.meaning}" for e in since[:8]), sep="\n  ")
    cues = [e for e in since if e.kind == "cue"]
    words = [e.meaning for e in cues[:2]]
    assert words == ["back", "here-develop"], f"{fault}: {words}"
    assert cues[0].at_ms - ended_ms <= within_ms, fault


def _everything_happens(
    room: DarkRoom, server: Server, disk: Path, witness: Witness
) -> dict[str, tuple[int, float]]:
    """Every fault of a run in the dark, one after another, with keys between them.

    Returns when each of those that take the sound away had ended, and for how many milliseconds the
    machine kept everybody waiting after it. It sleeps nearly to the end of develop, however long
    the others took.
    """
    ended: dict[str, tuple[int, float]] = {}

    def over(fault: str) -> None:
        at_ms, late_ms = room.session_ms(), witness.late_ms
        room.wait_for_cue("here-develop", at_ms)
        ended[fault] = at_ms, witness.late_ms - late_ms

    room.wait_until(3_000)
    room.press(b"x", b"\x1b[A", b"\x1b[6~", b"\xc3\xa9")
    room.wait_for_cue("move", 0)
    moved = next(e for e in room.happened() if (e.kind, e.meaning) == ("cue", "move"))
    held_ms = moved.at_ms - (moved.planned_ms or 0)  # by the keys, for a while
    server.kill()
    time.sleep(1)
    server.start()
    over("server killed")
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGTSTP, signal.SIGQUIT):
        room.signal(number)
        time.sleep(0.1)
    filler = _fill(disk)
    room.press(b"x", b" ", b"\x03", b"\x1a")
    room.signal(signal.SIGSTOP)
    time.sleep(2)
    room.signal(signal.SIGCONT)
    if filler:
        filler.unlink()
    over("process stopped")
    server.freeze()
    time.sleep(2)
    server.thaw()
    over("server frozen")
    server.remove_sink("spare")
    server.remove_sink("nullsink")
    time.sleep(1)
    server.return_sink("nullsink")
    over("sink removed")
    server.tell("suspend-sink", "nullsink", "1")
    time.sleep(2.2)
    server.tell("suspend-sink", "nullsink", "0")
    over("sink suspended")
    room.fail_for(1.5)
    over("no samples")
    room.sleep_until(DEVELOPED_MS + held_ms - SLEPT_BEFORE_MS)
    over("slept")
    room.press(*[b"z"] * 5)
    return ended


def _led_through_the_pages(server: Server, tmp_path: Path) -> DarkRoom:
    plan, sounds = written_plan(tmp_path)
    words = ("run", str(plan), "--cues", str(sounds), "--no-gates")
    room = DarkRoom(server, tmp_path / "home", *words)
    room.turn_pages(until=b"to try speaker and keys, Ctrl-C to leave.")
    room.press(b" ")
    room.wait_for(b"you hear a mark")
    room.press(b"x", b" ")
    room.wait_for(b"Press space again to answer it.")
    room.press(b" ")
    room.turn_pages(until=b"Space to begin, Ctrl-C to leave.")
    room.press(b" ")
    room.wait_for(b"\x1b[?25l")
    return room


def test_every_page_fits_the_screen_and_waits_and_one_stream_serves_them_all(server, tmp_path):
    rows = 16
    room = DarkRoom(server, tmp_path / "home", "run", "open-tub-half-agitation", rows=rows)
    try:
        room.wait_for(b"Space to go on")
        (stream,) = server.tell("list", "short", "sink-inputs").splitlines()
        room.turn_pages(until=b"to try speaker and keys, Ctrl-C to leave.")
        room.press(b" ")
        room.wait_for(b"you hear a mark")
        assert server.tell("list", "short", "sink-inputs").splitlines() == [stream]
        room.press(b" ")
        room.wait_for(b"Press space again to answer it.")
        room.press(b" ")
        room.turn_pages(until=b"Space to begin, Ctrl-C to leave.")
        pages = re.split(r"Ctrl-C to leave\.|space: go on", room.written.decode())[:-1]
        assert len(pages) > 4
        assert max(page.strip().count("\n") + 2 for page in pages) <= rows
        assert "Makers' safety sheets" in "".join(pages)
        room.press(b"\x03")
        assert room.ended() == 4
        assert b"\x1b[?25l" not in room.written
    finally:
        room.kill()


def test_a_terminal_that_goes_away_takes_no_sound_along(server, tmp_path):
    room = _led_through_the_pages(server, tmp_path)
    try:
        room.wait_until(4_000)
        room.close()
        room.signal(signal.SIGHUP)
        room.wait_for_cue("move", 0)
        heard = [e.meaning for e in room.happened() if e.kind == "cue"]
        assert heard[-2:] == ["enter-develop", "move"]
        assert any("no more keys" in e.meaning for e in room.happened())
    finally:
        room.kill()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a terminal of its own")
def test_a_key_before_the_lights_go_out_leaves_everything_as_it_was(server, tmp_path):
    plan, sounds = written_plan(tmp_path)
    room = DarkRoom(server, tmp_path / "home", "run", str(plan), "--cues", str(sounds))
    try:
        room.turn_pages(until=b"to try speaker and keys, Ctrl-C to leave.")
        room.press(b"\x03")
        assert room.ended() == 4
        assert b"\x1b[?25l" not in room.written
        assert not (tmp_path / "home" / "journal.sqlite3").exists()
    finally:
        room.kill()
