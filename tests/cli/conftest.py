"""Runs commands in this process, and as a program of their own where that matters."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from darktimer.cli import main

Run = Callable[..., "Ran"]


class Ran:
    """What a command printed and how it ended."""

    def __init__(self, status: int, out: str, err: str) -> None:
        self.status, self.out, self.err = status, out, err


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Calls ``darktimer`` with these arguments in this process, in a terminal of 80 columns."""
    monkeypatch.setenv("COLUMNS", "80")

    def ran(*args: str | Path) -> Ran:
        with pytest.raises(SystemExit) as left:
            main([str(arg) for arg in args])
        captured = capsys.readouterr()
        return Ran(int(left.value.code or 0), captured.out, captured.err)

    return ran


@pytest.fixture
def program() -> Run:
    """Calls ``python -m darktimer`` as a program of its own."""

    def ran(*args: str | Path, **options: object) -> Ran:
        done = subprocess.run(
            [sys.executable, "-m", "darktimer", *map(str, args)],
            capture_output=True,
            text=True,
            check=False,
            **options,  # type: ignore[call-overload]
        )
        return Ran(done.returncode, done.stdout, done.stderr)

    return ran
