"""One thing, one name: no class name means two things."""

import ast
from collections import Counter
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "darktimer"


def test_a_class_name_means_one_thing() -> None:
    names = Counter(
        node.name
        for path in PACKAGE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.ClassDef)
    )
    assert len(names) > 100
    assert [name for name, times in names.items() if times > 1] == []
