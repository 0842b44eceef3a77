"""The sound server of the device tests serves whole runs too; commands are called as they are."""

import pytest
from click.testing import CliRunner

from darktimer.cli.root import root
from tests.device.conftest import server

__all__ = ["run", "server"]


@pytest.fixture
def run(monkeypatch, tmp_path):
    """Calls ``darktimer`` with these words, with a journal of the test's own."""
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))
    return lambda *words: CliRunner().invoke(root, words)
