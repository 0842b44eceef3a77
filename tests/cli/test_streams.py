"""Commands whose streams are closed, or have not every letter: they do their work all the same."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

PLAN = """
title: "Nächte mit 20 °C 光, invented and untested on film"
vessel: {kind: tub, light: open, volume: 1.5 l}
steps:
  - load: by hand
  - develop: 5 min
    agitation: 1/2
  - fix: 5 min
    light after: 3 min
"""


@pytest.fixture
def ran(tmp_path: Path):
    (tmp_path / "plan.yaml").write_text(PLAN, "utf-8")

    def run(shell: str, encoding: str = "utf-8") -> subprocess.CompletedProcess[bytes]:
        words = (sys.executable, "-m", "darktimer", "timeline", str(tmp_path / "plan.yaml"))
        return subprocess.run(
            ["sh", "-c", f'exec "$@" {shell}', "sh", *words],
            env=os.environ | {"PYTHONIOENCODING": encoding},
            capture_output=True,
            check=False,
        )

    return run


@pytest.mark.parametrize("shell", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-"])
def test_a_stream_that_is_closed_leads_nowhere(ran, shell):
    done = ran(shell)
    assert (done.returncode, done.stderr) == (0, b"")
    assert bool(done.stdout) == (">&-" not in shell.replace("2>&-", ""))


@pytest.mark.parametrize("encoding", ["ascii", "latin-1"])
def test_a_letter_that_a_terminal_has_not_is_told_by_its_number(ran, encoding):
    done = ran("", encoding)
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"\\u5149" in done.stdout
