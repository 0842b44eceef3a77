"""Files are read as text with places, and every fault of a file is found."""

from pathlib import Path

import pytest

from darktimer.document import Document, read_document
from darktimer.document.reader import written_path
from darktimer.errors import FileError


def read(tmp_path: Path, raw: str | bytes) -> Document:
    path = tmp_path / "file.yaml"
    path.write_bytes(raw if isinstance(raw, bytes) else raw.encode())
    return read_document(path)


@pytest.mark.parametrize("scalar", ["7:30", "no", "yes", "1_000", "0x10", "1e3", ".nan", "012"])
def test_scalars_stay_as_they_are_written(tmp_path: Path, scalar: str) -> None:
    assert read(tmp_path, f"a: {scalar}\nb: [{scalar}]").content == {"a": scalar, "b": [scalar]}


def test_places_count_from_one(tmp_path: Path) -> None:
    document = read(tmp_path, "a: 1\nb:\n  - c: 2\n  - {d: 3}\n")
    assert document.place(("a",)) == (1, 4)
    assert document.place(("b", 0, "c")) == (3, 8)
    assert document.place(("b", 1, "d"), of_key=True) == (4, 6)


def test_what_is_not_there_stands_where_its_parent_is(tmp_path: Path) -> None:
    assert read(tmp_path, "a:\n  b: 1\n").place(("a", "missing", 3)) == (2, 3)


def test_paths_are_written_for_people() -> None:
    assert written_path(("steps", 1, "fix", "light after")) == "steps[2].fix.light after"
    assert written_path(()) == ""


@pytest.mark.parametrize("raw", [b"\xef\xbb\xbfa: 1\n", b"a: 1\r\n", b"--- \na: 1\n...\n", b"a: 1"])
def test_ways_of_saving_a_file(tmp_path: Path, raw: bytes) -> None:
    assert read(tmp_path, raw).content == {"a": "1"}


def test_lines_count_the_same_with_other_line_ends(tmp_path: Path) -> None:
    assert read(tmp_path, b"a: 1\r\nb: 2\r\n").place(("b",)) == (2, 4)


def test_a_key_twice_keeps_the_first_and_is_a_fault(tmp_path: Path) -> None:
    document = read(tmp_path, "a: 1\na: {b: 2}\nc: 3\n")
    assert document.content == {"a": "1", "c": "3"}
    assert [(fault.line, fault.key) for fault in document.faults] == [(2, "a")]


def test_faults_found_before_the_file_breaks_off_are_told_too(tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        read(tmp_path, "a: 1\na: 2\nb: [\n")
    assert [fault.line for fault in caught.value.faults] == [2, 4]
