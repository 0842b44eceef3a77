"""Reads one YAML file into plain text, lists and mappings, and remembers where each stood.

Scalars stay text: YAML would turn ``7:30`` into 450 and ``no`` into false. Aliases and tags are
refused, since a plan has no use for them and a hostile file has. Knows nothing of plans.
"""

import re
from codecs import BOM_UTF16_BE, BOM_UTF16_LE
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final, NoReturn

import yaml

from darktimer.errors import Fault, FileError, KeyPath
from darktimer.units import shown

Place = tuple[int, int]
YamlEvent = Any  # the stubs of the YAML library leave out what its events carry

_MOST_BYTES: Final = 1_000_000
_MOST_NODES: Final = 50_000
_DEEPEST: Final = 12
_Loader: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Document:
    """The content of a file and the place of each part.

    ``content`` is made of dict, list and str. A path is a tuple of keys and indices. Lines and
    columns count from 1.
    """

    def __init__(self, source: str) -> None:
        self.source = source
        self.content: Any = None
        self.faults: list[Fault] = []
        self._keys: dict[KeyPath, Place] = {}
        self._values: dict[KeyPath, Place] = {(): (1, 1)}
        self._paths: dict[int, KeyPath] = {}

    def place(self, path: KeyPath, *, of_key: bool = False) -> Place:
        """Where a value, or its key, stands; what is not in the file stands where its parent is."""
        if of_key and path in self._keys:
            return self._keys[path]
        while path not in self._values:
            path = path[:-1]
        return self._values[path]

    def path_of(self, part: object) -> KeyPath:
        """The path of a mapping or list that came out of this document, found by identity."""
        return self._paths.get(id(part), ())

    def fault(self, path: KeyPath, found: str, remedy: str, *, of_key: bool = False) -> Fault:
        """A fault at the place of ``path``; of a key, where the fault is the key itself."""
        line, column = self.place(path, of_key=of_key)
        return Fault(line, column, written_path(path), found, remedy)


def written_path(path: KeyPath) -> str:
    """A path as people write it: ``steps[2].fix``; list indices count from 1, as people do."""
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{_plain(part)}"
    return text.removeprefix(".")


def _plain(key: str) -> str:
    """A key as it stands, or in quotes where it is long or would do something to a terminal."""
    return key if key.isprintable() and len(key) <= 40 else shown(key)


def read_document(path: Path) -> Document:
    """Reads a YAML file; raises `FileError` with a line for everything that cannot be read."""
    return parse_document(_read_text(path), path)


def parse_document(text: str, path: Path) -> Document:
    """YAML text that stands in ``path``, or is to stand there; raises as `read_document` does."""
    document = Document(str(path))
    try:
        _Builder(document, yaml.parse(text, Loader=_Loader)).build()
        if not document.content:
            raise _refused(path, "this file is empty", remedy="write keys and values into it")
    except yaml.MarkedYAMLError as error:
        raise FileError(document.source, [*document.faults, _yaml_fault(error, text)]) from None
    except yaml.YAMLError as error:
        raise _refused(path, f"this is not YAML: {str(error).splitlines()[0]}") from None
    return document


def _read_text(path: Path) -> str:
    try:
        with path.open("rb") as file:
            raw = file.read(_MOST_BYTES + 1)
    except OSError as error:
        raise _refused(path, (error.strerror or "cannot be read").lower()) from None
    if len(raw) > _MOST_BYTES:
        raise _refused(path, "this file is larger than 1 MB")
    if raw.startswith((BOM_UTF16_LE, BOM_UTF16_BE)):
        raise _refused(path, "this is UTF-16 text", remedy="save it as UTF-8")
    if b"\0" in raw:
        raise _refused(path, "this is not a text file")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _refused(path, "this is not UTF-8 text", line, "save it as UTF-8") from None


def _refused(
    path: Path, found: str, line: int = 1, remedy: str = "give a text file in YAML"
) -> FileError:
    return FileError(str(path), [Fault(line, 1, "", found, remedy)])


