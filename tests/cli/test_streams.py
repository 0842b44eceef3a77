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


LIGHT = (
    "",
    "--version",
    "run --help",
    "check open-tub-half-agitation",
    "timeline open-tub-half-agitation",
    "mix open-tub-half-agitation --json",
    "cues",
    "journal",
    "schema",
    "new --no-questions",
    "completion bash",
)


@pytest.fixture
def led(tmp_path: Path):
    """The program with its output led somewhere by a shell: its status, what it complained of."""

    def led(words: str, where: str) -> tuple[int, str]:
        command = f'"{sys.executable}" -m darktimer {words} {where}'
        done = subprocess.run(
            ["bash", "-c", command], cwd=tmp_path, capture_output=True, text=True, check=False
        )
        return done.returncode, done.stderr

    return led


@pytest.mark.parametrize("words", LIGHT)
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no such device here")
def test_where_output_is_full_one_line_says_so(led, words):
    status, complaint = led(words, "> /dev/full")
    assert (status, complaint.count("\n")) == (1, 1)
    assert "no space left" in complaint


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no such device here")
def test_a_fault_and_a_full_output_are_both_told(led):
    status, complaint = led("check nowhere open-tub-half-agitation", "> /dev/full")
    assert (status, complaint.count("\n")) == (1, 2)
    assert complaint.startswith("no plan 'nowhere'")


@pytest.mark.parametrize("words", LIGHT)
def test_whoever_stops_reading_hears_no_more(led, words):
    assert led(words, "| true; exit ${PIPESTATUS[0]}") == (1, "")
