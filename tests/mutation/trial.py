"""Runs chosen tests against one changed file, in a copy of the project and a process of its own.

The copy lies in a temporary folder, so that the checkout is never changed. Each trial is a fork of
a process that has loaded the libraries already, which is why this needs a POSIX system; what is of
the project is loaded afresh. Hypothesis draws few examples, the same each time, and shrinks none.
"""

import contextlib
import gc
import importlib
import os
import resource
import shutil
import signal
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import Phase, settings

_LOADED = ("numpy", "pydantic_core", "yaml", "pint", "scipy.signal", "jsonschema", "soundfile")
_OPTIONS = ("-x", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestAssertRewriteWarning")
_EXAMPLES = 30


class _Brisk:
    """A plugin of pytest that makes Hypothesis quick and the same each time."""

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        for item in items:
            test = getattr(item, "obj", None)
            if given := getattr(test, "_hypothesis_internal_use_settings", None):
                examples = min(given.max_examples, _EXAMPLES)
                test._hypothesis_internal_use_settings = settings(
                    given,
                    max_examples=examples,
                    derandomize=True,
                    database=None,
                    phases=(Phase.explicit, Phase.generate),
                )


class Trial:
    """A copy of the project in which tests are run; `noticed` says whether they fail.

    The first of the tests run by themselves, since loading all the others takes longer than they.
    """

    def __init__(self, copy: Path, tests: Sequence[str]) -> None:
        self._copy, self._parts = copy, [part for part in (tests[:1], tests[1:]) if part]
        self._seconds = 600.0
        if self._run():
            sys.exit("the tests fail without any change: " + " ".join(tests))
        spent = resource.getrusage(resource.RUSAGE_CHILDREN)
        self._seconds = 10 + 5 * (spent.ru_utime + spent.ru_stime)

    def noticed(self, file: str, text: str) -> bool:
        """Whether a test fails, or the tests no longer end, with this text in the file."""
        path = self._copy / file
        original = path.read_text("utf-8")
        path.write_text(text, "utf-8")
        for stale in path.parent.glob(f"__pycache__/{path.stem}.*.pyc"):
            stale.unlink()
        try:
            return self._run()
        finally:
            path.write_text(original, "utf-8")

    def _run(self) -> bool:
        return any(map(self._fails, self._parts))

    def _fails(self, tests: Sequence[str]) -> bool:
        child = os.fork()
        if not child:
            status = 1
            try:  # whatever happens, the child must not leave the parent's `with` and its copy
                _behave(self._copy, self._seconds)
                status = pytest.main([*_OPTIONS, *tests], [_Brisk()])
            finally:
                os._exit(status)
        _, status = os.waitpid(child, 0)
        with contextlib.suppress(ProcessLookupError):  # what it started ends with it
            os.killpg(child, signal.SIGKILL)
        return status != 0


def _behave(copy: Path, seconds: float) -> None:
    """Sets up a trial's process: quiet, within the copy, and sure to end."""
    os.setpgrp()
    os.chdir(copy)
    sys.path.insert(0, str(copy))
    os.environ.update(PYTHONPATH=str(copy), PYTHONDONTWRITEBYTECODE="1")
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    resource.setrlimit(resource.RLIMIT_CPU, (int(seconds), int(seconds) + 1))
    resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
    signal.alarm(int(10 * seconds))
    sys.dont_write_bytecode = seconds < 600


@contextlib.contextmanager
def copied(checkout: Path) -> Iterator[Path]:
    """A copy of what the tests need, gone afterwards; loads the libraries for the trials."""
    os.environ.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1")
    for name in _LOADED:
        importlib.import_module(name)
    gc.freeze()  # pytest collects garbage at each end, and need not look through all of this
    with TemporaryDirectory(prefix="mutation-") as folder:
        copy = Path(folder) / checkout.name
        left_out = shutil.ignore_patterns(".*", "__pycache__")
        shutil.copytree(checkout, copy, ignore=left_out)
        yield copy
