"""The rooms of the house: who may import whom, and who alone may print."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "darktimer"

#: What each room may import of ours, besides itself. Arrows run one way; nothing imports `cli`.
GROUND = {"errors", "units", "shipped", "document", "whole_file"}
MAY_IMPORT = {
    "errors": set(),
    "units": {"errors"},
    "shipped": {"errors"},
    "document": {"errors", "units"},
    "whole_file": {"errors"},
    "sensitometry": {"errors", "units"},
    "plan": GROUND,
    "process": GROUND | {"plan"},
    "bench": GROUND | {"plan", "process"},
    "cues": GROUND | {"process"},
    "output": GROUND | {"cues"},
    "ear": GROUND | {"cues", "process"},
    "knocks": set(),
    "learn": GROUND | {"cues", "process", "journal"},
    "journal": GROUND | {"sensitometry", "process", "plan", "bench"},
    "live": GROUND | {"plan", "process", "cues", "output", "journal", "knocks"},
    "paper": GROUND | {"sensitometry", "plan", "process", "bench", "cues", "knocks"},
    "terminal": GROUND,
    "prepare": GROUND | {"plan", "process", "bench", "cues", "journal", "terminal"},
    "pages": (
        GROUND
        | {
            "plan",
            "process",
            "bench",
            "cues",
            "output",
            "ear",
            "learn",
            "journal",
            "live",
            "knocks",
        }
        | {"sensitometry", "terminal", "prepare"}
    ),
}


def _modules() -> list[Path]:
    return [path for path in PACKAGE.rglob("*.py") if "__pycache__" not in path.parts]


def _room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def _imported_rooms(path: Path) -> set[str]:
    rooms = set()
    for node in ast.walk(ast.parse(path.read_text())):
        names = []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module]
            if node.module == "darktimer":
                names = [f"darktimer.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        rooms |= {name.split(".")[1] for name in names if name.startswith("darktimer.")}
    return rooms - {"__version__"}


@pytest.mark.parametrize("path", _modules(), ids=lambda p: str(p.relative_to(PACKAGE)))
def test_arrows_run_one_way(path: Path) -> None:
    room = _room(path)
    if room in ("cli", "__init__", "__main__"):
        return
    assert room in MAY_IMPORT, f"{room} is a room that nobody planned"
    assert _imported_rooms(path) <= MAY_IMPORT[room] | {room}


def _imported_files(path: Path) -> set[Path]:
    """The files of ours that a file imports, at its head, in a function or for its types."""
    files = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("darktimer."):
            whole = PACKAGE.parent / str(node.module).replace(".", "/")
            files |= {whole / f"{alias.name}.py" for alias in node.names}
            files.add(whole.with_suffix(".py"))
    return {file for file in files if file.exists()}


def test_no_two_files_import_each_other() -> None:
    imported = {path: _imported_files(path) for path in _modules()}
    circles = {
        f"{one.stem} and {other.stem}"
        for one, others in imported.items()
        for other in others
        if one < other and one in imported[other]
    }
    assert not circles
