"""The documents name files that there are, and nothing lies about that a trial left behind."""

import re
import subprocess
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_every_file_that_the_documents_name_exists() -> None:
    paths = [path for folder in ("darktimer", "tests") for path in (ROOT / folder).rglob("*.py")]
    known = {"/".join(path.parts[-depth:]) for path in paths for depth in (1, 2, 3)}
    names = ("DEVELOPERS.md", "README.md", "sequences/README.md")
    text = "".join((ROOT / name).read_text("utf-8") for name in names)
    named = set(re.findall(r"`([\w/]+\.py)\b", text))
    assert len(named) > 50
    assert sorted(named - known) == []


def test_the_root_holds_nothing_that_a_trial_left_behind() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.splitlines()
    expected = {".gitignore", "DEVELOPERS.md", "LICENSE", "README.md", "pyproject.toml"}
    assert {path for path in listed if "/" not in path} == expected
