"""What holds for all tests."""

from collections.abc import Iterator

import pytest
from hypothesis import settings

# Machines are shared and slow at times; speed is measured in tests/benchmarks, not here.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")


@pytest.fixture(scope="session", autouse=True)
def nobodys_journal(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test reads or writes the journal of whoever runs it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DARKTIMER_HOME", str(tmp_path_factory.mktemp("home")))
        yield
