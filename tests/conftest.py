"""What holds for all tests: nobody hurries them, nothing reaches for the network
or for the journal of whoever runs them."""

import os
import runpy
import signal
from collections.abc import Iterator
from itertools import islice
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
    """Six for the whole suite, since many tests wait; none where a person names what to run."""
    return 6 if config.args_source is config.ArgsSource.TESTPATHS else 0


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Half of the workers begin with tests that listen to a sound server, whole runs first.

    These wait more than they reckon, so that the others go on beside them. Each worker is given an
    equal part of the list, of which the idle take over what is left at its end.
    """
    workers = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", 1))
    waiting = [item for item in items if "server" in str(item.fixturenames)]
    waiting.sort(key=lambda item: "live" not in item.nodeid)
    reckoning = iter([item for item in items if item not in set(waiting)])
    listening, left = (workers + 1) // 2, len(items)
    for worker in range(workers):
        part = waiting[worker::listening] if worker < listening else []
        size = left // (workers - worker)
        part += islice(reckoning, max(size - len(part), 0))
        items[len(items) - left : len(items) - left + len(part)] = part
        left -= len(part)


@pytest.fixture(scope="session", autouse=True)
def nobodys_journal(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test reads or writes the journal of whoever runs it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DARKTIMER_HOME", str(tmp_path_factory.mktemp("home")))
        yield
