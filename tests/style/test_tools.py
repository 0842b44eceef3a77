"""The strict tools, run as tests, so that one command proves everything."""

import subprocess
import sys
from pathlib import Path

import pytest

SYSTEMS = ("linux", "darwin", "win32")
PROJECT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    "tool",
    [
        ["ruff", "check", "."],
        ["ruff", "format", "--check", "."],
        # Each system has its own branches; a cache for each keeps a run to what has changed.
        *(
            ["mypy", "--platform", system, "--cache-dir", f".mypy_cache/{system}"]
            for system in SYSTEMS
        ),
    ],
    ids=["lint", "format", *SYSTEMS],
)
def test_tool_is_content(tool: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *tool], cwd=PROJECT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
