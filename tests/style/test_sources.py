"""A figure has a source with a name, or says that it has none."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
NAMELESS = re.compile(
    r"encyclop\w*dia|consultant|transducer maker|application notes?|"
    r"\b(an?|one|other|the)\s+(\w+\s+)?(textbook|handbook|manual)s?\b(?! page)",
    re.IGNORECASE,
)
#: Those whose name stands beside them.
NAMED = re.compile(r"Navy (training )?manual|CRC Handbook|the manual's", re.IGNORECASE)


def test_no_source_goes_without_its_name() -> None:
    found = [
        f"{path.relative_to(ROOT)}: {nameless[0]}"
        for folder in ("darktimer", "tests", "sounds", "sequences")
        for path in (ROOT / folder).rglob("*.*")
        if path.suffix in (".py", ".yaml") and path != Path(__file__)
        for nameless in NAMELESS.finditer(NAMED.sub("", path.read_text("utf-8", "ignore")))
    ]
    assert found == []
