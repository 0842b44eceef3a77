"""Dark means dark, and a run survives: the whole program in a terminal, on a real sound server."""

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from darktimer.journal import Journal
from tests.device.null_sink import Server
from tests.live.dark_room import DarkRoom, written_plan


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of a megabyte where mounting one is allowed, a folder elsewhere."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = shutil.which("mount")
    small = [mount, "-t", "tmpfs", "-o", "size=1m", "tmpfs", folder]
    mounted = mount and not subprocess.run(small, capture_output=True).returncode
    yield folder
    if mounted:
        subprocess.run(["umount", "-l", folder], check=True)


def _fill(disk: Path) -> Path | None:
    """Fills a small disk to the last byte; returns the file that does, None for a large disk."""
    if shutil.disk_usage(disk).total > 2_000_000:
        return None
    filler = disk / "filler"
    with filler.open("wb", buffering=0) as file, suppress(OSError):
        while True:
            file.write(bytes(512))
    return filler


def _begun(server: Server, home: Path, tmp_path: Path, *options: str) -> DarkRoom:
    plan, sounds = written_plan(tmp_path)
    words = ("run", str(plan), "--cues", str(sounds), "--no-gates", "--start-in", "0.1 s", *options)
    room = DarkRoom(server, home, *words)
    room.wait_for(b"\x1b[?25l")
    return room


def test_not_one_byte_in_the_dark_whatever_happens(server, disk, tmp_path):
    room = _begun(server, disk, tmp_path)
    try:
        _everything_happens(room, server, disk)
        assert room.since_black == b""
        happened = room.happened()
        kinds = {e.meaning for e in happened if e.kind == "fault"}
        assert {"lost", "back"} <= kinds
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


def _everything_happens(room: DarkRoom, server: Server, disk: Path) -> None:
    """Every fault of a run in the dark, one after another, with keys between them."""
    room.wait_until(3_000)
    room.press(b"x", b"\x1b[A", b"\x1b[6~", b"\xc3\xa9")
    server.kill()
    time.sleep(1)
    server.start()
    room.wait_until(9_000)
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGTSTP, signal.SIGQUIT):
        room.signal(number)
        time.sleep(0.3)
    filler = _fill(disk)
    room.press(b"x", b" ", b"\x03", b"\x1a")
    room.signal(signal.SIGSTOP)
    time.sleep(3)
    room.signal(signal.SIGCONT)
    if filler:
        filler.unlink()
    room.wait_until(18_000)
    server.freeze()
    time.sleep(2)
    server.thaw()
    room.wait_until(24_000)
    server.remove_sink("nullsink")
    time.sleep(1)
    server.return_sink("nullsink")
    room.press(*[b"z"] * 5)
    room.wait_until(47_500)


def _led_through_the_pages(server: Server, tmp_path: Path) -> DarkRoom:
    plan, sounds = written_plan(tmp_path)
    words = ("run", str(plan), "--cues", str(sounds), "--no-gates")
    room = DarkRoom(server, tmp_path / "home", *words)
    room.wait_for(b"to try speaker and keys")
    room.press(b" ")
    room.wait_for(b"you hear a mark")
    room.press(b"x", b" ")
    room.wait_for(b"Space to begin")
    room.press(b" ")
    room.wait_for(b"\x1b[?25l")
    return room


def test_a_terminal_that_goes_away_takes_no_sound_along(server, tmp_path):
    room = _led_through_the_pages(server, tmp_path)
    try:
        room.wait_until(4_000)
        room.close_terminal()
        room.signal(signal.SIGHUP)
        room.wait_until(12_000)
        heard = [e.meaning for e in room.happened() if e.kind == "cue"]
        assert heard[-2:] == ["enter-develop", "move"]
        assert any("no more keys" in e.meaning for e in room.happened())
    finally:
        room.kill()


def test_a_killed_run_is_taken_up_where_the_film_is(server, tmp_path):
    room = _begun(server, tmp_path / "home", tmp_path)
    room.wait_until(12_000)
    room.kill()
    before = len(room.happened())
    time.sleep(2)
    again = DarkRoom(server, tmp_path / "home", "run", "--resume")
    try:
        again.wait_for(b"\x1b[?25l")
        time.sleep(6)
        assert again.since_black == b""
        assert again.written.index(b"\x1b") == 0, "dark from the first byte"
        new = again.happened()[before:]
        assert new[0].meaning.startswith("cut off")
        taken_up = [e.meaning for e in new if e.kind == "cue"]
        assert taken_up[:2] == ["back", "here-develop"]
        assert taken_up[2].startswith("left-")
    finally:
        again.kill()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a terminal of its own")
def test_a_key_before_the_lights_go_out_leaves_everything_as_it_was(server, tmp_path):
    plan, sounds = written_plan(tmp_path)
    room = DarkRoom(server, tmp_path / "home", "run", str(plan), "--cues", str(sounds))
    try:
        room.wait_for(b"to try speaker and keys")
        room.press(b"\x03")
        assert room.ended() == 4
        assert b"\x1b[?25l" not in room.written
        assert not (tmp_path / "home" / "journal.sqlite3").exists()
    finally:
        room.kill()
