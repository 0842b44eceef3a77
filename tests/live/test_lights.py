"""Light is given for a reason or not at all: every way out, with every byte counted."""

import ctypes
import os
import subprocess
import sys
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from darktimer.live import lights
from darktimer.live.lights import Lights
from tests.live.terminal import Terminal

BLACK = b"\x1b[?1049h\x1b[0;30;40m\x1b[2J\x1b[H\x1b[?25l"
EDGE = b"\x1b]11;#000000\x1b\\"
LIT = b"\x1b]111\x1b\\\x1b[0m\x1b[?25h\x1b[?1049l"

#: What a run does, around ``{way}`` which is done in the dark.
_RUN = """
import atexit, os, signal, sys, threading, time
from pathlib import Path
from darktimer.live.lights import Lights, Reason
print("before")
atexit.register(print, "at the very end")
with Lights(Path(sys.argv[1]) / "new" / "dark.log") as lights:
    lights.out()
    print("said in the dark")
    os.write(2, b"and by a library\\n")
    lights.out()
    {way}
print("afterwards")
"""
_WAYS_OUT = {
    "runs out": "pass",
    "exception": "raise RuntimeError('a fault')",
    "exit": "sys.exit(3)",
    "exit with words": "sys.exit('words')",
    "ctrl-c": "raise KeyboardInterrupt",
    "killed": "os.kill(os.getpid(), signal.SIGKILL)",
    "terminated": "os.kill(os.getpid(), signal.SIGTERM)",
    "at once": "os._exit(1)",
    "aborted by a library": "os.abort()",
    "thread": "thread = threading.Thread(target=lambda: 1 / 0); thread.start(); thread.join()",
    "child": "os.system('echo from a child; echo and its faults >&2')",
    "lost words": "sys.stdout = sys.stderr = None",
    "a generator that fails as it is closed": "class Bad:\n        __del__ = lambda _: 1 / 0\n"
    "    bad = Bad()",
}


@pytest.fixture
def tools(tmp_path) -> Path:
    """A folder of programs with one that switches a display, and writes down how."""
    folder = tmp_path / "bin"
    folder.mkdir()
    program = folder / "xset"
    program.write_text(f'#!/bin/sh\necho "$3" >> {tmp_path}/told\n')
    program.chmod(0o755)
    return folder


@pytest.fixture
def at_a_terminal(tmp_path, tools):
    """Runs a way out; returns what the terminal was sent, and what the display was told."""

    def ended(
        way: str, kind: str = "xterm", unbuffered: str = "", **streams
    ) -> tuple[bytes, list[str]]:
        path = f"{tools}:{os.environ['PATH']}"
        here = {"PATH": path, "DISPLAY": ":0", "TERM": kind, "PYTHONUNBUFFERED": unbuffered}
        here.pop("PYTHONUNBUFFERED") if not unbuffered else None
        words = (sys.executable, "-c", _RUN.replace("{way}", way), str(tmp_path))
        terminal = Terminal(words, here, **streams)
        try:
            terminal.ended()
        finally:
            terminal.kill()
        told = tmp_path / "told"
        return terminal.written, told.read_text().split() if told.exists() else []

    return ended


@pytest.mark.parametrize("unbuffered", ["", "1"])
@pytest.mark.parametrize("way", _WAYS_OUT)
def test_no_way_out_gives_light_without_a_reason(at_a_terminal, tmp_path, way, unbuffered):
    written, told = at_a_terminal(_WAYS_OUT[way], unbuffered=unbuffered)
    assert written == b"before\r\n" + EDGE + BLACK
    assert set(told) <= {"off"}
    log = (tmp_path / "new" / "dark.log").read_text()
    assert "and by a library" in log


@pytest.mark.parametrize("reason", ["SAFE", "ASKED_FOR", "NOTHING_DARK"])
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_for_a_reason_everything_is_as_before(at_a_terminal, tmp_path, reason, unbuffered):
    give = f"time.sleep(0.3); lights.on(Reason.{reason})"
    written, told = at_a_terminal(give, unbuffered=unbuffered)
    after = b"afterwards\r\nat the very end\r\n"
    assert written == b"before\r\n" + EDGE + BLACK + LIT + after
    assert told == ["off", "on"]
    log = (tmp_path / "new" / "dark.log").read_text()
    assert sorted(log.splitlines()) == ["and by a library", "said in the dark"]


