"""Texts that a person reads are plain English."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "darktimer"
#: Phrases of a private language, each with what to write in its place.
BANNED = {
    r"\bstands? here\b": "found a list; the word is 'x'",
    r"\bis not said\b": "is missing",
    r"\bis said (in|by)\b": "is written in",
    r"\bmend(s|ed|ing)?\b": "remedy, correct",
    r"\beaten\b": "neutralised",
    r"\b(is|are|was|were) told of\b": "is listed, is reported",
    r"\b(is|are) told\b(?! apart)": "is shown, is counted",
    r"\bnone is left to see\b": "it has dissolved",
    r"\bis that in your time\b": "allow for it",
    r"\bwithout fault\b": "no faults found",
    r"\btells? nothing\b": "is of no use",
    r"\bno (plan|row|mass|dilution|detail|quantity|texts?) is\b": "is not a",
    r"\bstands? twice\b": "is written twice",
    r"\bcan do no more\b": "is exhausted",
    r"(?<!there )\bis no (?!longer\b|more\b)": "is not a",
    r"\b(of|by|that of) no (piece|reading|film)\b": "not ... any",
    r"\bwhat stands on\b": "what its label says",
    r"\b(readings|words) (do not )?bear\b": "allow, support",
}


def _docstrings(tree: ast.Module) -> set[str]:
    holders = ast.Module | ast.ClassDef | ast.FunctionDef
    return {
        ast.get_docstring(node, clean=False) or ""
        for node in ast.walk(tree)
        if isinstance(node, holders)
    }


def _texts(path: Path) -> set[str]:
    """Every string of a file but its docstrings; those of commands are their help."""
    tree = ast.parse(path.read_text("utf-8"))
    constants = (node.value for node in ast.walk(tree) if isinstance(node, ast.Constant))
    texts = {value for value in constants if isinstance(value, str)}
    return texts if path.parent.name == "cli" else texts - _docstrings(tree)


def _read_by_people() -> Iterator[tuple[Path, str]]:
    for path in PACKAGE.rglob("*.py"):
        yield from ((path, text) for text in _texts(path))
    for path in (
        ROOT / "README.md",
        ROOT / "sequences/README.md",
        *ROOT.glob("sequences/**/*.yaml"),
        *ROOT.glob("sounds/*"),
    ):
        if path.is_file():
            yield path, path.read_text("utf-8", "ignore")


def test_texts_are_plain_english() -> None:
    found = [
        f"{path.relative_to(ROOT)}: {match[0]!r}; write such as: {instead}"
        for path, text in _read_by_people()
        for banned, instead in BANNED.items()
        for match in re.finditer(banned, " ".join(text.split()), re.IGNORECASE)
    ]
    assert not found, "\n".join(found)


def test_the_list_finds_what_it_is_for() -> None:
    for text in (
        "'x' stands here",
        "the film is not said",
        "a bath is told of",
        "acid has eaten it",
    ):
        assert any(re.search(banned, text) for banned in BANNED)
