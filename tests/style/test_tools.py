"""The strict tools, run as tests, so that one command proves everything."""

import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    "tool",
    [["ruff", "check", "."], ["ruff", "format", "--check", "."], ["mypy"]],
    ids=["lint", "format", "types"],
)
def test_tool_is_content(tool: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *tool], cwd=PROJECT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