@pytest.mark.parametrize(
    ("kind", "sent"),
    [("linux", BLACK), ("", BLACK), ("dumb", b""), ("xterm-256color", EDGE + BLACK)],
)
def test_each_kind_of_terminal_is_sent_what_it_obeys(at_a_terminal, kind, sent):
    """What a Linux console does not know of it would print: it has no colour of a window's edge."""
    written, _ = at_a_terminal("pass", kind=kind)
    assert written == b"before\r\n" + sent


def test_a_terminal_is_black_wherever_the_streams_lead(at_a_terminal, tmp_path):
    out, err = (tmp_path / "out").open("wb"), (tmp_path / "err").open("wb")
    with out, err:
        written, told = at_a_terminal("raise RuntimeError('a fault')", stdout=out, stderr=err)
    assert written == EDGE + BLACK
    assert "on" not in told
    assert (tmp_path / "out").read_text() == "before\nat the very end\n", "the streams are back"
    assert "a fault" in (tmp_path / "err").read_text()


def test_what_is_behind_a_pipe_shows_nothing_either(at_a_terminal, tmp_path):
    out = (tmp_path / "out").open("wb")
    with subprocess.Popen(["cat"], stdin=subprocess.PIPE, stdout=out) as shown, out:
        pipe = {"stdout": shown.stdin, "stderr": shown.stdin}
        written, _ = at_a_terminal("raise RuntimeError('a fault')", **pipe)
        assert shown.stdin
        shown.stdin.close()
        shown.wait()
    assert written == EDGE + BLACK
    assert (tmp_path / "out").read_text() == "before\n"


def test_a_log_that_cannot_be_written_makes_no_light(at_a_terminal, tmp_path):
    (tmp_path / "new").write_text("no folder")
    written, _ = at_a_terminal("lights.on(Reason.SAFE)")
    assert written.startswith(b"before\r\n" + EDGE + BLACK + LIT + b"afterwards")


def test_a_terminal_that_takes_nothing_holds_up_no_run(tmp_path):
    """Frozen by its user, or at the end of a line that is down."""
    run = _RUN.replace('print("before")', 'os.set_blocking(1, False)\nwhile True:\n'
        '    try: os.write(1, b"x" * 999)\n    except BlockingIOError: break\n')  # fmt: skip
    way = "Path(sys.argv[1], 'reached').touch()"
    words = (sys.executable, "-c", run.replace("{way}", way), str(tmp_path))
    terminal = Terminal(words, {"TERM": "xterm"}, reads=False)
    try:
        assert terminal.ended(10) == 0
        assert (tmp_path / "reached").exists()
    finally:
        terminal.kill()


def test_a_display_is_told_again_after_a_key_and_now_and_then(at_a_terminal):
    _, told = at_a_terminal("time.sleep(0.5); lights.woken(); time.sleep(1.7)")
    assert told == ["off"] * 3, "at first, at the key, and when it was let go"


def test_a_tool_that_hangs_holds_up_nothing(at_a_terminal, tools, tmp_path):
    (tools / "xset").write_text("#!/bin/sh\nsleep 60\n")
    began = time.monotonic()
    written, _ = at_a_terminal("lights.on(Reason.SAFE)")
    assert b"afterwards" in written
    assert time.monotonic() - began < 15


@pytest.mark.parametrize("obeys", [True, False])
def test_a_windows_console_is_asked_to_obey_escapes(monkeypatch, tmp_path, obeys):
    """By `SetConsoleMode` with `ENABLE_VIRTUAL_TERMINAL_PROCESSING`, as its makers document it."""
    console, modes = tmp_path / "CONOUT$", []
    console.write_bytes(b"")

    class Kernel:
        def GetConsoleMode(self, _handle, mode) -> int:  # noqa: N802
            mode._obj.value = 3
            return 1

        def SetConsoleMode(self, _handle, mode) -> int:  # noqa: N802
            modes.append(mode)
            return obeys

    kernel = SimpleNamespace(kernel32=Kernel())
    monkeypatch.setitem(sys.modules, "msvcrt", SimpleNamespace(get_osfhandle=lambda _: 7))
    monkeypatch.setattr(ctypes, "windll", kernel, raising=False)
    monkeypatch.setattr(lights, "_CONTROLLING", str(console))
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setenv("TERM", "")
    monkeypatch.setattr(lights, "tools", list)
    with Lights(tmp_path / "dark.log") as dark:
        dark.out()
    assert modes == [7]
    assert console.read_bytes() == (BLACK if obeys else b"")
