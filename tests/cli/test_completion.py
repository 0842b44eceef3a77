"""What Tab offers, asked of the shells themselves; one that is not on this machine is skipped."""

import fcntl
import os
import pty
import select
import shutil
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from darktimer.journal.baths import begin_bath
from darktimer.journal.journal import Journal
from tests.cli.test_overview import begin_a_run

#: How each begins without a person's own settings.
SHELLS = {
    "bash": ["--norc", "--noprofile", "-i"],
    "zsh": ["-f", "-i"],
    "fish": ["--no-config", "-i"],
}
#: Completes as the program does; run, it says what it was given.
STUB = f"""\
#!/bin/sh
[ -n "$_DARKTIMER_COMPLETE" ] && exec {sys.executable} -m darktimer "$@"
echo "given <$*>"
"""


class Shell:
    """A shell on a terminal of its own, in which keys are pressed."""

    def __init__(self, name: str, folder: Path) -> None:
        self.name = name
        place = {"HOME": str(folder), "TERM": "dumb", "INPUTRC": "/dev/null", "PS1": "> "}
        path = f"{folder}/bin:{os.environ['PATH']}"
        self._process, self._keys = pty.fork()
        if not self._process:  # the child, on its terminal
            os.chdir(folder / "here")
            os.execvpe(name, [name, *SHELLS[name]], {**os.environ, **place, "PATH": path})
        fcntl.ioctl(self._keys, termios.TIOCSWINSZ, struct.pack("4H", 50, 200, 0, 0))
        self.press("echo rea''dy\n", "ready")

    def press(self, keys: str, until: str) -> str:
        """What the terminal showed from these keys on, until that was in it."""
        os.write(self._keys, keys.encode())
        shown, end = "", time.monotonic() + 10
        while until not in shown:
            assert select.select([self._keys], [], [], end - time.monotonic())[0], shown
            shown += os.read(self._keys, 65_536).decode(errors="replace")
        return shown

    def close(self) -> None:
        os.kill(self._process, signal.SIGKILL)
        os.waitpid(self._process, 0)
        os.close(self._keys)


@pytest.fixture(params=SHELLS)
def shell(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Shell]:
    """Each shell with our lines read, in a folder with two plans, a sound and a folder of plans."""
    if not shutil.which(request.param):
        pytest.skip(f"{request.param} is not on this machine")
    (tmp_path / "bin").mkdir()
    (tmp_path / "bin/darktimer").write_text(STUB)
    (tmp_path / "bin/darktimer").chmod(0o755)
    (tmp_path / "here/older").mkdir(parents=True)
    for file in ("one-roll.yaml", "one-roll.wav", "older/first-roll.yaml", "zinnia-tea.yaml"):
        (tmp_path / "here" / file).write_text("steps:\n")
    lines = tmp_path / "lines"
    ours = [sys.executable, "-m", "darktimer", "completion", request.param]
    lines.write_bytes(subprocess.run(ours, stdout=subprocess.PIPE, check=True).stdout)
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    with Journal.open() as journal:
        begin_bath(journal, "old stop", 500, 0)
    begin_a_run(tmp_path)
    begun = Shell(request.param, tmp_path)
    begun.press(f"source {lines}; echo re''ad\n", "read")
    yield begun
    begun.close()


#: What is typed before Tab, and what the program is then given.
MEANT = {
    "rend": "render",
    "run open-tub-h": "run open-tub-half-agitation",
    "run on": "run one-roll.yaml",
    "run older/f": "run older/first-roll.yaml",
    "check plain-f": "check plain-fixer",
    "check zin": "check zinnia-tea.yaml",
    "render --cues at-n": "render --cues at-night",
    "new --developer nettle": "new --developer nettle-leaf-developer",
    "learn pieces-in": "learn pieces-in-one-by-one",
    "mix one-roll.yaml open-tub-h": "mix one-roll.yaml open-tub-half-agitation",
    "baths begin plain-f": "baths begin plain-fixer",
    "mix one-roll.yaml --have sodium-carbonate-d": (
        "mix one-roll.yaml --have sodium-carbonate-decahydrate"
    ),
    "journal show ": "journal show 1",
    "baths clearing old-s": "baths clearing old-stop",
}


def test_tab_completes_what_is_meant(shell: Shell) -> None:
    for typed, given in MEANT.items():
        assert f"given <{given}>" in shell.press(f"darktimer {typed}\t\n", "given <")


def test_tab_offers_plans_that_are_shipped_beside_those_in_the_folder(shell: Shell) -> None:
    asks = "complete -C 'darktimer run o'\n" if shell.name == "fish" else "darktimer run o\t\t"
    shown = shell.press(asks, "open-tub-half-agitation")
    assert "older/" in shown
    assert "one-roll.yaml" in shown
