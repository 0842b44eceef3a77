"""Forty kinds of trouble, one or two at once, each with a run of its own at a terminal of its own.

None may cost a run its end, and none may put a byte on its terminal before light-safe was heard. A
sound card is left out, so that they can go on side by side and on a faster clock; `test_dark` has
one.
"""

import fcntl
import os
import shutil
import signal
import sqlite3
import struct
import sys
import termios
import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from tests.live.terminal import ROOT, Terminal

SPEED = 6
BLACK = b"\x1b[?1049h\x1b[0;30;40m\x1b[2J\x1b[H\x1b[?25l"
LIT = b"\x1b[0m\x1b[?25h\x1b[?1049l"
PLAN = """
title: "Nächte mit 20 °C 光, invented and untested on film"
vessel: {kind: tub, light: open, volume: 1.5 l}
habits:
  {lights out after: 1 s, loading: 3 s, transfer: 3 s, drain: none, opening: none,
   warnings: none, countdown: 0, tally: none, heartbeat: none, agitation: continuous,
   baths told by: signature}
steps:
  - load: by hand
  - develop: 4 s
  - fix: 9 s
    light after: 5 s
  - wash: 4 s
"""
SAFE_MS = 26_960
EVERY_SIGNAL = signal.valid_signals() - {signal.SIGKILL, signal.SIGSTOP, signal.SIGTSTP}


