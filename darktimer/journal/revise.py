"""Changes the text of a plan at the places where its values stand, and nowhere else.

Comments, order and layout stay as their writer left them. Knows the marks of YAML, not what a plan
means.
"""

from collections.abc import Mapping
from itertools import groupby
from typing import Any, NamedTuple

import yaml

from darktimer.document.reader import Document, Path_, Place

Changes = Mapping[Path_, str]


class _Edit(NamedTuple):
    """``text`` in place of what stands from ``start`` to ``end``, in characters."""

    start: int
    end: int
    text: str


def revise(text: str, document: Document, changes: Changes) -> str:
    """``text``, from which ``document`` was read, with new values at the paths of ``changes``.

    A value that is not written yet is added to its block: in a step after its first line, in
    another block before its first key. A block that is not written yet is added before ``steps``.
    """
    marks, edits, added = _marks(text), [], {}
    for path, value in changes.items():
        if _at(document.content, path) is not None:
            edits.append(_Edit(*marks[document.place(path)], value))
        else:
            added[path] = value
    for parent, paths in groupby(sorted(added, key=str), key=lambda path: path[:-1]):
        entries = [f"{path[-1]}: {added[path]}" for path in paths]
        edits.append(_insertion(text, document, marks, parent, entries))
    for edit in sorted(edits, reverse=True):
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


def _marks(text: str) -> dict[Place, tuple[int, int]]:
    """Where each scalar, and the head of each block, begins and ends in characters."""
    marks: dict[Place, tuple[int, int]] = {}
    event: Any  # the stubs of the YAML library leave out what its events carry
    for event in yaml.parse(text, Loader=yaml.SafeLoader):
        start, end = event.start_mark, event.end_mark
        if isinstance(event, yaml.ScalarEvent):
            # A block begins where its first key does, so that the key has the last word. Folded
            # text ends where the next part begins: what lies between is not its own.
            own = text[start.index : end.index].rstrip()
            marks[start.line + 1, start.column + 1] = start.index, start.index + len(own)
        elif isinstance(event, yaml.CollectionStartEvent):
            marks[start.line + 1, start.column + 1] = start.index, start.index
    return marks


def _at(content: Any, path: Path_) -> Any:
    """What is written at ``path``; None where nothing is."""
    try:
        for part in path:
            content = content[part]
    except (KeyError, IndexError, TypeError):
        return None
    return content


def _insertion(
    text: str,
    document: Document,
    marks: dict[Place, tuple[int, int]],
    parent: Path_,
    entries: list[str],
) -> _Edit:
    content = _at(document.content, parent)
    if content is None:
        block = f"{parent[-1]}: {{{', '.join(entries)}}}"
        return _before(text, document, marks, (*parent[:-1], "steps"), [block])
    if not content:  # {}
        inside = marks[document.place(parent)][0] + 1
        return _Edit(inside, inside, ", ".join(entries))
    first = (*parent, next(iter(content)))
    if parent[0] == "steps":
        return _after(text, document, marks, first, entries)
    return _before(text, document, marks, first, entries)


def _before(
    text: str,
    document: Document,
    marks: dict[Place, tuple[int, int]],
    path: Path_,
    entries: list[str],
) -> _Edit:
    place = document.place(path, of_key=True)
    start = marks[place][0]
    between = ", " if _in_braces(text, document, marks, path[:-1]) else _new_line(text, place[1])
    return _Edit(start, start, "".join(entry + between for entry in entries))


def _after(
    text: str,
    document: Document,
    marks: dict[Place, tuple[int, int]],
    path: Path_,
    entries: list[str],
) -> _Edit:
    end = marks[document.place(path)][1]
    if _in_braces(text, document, marks, path[:-1]):
        return _Edit(end, end, "".join(f", {entry}" for entry in entries))
    line_end = text.find("\n", end)
    at = len(text) if line_end < 0 else line_end - (text[line_end - 1] == "\r")
    between = _new_line(text, document.place(path, of_key=True)[1])
    return _Edit(at, at, "".join(between + entry for entry in entries))


def _in_braces(
    text: str, document: Document, marks: dict[Place, tuple[int, int]], block: Path_
) -> bool:
    return text.startswith("{", marks[document.place(block)][0])


def _new_line(text: str, column: int) -> str:
    return ("\r\n" if "\r\n" in text else "\n") + " " * (column - 1)
