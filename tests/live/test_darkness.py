"""The terminal, the display, the journal's thread: each by itself."""

import os
import pty
import select
import shutil
import subprocess
import sys
import time

import pytest

from darktimer.journal import Event, JournalError
from darktimer.live import display
from darktimer.live.awake import kept_awake
from darktimer.live.display import Display, Tool, tools
from darktimer.live.scribe import Scribe

_BLACKENED = """
import os, sys
from pathlib import Path
from darktimer.live.blackout import Blackout
black = Blackout(Path(sys.argv[1]))
print("before", flush=True)
black.begin()
print("said in the dark")
os.write(2, b"and by a library\\n")
black.begin()
black.end()
print("after")
black.end()
"""


def test_what_is_written_in_the_dark_goes_to_the_log(tmp_path):
    log = tmp_path / "new" / "dark.log"
    done = subprocess.run(
        [sys.executable, "-c", _BLACKENED, str(log)], capture_output=True, text=True, check=True
    )
    assert (done.stdout, done.stderr) == ("before\nafter\n", "")
    assert sorted(log.read_text().splitlines()) == ["and by a library", "said in the dark"]


def test_a_log_that_cannot_be_written_makes_no_light(tmp_path):
    done = subprocess.run(
        [sys.executable, "-c", _BLACKENED, str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
    )
    assert (done.stdout, done.stderr) == ("before\nafter\n", "")


def test_the_display_is_switched_by_what_is_there(tmp_path):
    off, on = tmp_path / "off", tmp_path / "on"
    missing = Tool("Missing", ("no-such-program",), ("no-such-program",))
    works = Tool("Works", ("touch", str(off)), ("touch", str(on)))
    screen = Display([missing, works])
    screen.off()
    screen.on()
    assert off.exists()
    assert on.exists()


def test_a_display_that_nothing_could_switch_off_is_not_switched_on(tmp_path):
    on = tmp_path / "on"
    screen = Display([Tool("Missing", ("no-such-program",), ("touch", str(on)))])
    screen.off()
    screen.on()
    assert not on.exists()


def test_tools_are_those_of_the_system_that_are_installed(monkeypatch):
    monkeypatch.setattr(display.shutil, "which", lambda name: name)
    assert tools({"DISPLAY": ":0"}, "linux")[0].off[0] == "xset"
    assert tools({"DISPLAY": ":0", "WAYLAND_DISPLAY": "w"}, "linux")[0].system == "Wayland"
    assert tools({"TERM": "linux"}, "linux")[0].off[0] == "setterm"
    assert tools({}, "darwin")[0].off[0] == "pmset"
    monkeypatch.setattr(display.shutil, "which", lambda name: None)
    assert tools({"DISPLAY": ":0"}, "linux") == []
    assert "cover it" in display.display_words()


@pytest.mark.skipif(not shutil.which("setterm"), reason="no Linux console's tool here")
@pytest.mark.parametrize("switch", ["off", "on"])
def test_the_consoles_tool_writes_nothing_to_the_terminal_it_switches(switch):
    (console,) = tools({"TERM": "linux"}, "linux")
    ours, theirs = pty.openpty()
    try:
        subprocess.run(
            getattr(console, switch),
            env=os.environ | {"TERM": "linux"},
            stdin=theirs,
            stdout=theirs,
            stderr=subprocess.DEVNULL,
            check=False,
            timeout=10,
        )
        assert select.select([ours], [], [], 0.2)[0] == []
    finally:
        os.close(ours)
        os.close(theirs)


def test_staying_awake_says_so_where_it_cannot(monkeypatch, capfd):
    for name in ("DBUS_SESSION_BUS_ADDRESS", "DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    with kept_awake() as told:
        assert told == "" or "sleep" in told
    assert capfd.readouterr() == ("", "")


class Disk:
    """A journal whose disk is full for a while."""

    def __init__(self) -> None:
        self.full = True
        self.kept: list[Event] = []
        self.ended: tuple[str, int] | None = None

    def record(self, run: int, event: Event) -> None:
        if self.full:
            raise JournalError("journal", "the disk is full", "free some space", "full")
        self.kept.append(event)

    def finish_run(self, run: int, state: str, exit_status: int) -> None:
        self.ended = (state, exit_status)


def event(at_ms: int) -> Event:
    return Event(at_ms, 0, "cue", "move")


def test_what_a_full_disk_refused_is_written_when_there_is_room(monkeypatch):
    monkeypatch.setattr("darktimer.live.scribe._AGAIN_S", 0.01)
    disk = Disk()
    scribe = Scribe(disk, 7)
    for at_ms in (1, 2, 3):
        scribe.write(event(at_ms))
    time.sleep(0.1)
    disk.full = False
    scribe.finish(aborted=False, exit_status=3)
    assert [e.at_ms for e in disk.kept if e.kind == "cue"] == [1, 2, 3]
    assert [e.meaning for e in disk.kept if e.kind == "fault"] == ["journal"]
    assert disk.ended == ("finished", 3)
    assert len(scribe.troubles) == 1


def test_a_disk_that_stays_full_is_given_up_and_told_of(monkeypatch):
    monkeypatch.setattr("darktimer.live.scribe._AGAIN_S", 0.01)
    monkeypatch.setattr("darktimer.live.scribe._LAST_CHANCE_S", 0.1)
    scribe = Scribe(Disk(), 7)
    scribe.write(event(1))
    began = time.monotonic()
    scribe.finish(aborted=True, exit_status=4)
    assert time.monotonic() - began < 5
    assert any("could not be written" in told for told in scribe.troubles)


def test_without_a_journal_nothing_is_kept_and_nothing_fails():
    scribe = Scribe(None)
    scribe.write(event(1))
    scribe.finish(aborted=False, exit_status=0)
    assert scribe.troubles == []