class Room(Terminal):
    """A run at its terminal, and the folder that it has to itself."""

    def __init__(self, folder: Path, shell: str, **environment: str) -> None:
        self.folder = folder
        folder.mkdir()
        (folder / "plan.yaml").write_text(PLAN)
        here = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
        here |= {"TERM": "xterm", "DARKTIMER_HOME": str(folder / "home"), "HERE": str(folder)}
        run = (sys.executable, "-m", "tests.live.silent", str(SPEED), "run")
        plan = (f"{folder}/plan.yaml", "--no-gates", "--start-in", "0.1 s")
        super().__init__(("sh", "-c", shell, "sh", *run, *plan), here | environment)

    def signal(self, *numbers: int) -> None:
        """Sends the program signals, as long as it is dark: in the light they may end it."""
        for number in numbers:
            if LIT in self.written:
                return
            os.kill(self.process.pid, number)
            time.sleep(0.01)

    def held(self, sent: bytes, seconds: float) -> None:
        """A key that repeats itself."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.type(sent)
            time.sleep(0.03)

    def resize(self, rows: int, columns: int) -> None:
        """The window has another size."""
        fcntl.ioctl(self.ours, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))


class Trouble(NamedTuple):
    """What a run is begun with, and what is done to it in the dark."""

    shell: str = 'exec "$@"'
    environment: Mapping[str, str] = MappingProxyType({})
    happens: Callable[[Room], object] = lambda _: None
    #: Without keys a run ends by itself; without a terminal it is not seen to.
    keys: bool = True
    seen: bool = True


def _signals(room: Room) -> None:
    room.signal(*EVERY_SIGNAL, *[signal.SIGTERM] * 3)


def _keys(room: Room) -> None:
    room.type(b"\x1b[" + b"1;" * 900 + b"\x1b[200~pasted\x1b[201~\x1b[<0;1;1M")
    room.held(b"\x1b", 0.5)
    room.held(b" ", 0.5)
    for code in range(256):
        room.type(bytes([code]))
    for _ in range(20):
        room.type(b"flood " * 300)


def _window(room: Room) -> None:
    for size in ((1, 1), (0, 0), (500, 500)):
        room.resize(*size)
    room.signal(signal.SIGTSTP, signal.SIGTTIN, signal.SIGTTOU, signal.SIGSTOP)
    time.sleep(1)
    room.signal(signal.SIGCONT)


def _other_hands(room: Room) -> None:
    with closing(sqlite3.connect(room.folder / "home" / "journal.sqlite3")) as other:
        other.execute("BEGIN EXCLUSIVE")
        time.sleep(2)
    # Out of the way in one step: what the run writes meanwhile comes into no folder half removed.
    shutil.rmtree((room.folder / "home").rename(room.folder / "removed"))


ASCII = {"PYTHONIOENCODING": "ascii"}
LATIN_1 = {"PYTHONIOENCODING": "latin-1"}
NO_LOCALE = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
UNBUFFERED = {"PYTHONUNBUFFERED": "1"}
DEVELOPING = {"PYTHONDEVMODE": "1", "PYTHONWARNINGS": "always"}
FAULTS_TOLD = {"PYTHONFAULTHANDLER": "1"}
COLOURS = {"FORCE_COLOR": "1", "COLORTERM": "truecolor"}
ONE_COLUMN = {"COLUMNS": "1", "LINES": "1"}
A_TEXT_CONSOLE = {"TERM": "linux"}
NO_HOME = {"DARKTIMER_HOME": "/proc/nowhere"}
A_TOOL_THAT_TALKS = {"DISPLAY": ":0", "TOOL": "#!/bin/sh\\necho 1; echo 2 >&2; echo 3 >/dev/tty"}

TROUBLES = {
    "signals, faults told of": Trouble(environment=FAULTS_TOLD, happens=_signals),
    "keys": Trouble(happens=_keys),
    "window, a text console": Trouble(environment=A_TEXT_CONSOLE, happens=_window),
    "terminal closed": Trouble(happens=lambda room: room.close(), keys=False, seen=False),
    "journal in other hands, then gone": Trouble(happens=_other_hands),
    "no output, signals": Trouble('exec "$@" >&-', happens=_signals),
    "no error stream, unbuffered": Trouble('exec "$@" 2>&-', UNBUFFERED),
    "neither, one column": Trouble('exec "$@" >&- 2>&-', ONE_COLUMN),
    "no streams at all": Trouble('exec "$@" <&- >&- 2>&-', happens=_signals, keys=False),
    "no input, one column": Trouble('exec "$@" <&-', ONE_COLUMN, keys=False),
    "input from nowhere, ASCII": Trouble('exec "$@" </dev/null', ASCII, keys=False),
    "output to a file, no locale": Trouble('exec "$@" >$HERE/out', NO_LOCALE),
    "errors to a file, Latin-1": Trouble('exec "$@" 2>$HERE/err', LATIN_1),
    "both to files, no home": Trouble('exec "$@" >$HERE/out 2>$HERE/err', NO_HOME),
    "output to a full disk": Trouble('exec "$@" --json >/dev/full'),
    "errors to a full disk, ASCII": Trouble('exec "$@" 2>/dev/full', ASCII),
    "output to a pipe, developing": Trouble('exec "$@" | cat >$HERE/out', DEVELOPING),
    "a pipe that shows, unbuffered": Trouble('exec "$@" 2>&1 | tee $HERE/out', UNBUFFERED),
    "a pipe that is gone": Trouble('exec "$@" --json | true'),
    "few files, colours": Trouble('ulimit -n 24; exec "$@"', COLOURS),
    "files of no size": Trouble('ulimit -f 0; exec "$@"'),
    "no more time": Trouble('ulimit -S -t 3; exec "$@"', happens=_keys),
    "no folder to stand in": Trouble(
        'mkdir $HERE/gone; cd $HERE/gone; rmdir $HERE/gone; exec "$@"', {"PYTHONPATH": str(ROOT)}
    ),
    "no terminal of its own": Trouble('exec setsid -w "$@"', DEVELOPING),
    "immune to hanging up": Trouble('exec nohup "$@" >$HERE/out', keys=False),
    "folders for files": Trouble(
        'mkdir -p $HERE/home/dark.log $HERE/home/journal.sqlite3; exec "$@"'
    ),
    "a display's tool that talks": Trouble(
        'mkdir $HERE/bin; printf "$TOOL" >$HERE/bin/xset; chmod +x $HERE/bin/xset; '
        'PATH="$HERE/bin:$PATH" exec "$@"',
        A_TOOL_THAT_TALKS,
    ),
}


def _went_through(folder: Path, trouble: Trouble) -> str:
    """What was wrong with a run, nothing if all was well."""
    room = Room(folder, trouble.shell, **trouble.environment)
    try:
        return _lived(room, trouble)
    finally:
        room.kill()


def _lived(room: Room, trouble: Trouble) -> str:
    room.wait_for(BLACK, 60)
    began = time.monotonic()
    time.sleep(1)
    trouble.happens(room)
    while trouble.seen and LIT not in room.written and time.monotonic() < began + 60:
        time.sleep(0.4)
        if trouble.keys and room.process.poll() is None:
            room.type(b" ")  # also where a late burst of presses has asked for a hold
    dark = room.written.partition(BLACK)[2].partition(b"\x1b]111\x1b\\")[0].partition(LIT)[0]
    if trouble.seen and LIT not in room.written:
        return f"never lit, {room.process.poll()}, {dark!r}"
    if dark:
        return f"light: {dark[:200]!r}"
    if trouble.keys:
        room.type(b"\x03")
    status = room.ended(30)
    # A run that is lit and at its very end is ended by Ctrl-C as any program is.
    if status not in (0, 3, 4, -signal.SIGINT):
        return f"ended with {status}, {room.written[-500:]!r}"
    return _told(room.folder / "home")


def _told(home: Path) -> str:
    """What the journal, if there is one, says of the light."""
    try:
        with Journal.open(home) as journal:
            events = journal.events(1)
    except JournalError:
        return ""
    lit = [(event.at_ms >= SAFE_MS, event.detail) for event in events if event.meaning == "light"]
    return "" if lit in ([], [(True, {"reason": "light-safe was heard"})]) else f"lit: {lit}"


def test_forty_kinds_of_trouble_cost_no_run_its_end_and_give_no_light(tmp_path):
    with ThreadPoolExecutor(len(TROUBLES)) as side_by_side:
        runs = {
            name: side_by_side.submit(_went_through, tmp_path / str(number), trouble)
            for number, (name, trouble) in enumerate(TROUBLES.items())
        }
    told = {name: run.exception() or run.result() for name, run in runs.items()}
    assert {name: wrong for name, wrong in told.items() if wrong} == {}
