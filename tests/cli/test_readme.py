"""Every command in the READMEs' blocks works as it stands there, and prints what is pasted there.

A YAML block that begins with a file name is that file. A block of commands that is followed by a
``text`` block printed it, in a terminal of 80 columns; a line of three dots stands for any lines.
"""

import re
import shlex
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[2]
README = "\n".join(
    (ROOT / name).read_text("utf-8") for name in ("README.md", "sequences/README.md")
)


class Block(NamedTuple):
    kind: str
    text: str


BLOCKS = [Block(*found) for found in re.findall(r"^```(\w*)\n(.*?)^```$", README, re.M | re.S)]
FILES = {
    block.text.splitlines()[0].removeprefix("# "): block.text
    for block in BLOCKS
    if block.kind == "yaml" and re.match(r"# \S+\.yaml\n", block.text)
}


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the README's files, and a journal of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    for name, text in FILES.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, "utf-8")
    return tmp_path


def commands(block: Block) -> list[str]:
    lines = block.text.replace("\\\n", "").splitlines()  # a shell goes on behind a backslash
    return [line for line in lines if line.startswith("darktimer ")]


def plainly(text: str) -> str:
    return "\n".join(line.rstrip() for line in text.strip().splitlines())


def test_the_readme_shows_a_whole_evening() -> None:
    run = [command for block in BLOCKS for command in commands(block)]
    assert [command.split()[1] for command in run][:2] == ["check", "mix"]
    assert {"evening.yaml", "recipes/thin-nettle.yaml"} <= set(FILES)


@pytest.mark.parametrize("index", [i for i, block in enumerate(BLOCKS) if commands(block)])
def test_commands_print_what_is_pasted(run, desk: Path, index: int) -> None:
    printed = ""
    for command in commands(BLOCKS[index]):
        ran = run(*shlex.split(command)[1:])
        assert ran.status == 0, ran.err
        printed += ran.out
    after = BLOCKS[index + 1] if index + 1 < len(BLOCKS) else Block("", "")
    if after.kind == "text":
        parts = [
            re.escape(part) for part in re.split(r"^\.\.\.$\n?", plainly(after.text), flags=re.M)
        ]
        assert re.fullmatch(".*?".join(parts), plainly(printed), re.S), printed


@pytest.mark.parametrize("name", FILES)
def test_files_are_read_without_a_fault(run, desk: Path, name: str) -> None:
    if not name.startswith("recipes/"):
        assert run("check", name).status == 0
        return
    from darktimer.bench.recipe_lookup import read_recipe_file

    assert "untested" in (read_recipe_file(desk / name).about or "")


def test_the_ladder_is_a_screenful() -> None:
    """One of 40 lines of 80 columns, which many a terminal opens with."""
    section = README.partition("## From a ladder")[2].partition("\n## ")[0].strip().splitlines()
    assert len(section) <= 40
    assert max(map(len, section)) <= 80
