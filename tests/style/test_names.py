"""One thing, one name: no name of a class or a type means two things, and none is our own."""

import ast
import re
from collections import Counter
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "darktimer"


def test_a_class_or_a_type_of_that_name_means_one_thing() -> None:
    names = Counter(
        name
        for path in PACKAGE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if (name := _type_name(node))
    )
    assert len(names) > 100
    assert [name for name, times in names.items() if times > 1] == []


#: Words of a private language, each with the field's own.
PRIVATE = {
    "brisk": "skip_silence",
    "company": "accompaniment",
    "course": "time_map",
    "doubts": "caveats",
    "happening": "event",
    "mend": "remedy",
    "precedence": "thread_priority",
    "scribe": "journal_writer",
    "told": "reported, proposed",
    "tonight": "plan_inputs",
    "warmth": "temperature",
    "wish": "cue_request",
}


def test_names_are_the_fields_own() -> None:
    found = [
        f"{path.relative_to(PACKAGE)}: {name}; write {PRIVATE[plain]}"
        for path in PACKAGE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if (plain := (name := _name(node)).strip("_").lower()) in PRIVATE
    ]
    assert found == []


def _type_name(node: ast.AST) -> str:
    """Of a class, or of a type that others may use: ``Wave = NDArray[np.float64]``."""
    if isinstance(node, ast.ClassDef):
        return node.name
    if isinstance(node, ast.Assign) and isinstance(named := node.targets[0], ast.Name):
        return named.id if re.fullmatch("([A-Z][a-z]+)+", named.id) else ""
    return ""


def _name(node: ast.AST) -> str:
    """What a class, a function, an argument or a variable is called."""
    if isinstance(node, ast.ClassDef | ast.FunctionDef):
        return node.name
    if isinstance(node, ast.arg):
        return node.arg
    return node.id if isinstance(node, ast.Name) else ""
