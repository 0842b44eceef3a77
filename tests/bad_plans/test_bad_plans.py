"""Every plan in this folder is refused with exactly the text that stands beside it.

Each ``name.yaml`` has a ``name.expected``: one line a fault, without the path of the file. Files
that are too large to keep are made here.
"""

import runpy
from pathlib import Path

import pytest

from darktimer.errors import DarktimerError, FileError
from darktimer.plan.reader import read_plan_file
from darktimer.process.compiler import compile_plan

HERE = Path(__file__).parent
CASES = sorted(path.stem for path in HERE.glob("*.yaml"))
YAML = "give a text file in YAML"
LENGTH_MS = runpy.run_path(str(HERE.parent / "golden" / "remake.py"))["length_ms"]


def use(path: Path) -> None:
    file = read_plan_file(path)
    with file.blamed():
        compile_plan(file.plan, LENGTH_MS)


def refusal(path: Path) -> str:
    """What the user is told of the file at ``path``, without its path."""
    with pytest.raises(DarktimerError) as caught:
        use(path)
    return str(caught.value).replace(str(path), "")


@pytest.mark.parametrize("name", CASES)
def test_plan_is_refused_with_the_expected_text(name: str) -> None:
    expected = (HERE / f"{name}.expected").read_text(encoding="utf-8")
    assert refusal(HERE / f"{name}.yaml") + "\n" == expected


def test_every_expected_text_has_its_plan() -> None:
    assert sorted(path.stem for path in HERE.glob("*.expected")) == CASES


@pytest.mark.parametrize("name", CASES)
def test_every_fault_names_its_place(name: str) -> None:
    path = HERE / f"{name}.yaml"
    with pytest.raises(FileError) as caught:
        use(path)
    lines = path.read_bytes().count(b"\n") + 1
    for fault in caught.value.faults:
        assert 1 <= fault.line <= lines
        assert fault.column >= 1
        assert fault.found
        assert fault.remedy


def test_fifty_megabytes_are_not_even_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.yaml"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    assert refusal(path) == ":1:1: this file is larger than 1 MB; " + YAML


@pytest.mark.parametrize("bracket", ["[", "{a: ", "- ", "? "])
def test_ten_thousand_levels_end_in_one_line(tmp_path: Path, bracket: str) -> None:
    path = tmp_path / "deep.yaml"
    path.write_text(bracket * 10_000, encoding="utf-8")
    assert len(refusal(path).splitlines()) == 1


def test_a_hundred_thousand_keys_end_in_one_line(tmp_path: Path) -> None:
    path = tmp_path / "wide.yaml"
    path.write_text("\n".join(f"k{k}: 1" for k in range(60_000)), encoding="utf-8")
    assert "more than 50,000 parts" in refusal(path)


def test_a_folder_is_no_plan(tmp_path: Path) -> None:
    assert refusal(tmp_path) == ":1:1: is a directory; " + YAML


def test_a_missing_file_is_said_to_be_missing(tmp_path: Path) -> None:
    assert refusal(tmp_path / "none.yaml") == ":1:1: no such file or directory; " + YAML
