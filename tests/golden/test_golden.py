"""Every shipped plan compiles to the timeline that was read and kept."""

import runpy
from pathlib import Path

import pytest

from darktimer import shipped

HERE = Path(__file__).parent
REMAKE = runpy.run_path(str(HERE / "remake.py"))


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_timeline_is_the_golden_one(name: str) -> None:
    golden = (HERE / f"{name}.json").read_text(encoding="utf-8")
    made = REMAKE["written"](REMAKE["timeline"](name))
    assert made == golden, "if this is meant: python tests/golden/remake.py, and read the diff"


def test_every_golden_file_has_its_plan() -> None:
    assert sorted(path.stem for path in HERE.glob("*.json")) == shipped.names("sequences")
