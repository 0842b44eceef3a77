"""A develop time made to fit its bath is told of by every command on the plan."""

import json
from pathlib import Path

import pytest

from darktimer.pages.briefing import print_plan
from darktimer.prepare.prepared import prepare

KITCHEN = Path(__file__).parents[1] / "bench" / "warm-kitchen.yaml"
PLAN = KITCHEN.read_text("utf-8").replace("ASKED", "for drift")


def write(folder: Path, text: str) -> Path:
    path = folder / "plan.yaml"
    path.write_text(text)
    return path


def test_every_command_tells_of_it(run, tmp_path: Path) -> None:
    path = write(tmp_path, PLAN)
    timeline = json.loads(run("timeline", path, "--json").out)
    (report,) = json.loads(run("check", path, "--json").out)
    rendered = run("render", path, "-o", tmp_path / "a.flac", "--rate", "8000").out
    sheet = json.loads(run("mix", path, "--json").out)
    develop = next(step for step in report["steps"] if step["kind"] == "develop")
    assert timeline["notes"][1].startswith("Develop lasts 7:23 in place of the 10:00")
    assert timeline["notes"][1] in report["notes"]
    assert "Develop lasts 7:23 in place of the 10:00" in rendered
    assert develop["time_ms"] == sheet["times"][0]["time_ms"] == 443_000
    printed = " ".join(run("mix", path).out.split())
    assert "Develop: 7:23, adjusted for drift as the plan asks" in printed
    assert "10:00 at 20.0 °C does the same as" in printed
    assert "its time constant is 60 min, from two readings of the thermometer" in printed


def test_check_tells_what_would_do_the_same(run, tmp_path: Path) -> None:
    path = write(tmp_path, PLAN.replace("    adjust: for drift\n", ""))
    assert "7:23 would do the same" in " ".join(run("check", path).out.split())
    assert "would do the same" not in run("timeline", path).out


@pytest.mark.parametrize(
    ("asked", "lasts", "said"),
    [
        ("    adjust: for drift\n", "7:23", "Develop lasts 7:23 in place of the 10:00"),
        ("", "10:00", "7:23 would do the same"),
    ],
)
def test_the_page_before_the_dark_shows_the_time_that_will_be_kept(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, asked: str, lasts: str, said: str
) -> None:
    path = write(tmp_path, PLAN.replace("    adjust: for drift\n", asked))
    print_plan(prepare(str(path), "standard", None))
    page = capsys.readouterr().out
    (row,) = (line for line in page.splitlines() if "  Develop  " in line)
    assert row.split()[-1] == lasts
    assert said in " ".join(page.split())
