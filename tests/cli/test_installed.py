"""The program finds its plans and sounds from a checkout, an editable install and a wheel."""

import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]

_BUILD = """
import sys, os
from hatchling.build import build_editable, build_wheel
os.chdir(sys.argv[1])
print({"wheel": build_wheel, "editable": build_editable}[sys.argv[2]](sys.argv[3]))
"""
_CALL = """
import site, sys
sys.path = [p for p in sys.path if p != ""]
site.addsitedir(sys.argv.pop(1))
sys.path.insert(0, sys.path.pop())
import darktimer
print(darktimer.__file__, file=sys.stderr)
from darktimer.cli import main
main()
"""


def _python(*args: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *map(str, args)], cwd=cwd, capture_output=True, text=True, check=True
    )


@pytest.fixture(params=["checkout", "editable", "wheel"])
def installed(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Path]:
    """A folder that makes the package importable, in each of the ways people install it."""
    if request.param == "checkout":
        (tmp_path / "here.pth").write_text(f"{PROJECT}\n")
        return tmp_path
    _python("-c", _BUILD, PROJECT, request.param, tmp_path, cwd=tmp_path)
    (wheel,) = tmp_path.glob("*.whl")
    folder = tmp_path / "installed"
    with zipfile.ZipFile(wheel) as file:
        file.extractall(folder)
    return folder


def test_shipped_plans_and_cue_sets_are_found(installed: Path, tmp_path: Path) -> None:
    plan = "open-tub-half-agitation"
    done = _python("-c", _CALL, installed, "timeline", plan, "--json", cwd=tmp_path)
    assert json.loads(done.stdout)["title"] == "Open tub, half agitation"
    home = installed if (installed / "darktimer/__init__.py").is_file() else PROJECT
    assert done.stderr.strip() == str(home / "darktimer" / "__init__.py")


def test_a_plan_is_found_by_path(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text((PROJECT / "sequences/open-tub-half-agitation.yaml").read_text())
    paths = os.pathsep.join([os.environ["PYTHONPATH"], str(PROJECT)])
    env = {**os.environ, "PYTHONPATH": paths}
    subprocess.run(
        [sys.executable, "-m", "darktimer", "check", "mine.yaml"],
        cwd=tmp_path,
        env=env,
        check=True,
        capture_output=True,
    )


def test_a_wheel_holds_the_program_and_all_that_it_reads(tmp_path: Path) -> None:
    _python("-c", _BUILD, PROJECT, "wheel", tmp_path, cwd=tmp_path)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as file:
        names = {name for name in file.namelist() if ".dist-info/" not in name}
        (entry,) = (name for name in file.namelist() if name.endswith("entry_points.txt"))
        assert "darktimer = darktimer.cli:main" in file.read(entry).decode()
    # The builder takes those folders whole: what the README shows and links comes along.
    shipped = [p for name in ("sequences", "sounds") for p in (PROJECT / name).rglob("*.*")]
    assert {p.suffix for p in shipped} == {".yaml", ".svg", ".md"}
    ours = [
        p for p in (PROJECT / "darktimer").rglob("*") if p.suffix == ".py" or p.name == "py.typed"
    ]
    assert names == {
        *(f"darktimer/shipped/{path.relative_to(PROJECT)}" for path in shipped),
        *(str(path.relative_to(PROJECT)) for path in ours),
    }
