"""Ways to make plans and timelines without files or cue sets."""

import runpy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from darktimer.errors import FindingsError
from darktimer.plan.checks import faults
from darktimer.plan.model import Plan
from darktimer.process.compiler import compile_plan
from darktimer.process.timeline import Timeline

_REMAKE = Path(__file__).parents[1] / "golden" / "remake.py"
Length = Callable[[str], int]
Compiled = Callable[..., Timeline]


@pytest.fixture(scope="session")
def length_ms() -> Length:
    """Stand-in lengths of cues, the same as in the golden timelines."""
    length: Length = runpy.run_path(str(_REMAKE))["length_ms"]
    return length


@pytest.fixture(scope="session")
def compiled(length_ms: Length) -> Compiled:
    """Compiles a plan given as keys and values; a plan with faults raises `FindingsError`."""

    def work(**keys: Any) -> Timeline:
        written = {"title": "A test", "vessel": {"kind": "tub", "light": "closed"}, **keys}
        plan = Plan.read(written)
        if found := list(faults(plan)):
            raise FindingsError(found)
        return compile_plan(plan, length_ms)

    return work