#: What the YAML library says, in the words of somebody who does not know YAML's grammar.
_PLAINLY: Final = {
    "mapping values": (
        "found a colon where none can be",
        "put text with a colon in quotes; a key has a space after its colon",
    ),
    "end of stream": ("a quote is never closed", "close it where its text ends"),
    "indicator|expected key|block end": (
        "the indent of this line matches no line above",
        "line it up with its neighbours",
    ),
    "',' or": ("a bracket is not closed before this", "close it, or write a comma between parts"),
}


def _yaml_fault(error: yaml.MarkedYAMLError, text: str) -> Fault:
    mark = error.problem_mark or error.context_mark
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    problem = (error.problem or "it cannot be read").replace("\n", " ")
    found = f"this is not YAML: {problem}"
    remedy = "look at indents, colons, quotes and brackets here and just above"
    if any(re.match(r"\s*\t", written) for written in text.split("\n")[line - 1 : line]):
        found, remedy = "found a tab", "indent with spaces"
    elif sign := next((sign for sign in _PLAINLY if re.search(sign, problem)), None):
        found, remedy = _PLAINLY[sign]
    return Fault(line, column, "", found, remedy)


class _Builder:
    """Turns the parser's events into content, gathering faults and going on."""

    def __init__(self, document: Document, events: Iterator[YamlEvent]) -> None:
        self._document = document
        self._events = events
        self._nodes = 0

    def build(self) -> None:
        for event in self._events:
            if isinstance(event, yaml.DocumentStartEvent):
                if self._document.content is not None:
                    self._stop(event, "a second document begins here", "keep one plan in a file")
                self._document.content = self._node(next(self._events), ())

    def _node(self, event: YamlEvent, path: KeyPath) -> Any:
        self._nodes += 1
        if self._nodes > _MOST_NODES:
            self._stop(event, "this file has more than 50,000 parts", "keep a plan short")
        if len(path) > _DEEPEST:
            self._stop(event, "this is nested more than 12 deep", "keep within 12 levels")
        self._document._values[path] = _place(event)
        self._refuse_tag(event)
        if isinstance(event, yaml.MappingStartEvent):
            return self._mapping(path)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._list(path)
        if isinstance(event, yaml.ScalarEvent):
            return event.value
        return self._stop(event, "found an alias (*name)", "write the value out")

    def _mapping(self, path: KeyPath) -> dict[str, Any]:
        content: dict[str, Any] = {}
        while not isinstance(event := next(self._events), yaml.MappingEndEvent):
            if not isinstance(event, yaml.ScalarEvent):
                self._stop(event, "a key here is not plain text", "write keys as plain words")
            key_path = (*path, event.value)
            if event.value in content:
                found = (
                    f"this key is written twice, first on line {self._document._keys[key_path][0]}"
                )
                again = Fault(*_place(event), written_path(key_path), found, "keep one of them")
                self._document.faults.append(again)
                self._node(next(self._events), (*path, f"{event.value} (again)"))
                continue
            self._document._keys[key_path] = _place(event)
            content[event.value] = self._node(next(self._events), key_path)
        self._document._paths[id(content)] = path
        return content

    def _list(self, path: KeyPath) -> list[Any]:
        content: list[Any] = []
        while not isinstance(event := next(self._events), yaml.SequenceEndEvent):
            content.append(self._node(event, (*path, len(content))))
        self._document._paths[id(content)] = path
        return content

    def _refuse_tag(self, event: YamlEvent) -> None:
        tag = getattr(event, "tag", None)
        if tag not in (None, "!"):
            self._stop(event, f"found a tag ({shown(str(tag))})", "leave it out")

    def _stop(self, event: YamlEvent, found: str, remedy: str) -> NoReturn:
        fault = Fault(*_place(event), "", found, remedy)
        raise FileError(self._document.source, [*self._document.faults, fault])


def _place(event: YamlEvent) -> Place:
    return event.start_mark.line + 1, event.start_mark.column + 1
