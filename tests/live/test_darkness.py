"""The display, staying awake, the journal's thread: each by itself."""

import ctypes
import os
import pty
import select
import shutil
import subprocess
import time
from types import SimpleNamespace

import pytest
import wakepy

from darktimer.journal.events import Event
from darktimer.journal.refusal import JournalError
from darktimer.live import display
from darktimer.live.awake import kept_awake
from darktimer.live.display import Display, due_s, tools
from darktimer.live.journal_writer import JournalWriter


def test_tools_are_those_of_the_system_that_are_installed(monkeypatch):
    monkeypatch.setattr(display.shutil, "which", lambda name: name)
    assert tools({"DISPLAY": ":0"}, "linux")[0].off[0] == "xset"
    assert tools({"DISPLAY": ":0", "WAYLAND_DISPLAY": "w"}, "linux")[0].off[0] == "wlopm"
    assert tools({"TERM": "linux"}, "linux")[0].off[0] == "setterm"
    assert tools({}, "darwin")[0].off[0] == "pmset"
    monkeypatch.setattr(display.shutil, "which", lambda name: None)
    assert tools({"DISPLAY": ":0"}, "linux") == []
    assert "cover it" in display.display_words()


def test_every_window_of_windows_is_told(monkeypatch):
    """`WM_SYSCOMMAND` with `SC_MONITORPOWER`: 2 for off, -1 for on, as its makers document it."""
    told: list[tuple[object, ...]] = []
    user = SimpleNamespace(SendMessageTimeoutW=lambda *words: told.append(words) or 1)
    monkeypatch.setattr(ctypes, "windll", SimpleNamespace(user32=user), raising=False)
    screen = Display(tools({}, "win32"))
    screen.off()
    screen.end(wakes=True)
    assert [words[:4] for words in told] == [
        (0xFFFF, 0x0112, 0xF170, 2), (0xFFFF, 0x0112, 0xF170, -1),
    ]  # fmt: skip


def test_a_display_is_told_again_now_and_then_and_a_second_after_the_last_key():
    told = 100.0
    assert due_s(told, key_s=0) == told + 5
    assert due_s(told, key_s=told + 3) == told + 3, "at once, as it is awake now"
    assert due_s(told, key_s=told - 0.01) == told + 0.99, "as it was let go since"
    assert due_s(told, key_s=told + 0.03) == told + 1, "no faster for a key that is held"


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


class Mode:
    """What a system does to keep itself running, as the library has it."""

    def __init__(self, active: bool, at_the_end: Exception | None = None) -> None:
        self.active = active
        self.held = False
        self._at_the_end = at_the_end

    def __enter__(self) -> "Mode":
        self.held = True
        return self

    def __exit__(self, *_: object) -> None:
        self.held = False
        if self._at_the_end:
            raise self._at_the_end


@pytest.fixture
def system(monkeypatch):
    """The modes that were asked of a library whose system is the one given."""

    def of(mode: Mode) -> list[str]:
        asked: list[str] = []

        def ask(name: str):
            return lambda **_: asked.append(name) or mode

        monkeypatch.setattr(
            wakepy, "keep", SimpleNamespace(running=ask("running"), presenting=ask("presenting"))
        )
        return asked

    return of


def test_the_system_is_kept_running_while_its_display_may_sleep(system):
    mode = Mode(active=True)
    asked = system(mode)
    with kept_awake() as told:
        assert mode.held
        assert told == ""
    assert not mode.held
    assert asked == ["running"]


def test_staying_awake_says_so_where_it_cannot(system):
    system(Mode(active=False))
    with kept_awake() as told:
        assert "screen saver" in told


def test_a_bus_that_fails_at_the_end_ends_nothing_else(system):
    system(Mode(active=True, at_the_end=RuntimeError("no bus any more")))
    with kept_awake() as told:
        assert told == ""


def test_a_library_that_fails_is_as_one_that_cannot(monkeypatch):
    monkeypatch.setattr(wakepy, "keep", None)
    with kept_awake() as told:
        assert "sleep" in told


class Disk:
    """A journal whose disk is full for a while."""

    def __init__(self) -> None:
        self.full, self.slow_s = True, 0.0
        self.kept: list[Event] = []
        self.ended: tuple[str, int] | None = None

    def record(self, run: int, *events: Event) -> None:
        if self.full:
            raise JournalError("journal", "the disk is full", "free some space", "full")
        time.sleep(self.slow_s)
        self.kept += events

    def finish_run(self, run: int, state: str, exit_status: int) -> None:
        self.ended = (state, exit_status)


def event(at_ms: int) -> Event:
    return Event(at_ms, 0, "cue", "move")


def test_what_a_full_disk_refused_is_written_when_there_is_room(monkeypatch):
    monkeypatch.setattr("darktimer.live.journal_writer._AGAIN_S", 0.01)
    disk = Disk()
    writer = JournalWriter(disk, 7)
    for at_ms in (1, 2, 3):
        writer.write(event(at_ms))
    time.sleep(0.1)
    disk.full = False
    writer.finish(aborted=False, exit_status=3)
    assert [e.at_ms for e in disk.kept if e.kind == "cue"] == [1, 2, 3]
    assert [e.meaning for e in disk.kept if e.kind == "fault"] == ["journal"]
    assert disk.ended == ("finished", 3)
    assert len(writer.troubles) == 1


def test_a_slow_disk_is_never_far_behind():
    """80 ms a commit and 30 events a second, as a held key sends them."""
    disk = Disk()
    disk.full, disk.slow_s = False, 0.08
    writer = JournalWriter(disk, 7)
    for at_ms in range(20):
        writer.write(event(at_ms))
        time.sleep(0.01)
    time.sleep(0.2)
    assert [e.at_ms for e in disk.kept] == list(range(20)), "all, in order, at once behind"
    writer.finish(aborted=False, exit_status=0)


def test_a_disk_that_stays_full_is_given_up_and_told_of(monkeypatch):
    monkeypatch.setattr("darktimer.live.journal_writer._AGAIN_S", 0.01)
    monkeypatch.setattr("darktimer.live.journal_writer._LAST_CHANCE_S", 0.1)
    writer = JournalWriter(Disk(), 7)
    writer.write(event(1))
    began = time.monotonic()
    writer.finish(aborted=True, exit_status=4)
    assert time.monotonic() - began < 5
    assert any("could not be written" in told for told in writer.troubles)


def test_without_a_journal_nothing_is_kept_and_nothing_fails():
    writer = JournalWriter(None)
    writer.write(event(1))
    writer.finish(aborted=False, exit_status=0)
    assert writer.troubles == []
