"""Every signal that a system knows, sent to a process that takes them as a run does."""

import os
import signal
import subprocess
import sys

import pytest

from darktimer.live.keyboard import Keyboard

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="sent as on POSIX systems")

_UNTAKEABLE = {signal.SIGKILL, signal.SIGSTOP}
_TAKING = """
import sys
from darktimer.live.keyboard import Keyboard
with Keyboard() as signals:
    print("taken", flush=True)
    sys.stdin.read(1)
    print(sorted(key.name for key in signals.read(0)))
"""

_FAULTING = """
import ctypes
from darktimer.live.keyboard import Keyboard
with Keyboard():
    ctypes.string_at(0)
"""


def test_no_signal_ends_or_stops_a_run_and_those_to_end_are_keys():
    with subprocess.Popen(
        [sys.executable, "-c", _TAKING], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as taking:
        assert taking.stdin
        assert taking.stdout
        assert taking.stdout.readline() == "taken\n"
        for number in signal.valid_signals() - _UNTAKEABLE:
            os.kill(taking.pid, number)
        assert taking.communicate("x")[0] == "['SIGINT', 'SIGQUIT', 'SIGTERM']\n"
        assert taking.returncode == 0


def test_a_fault_of_the_machines_own_does_not_go_on_for_ever():
    """What reads where nothing is faults again and again unless it ends the program."""
    done = subprocess.run([sys.executable, "-c", _FAULTING], timeout=20, check=False)
    assert done.returncode == -signal.SIGSEGV


def test_afterwards_all_are_as_before():
    before = {number: signal.getsignal(number) for number in signal.valid_signals()}
    with Keyboard():
        assert signal.getsignal(signal.SIGUSR1) is signal.SIG_IGN
    assert {number: signal.getsignal(number) for number in signal.valid_signals()} == before
