"""The standard cue set, and changed copies of it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.shipped import folder

Change = Callable[[str, str], Path]


@pytest.fixture(scope="session")
def standard() -> CueSet:
    return load_cue_set("standard")


@pytest.fixture
def changed(tmp_path: Path) -> Change:
    """Writes a copy of the standard set with one piece of text replaced; gives its path."""

    def change(old: str, new: str) -> Path:
        text = (folder("sounds") / "standard.yaml").read_text(encoding="utf-8")
        assert old in text
        path = tmp_path / "changed.yaml"
        path.write_text(text.replace(old, new, 1), encoding="utf-8")
        return path

    return change
