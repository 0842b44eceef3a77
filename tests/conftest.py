"""What holds for all tests: nobody hurries them, nothing reaches for the network
or for the journal of whoever runs them."""

import os
import runpy
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

# Machines are shared and slow at times; speed is measured in tests/benchmarks, not here.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")

# Whoever starts the tests in a shell's background has them, and what they start, ignore Ctrl-C.
signal.signal(signal.SIGINT, signal.default_int_handler)

# Some ways of starting tests hand a terminal's size down to them, others do not; and some streams
# without buffers, which hides what is left in one that can no longer be written.
for _name in ("COLUMNS", "LINES", "PYTHONUNBUFFERED"):
    os.environ.pop(_name, None)

_OFFLINE = Path(__file__).parent / "offline"
runpy.run_path(str(_OFFLINE / "sitecustomize.py"))
_paths = [str(_OFFLINE), os.environ.get("PYTHONPATH", "")]
os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, _paths))


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Four for the whole suite, since many tests wait; none where a person names what to run."""
    return 4 if config.args_source is config.ArgsSource.TESTPATHS else 0


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Those that listen to a sound server, whole runs first, wait more than they reckon.

    The others go on beside them, and no long one is left for the end.
    """
    items.sort(key=lambda item: ("server" not in str(item.fixturenames), "live" not in item.nodeid))


@pytest.fixture(scope="session", autouse=True)
def nobodys_journal(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test reads or writes the journal of whoever runs it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DARKTIMER_HOME", str(tmp_path_factory.mktemp("home")))
        yield
