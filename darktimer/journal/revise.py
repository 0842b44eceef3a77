"""Changes the text of a plan at the places where its values stand, and nowhere else.

Comments, order and layout stay as their writer left them. Knows the marks of YAML, not what a plan
means.
"""

import re
from collections.abc import Mapping, Set
from itertools import accumulate, groupby
from typing import Any, Final, NamedTuple

import yaml

from darktimer.document.reader import Document, Place
from darktimer.errors import KeyPath

Changes = Mapping[KeyPath, str]
_COMMA: Final = re.compile(r"(?:(?:\s|#.*\n)*,)?")
_REST_OF_LINE: Final = re.compile(r"[^\S\n]*(?:#.*)?(?:\n|\Z)")
_SPACES: Final = re.compile(r" *")
#: In place of a value: the key and all that stands under it is taken out.
REMOVED: Final = ""


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
    written, edits, added = _Written(text, document), [], []
    for path, value in changes.items():
        there = _at(document.content, path) is not None
        if value == REMOVED:
            edits += [written.removal(path)] if there else []
        elif there:
            edits.append(_Edit(*written.value(path), value))
        else:
            added.append((path, value))
    removed = {path for path, value in changes.items() if value == REMOVED}
    for parent, new in groupby(sorted(added, key=str), key=lambda change: change[0][:-1]):
        entries = [f"{path[-1]}: {value}" for path, value in new]
        edits.append(written.insertion(parent, entries, removed))
    for edit in sorted(edits, reverse=True):
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


class _Written:
    """A plan's text, and where in it each scalar and the head of each block begins and ends."""

    def __init__(self, text: str, document: Document) -> None:
        self._text, self._document = text, document
        self._marks: dict[Place, tuple[int, int]] = {}
        self._ends: dict[Place, int] = {}  # of blocks too, where their last part ends
        open_blocks: list[tuple[Place, bool]] = []
        last = 0
        event: Any  # the stubs of the YAML library leave out what its events carry
        for event in yaml.parse(text, Loader=yaml.SafeLoader):
            start, end = event.start_mark, event.end_mark
            place = start.line + 1, start.column + 1
            if isinstance(event, yaml.ScalarEvent):
                # A block begins where its first key does, so that the key has the last word. Folded
                # text ends where the next part begins: what lies between is not its own.
                own = text[start.index : end.index].rstrip()
                last = self._ends[place] = start.index + len(own)
                self._marks[place] = start.index, last
            elif isinstance(event, yaml.CollectionStartEvent):
                self._marks[place] = start.index, start.index
                open_blocks.append((place, bool(event.flow_style)))
            elif isinstance(event, yaml.CollectionEndEvent):
                begun, in_braces = open_blocks.pop()
                last = self._ends[begun] = end.index if in_braces else last

    def mark(self, path: KeyPath) -> tuple[int, int]:
        """Where the value at ``path``, or the head of a block, begins and ends, in characters."""
        return self._marks[self._document.place(path)]

    def value(self, path: KeyPath) -> tuple[int, int]:
        """Where the value at ``path`` begins and ends, in characters, with all of a block."""
        return self.mark(path)[0], self._end(path)

    def insertion(self, parent: KeyPath, entries: list[str], removed: Set[KeyPath]) -> _Edit:
        """New entries for the block ``parent``, which is added if it is not written yet.

        They go beside the first key that is not ``removed``.
        """
        content = _at(self._document.content, parent)
        if content is None:
            (name,) = parent
            return self._before(("steps",), [f"{name}: {{{', '.join(entries)}}}"])
        if not content:  # {}
            brace, _ = self.mark(parent)
            return _Edit(brace + 1, brace + 1, ", ".join(entries))
        first = next(path for key in content if (path := (*parent, key)) not in removed)
        return (self._after if parent[0] == "steps" else self._before)(first, entries)

    def removal(self, path: KeyPath) -> _Edit:
        """Takes a key and its value out, with the lines that are theirs, or the comma beside them.

        Of comments go those on these lines, right above in the key's column, and right below
        further in; all others are about something else.
        """
        start, end = self._marks[self._document.place(path, of_key=True)][0], self._end(path)
        line, in_braces = self._text.rfind("\n", 0, start) + 1, self._in_braces(path)
        first = not self._text[line:start].strip()  # of its line
        end = _past(_COMMA, self._text, end) if in_braces else end
        rest = _REST_OF_LINE.match(self._text, end)
        if rest and (first or not in_braces):
            further_in = re.compile(rf"(?: {{{start - line + 1},}}#.*(?:\n|$))*")
            end = _past(further_in, self._text, rest.end())
            if first:
                return _Edit(self._above(line, start - line), end, "")
        elif before := self._before_last(path):
            start = before
        return _Edit(start, _past(_SPACES, self._text, end), "")

    def _above(self, line: int, column: int) -> int:
        """Where the comments begin that stand in a column right above a line."""
        comments = re.compile(rf"(?: {{{column}}}#.*\n)*\Z")
        starts = accumulate(map(len, self._text[:line].splitlines(True)), initial=0)
        return next(start for start in starts if comments.match(self._text, start, line))

    def _before_last(self, path: KeyPath) -> int:
        """Where the value before the last key in braces ends, on the same line; 0 elsewhere."""
        *others, last = _at(self._document.content, path[:-1]) or [None]
        if last != path[-1] or not others:
            return 0
        start = self._marks[self._document.place(path, of_key=True)][0]
        end = self._end((*path[:-1], others[-1]))
        return 0 if "\n" in self._text[end:start] else end

    def _end(self, path: KeyPath) -> int:
        return self._ends[self._document.place(path)]

    def _before(self, key: KeyPath, entries: list[str]) -> _Edit:
        start = self._marks[self._document.place(key, of_key=True)][0]
        between = ", " if self._in_braces(key) else self._new_line(key)
        return _Edit(start, start, "".join(entry + between for entry in entries))

    def _after(self, key: KeyPath, entries: list[str]) -> _Edit:
        at, between = self.mark(key)[1], ", "
        if not self._in_braces(key):
            at, between = self._line_end(at), self._new_line(key)
        return _Edit(at, at, "".join(between + entry for entry in entries))

    def _in_braces(self, key: KeyPath) -> bool:
        begins, _ = self.mark(key[:-1])
        return self._text.startswith("{", begins)

    def _line_end(self, at: int) -> int:
        line, _, _ = self._text[at:].partition("\n")
        return at + len(line.removesuffix("\r"))

    def _new_line(self, key: KeyPath) -> str:
        """A new line that begins in the column of ``key``."""
        column = self._document.place(key, of_key=True)[1]
        return ("\r\n" if "\r\n" in self._text else "\n") + " " * (column - 1)


def _past(pattern: re.Pattern[str], text: str, start: int) -> int:
    """Where what a pattern finds from ``start`` on, if only nothing, ends."""
    found = pattern.match(text, start)
    return found.end() if found else start


def _at(content: Any, path: KeyPath) -> Any:
    """What is written at ``path``; None where nothing is."""
    try:
        for part in path:
            content = content[part]
    except (KeyError, IndexError, TypeError):
        return None
    return content
