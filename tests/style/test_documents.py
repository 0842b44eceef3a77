"""The documents name files that there are."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_every_file_that_the_documents_name_exists() -> None:
    paths = [path for folder in ("darktimer", "tests") for path in (ROOT / folder).rglob("*.py")]
    known = {"/".join(path.parts[-depth:]) for path in paths for depth in (1, 2, 3)}
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8") + (ROOT / "README.md").read_text("utf-8")
    named = set(re.findall(r"`([\w/]+\.py)\b", text))
    assert len(named) > 50
    assert sorted(named - known) == []
