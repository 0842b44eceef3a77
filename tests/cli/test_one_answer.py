"""Mix, run, journal, review, next and card give one answer on the same film and the same baths."""

import json
import re
from pathlib import Path

import pypdf
import pytest

from darktimer.journal.events import Event
from darktimer.journal.journal import Journal
from darktimer.journal.start import about_to_start
from darktimer.prepare.prepared import prepare
from tests.cli.conftest import Run

PLAN = """\
title: One answer
about: Invented for tests; untested on film.
film: {format: 135-36, count: 2}
vessel: {kind: tub, light: open, volume: 1 l, size: 15 x 20 cm}
temperature: 24 C
room: 18 C
steps:
  - load: by hand
  - develop: 20 min
    bath: nettle leaf developer
    agitation: 1/2
  - rinse: 1 min
  - fix: 8 min
    bath: plain fixer
    clearing: 3 min
  - wash: 5 min
    repeat: 12
"""
ADJUSTED = PLAN.replace(
    "    agitation", "    time is for: 20 C\n    adjust: for drift\n    agitation"
)
UNNAMED = PLAN.replace("    bath: plain fixer\n", "")
ROLL_M2 = 80 * 0.0254**2  # 80 square inches a roll: a rule of the trade


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def carried_out(path: str) -> int:
    """The number of a run in which each step comes when it is due."""
    prepared = prepare(path, "standard", None)
    with Journal.open() as journal:
        start = about_to_start(prepared.file, "standard", prepared.timeline)
        run = journal.begin_run(start)
        for index, (_name, _kind, at_ms, *_) in enumerate(prepared.timeline.steps):
            wall_ms = start.started.wall_utc_ms + at_ms
            journal.record(run, Event(at_ms, wall_ms, "step-begun", "", index, at_ms))
        journal.finish_run(run)
    return run


def answers(run: Run, plan: str) -> dict[str, dict[str, str]]:
    """For each command, the bath of each kind of step that has one of its own."""
    sheet = json.loads(run("mix", plan, "--json").out)["baths"]
    mixed = {kind: bath["name"] for bath in sheet for kind in map(str.lower, bath["steps"])}
    number = carried_out(plan)
    steps = json.loads(run("journal", str(number), "--json").out)["steps"]
    real = {step["kind"]: step["bath"] for step in steps if step["bath"]}
    listed = json.loads(run("journal", "--json").out)[0]["baths"]
    chemical = ("develop", "fix")
    return {
        "mix": {kind: mixed[kind] for kind in chemical},
        "journal": {kind: real[kind] for kind in chemical},
        "list": dict(zip(chemical, listed, strict=True)),
    }


def printed_card(run: Run, plan: str) -> str:
    run("card", plan, "-o", "card.pdf", "--force")
    pages = pypdf.PdfReader("card.pdf").pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def agreed(run: Run, text: str, fixer: str) -> dict[str, str]:
    """The one answer of all commands on the baths of a plan; the card has their words too."""
    Path("plan.yaml").write_text(text)
    (answer, *others) = answers(run, "plan.yaml").values()
    assert all(each == answer for each in others)
    assert answer == {"develop": "nettle leaf developer", "fix": fixer}
    assert all(name in printed_card(run, "plan.yaml") for name in answer.values())
    return answer


def used(run: Run) -> dict[str, float]:
    return {bath["name"]: bath["used_m2"] for bath in json.loads(run("baths", "--json").out)}


def test_an_adjusted_plan(run: Run, home: Path) -> None:
    run("baths", "begin", "plain fixer", "--volume", "1 l", "--capacity-rolls", "20")
    agreed(run, ADJUSTED, "plain fixer")
    assert used(run) == {"plain fixer": pytest.approx(2 * ROLL_M2, rel=1e-4)}
    tonight = json.loads(run("mix", "plan.yaml", "--json").out)["times"][0]["time_ms"]
    (checked,) = json.loads(run("check", "plan.yaml", "--json").out)
    (develop,) = (step for step in checked["steps"] if step["kind"] == "develop")
    assert develop["time_ms"] == tonight < 20 * 60_000
    page = " ".join(run("journal", "1").out.split())
    shown = f"{tonight // 60_000}:{tonight // 1000 % 60:02}"
    assert f"Develop: {shown} of {shown}, planned at 24.0 °C" in page
    # A time to the full second in the warmer bath is worth the written one to a second or so.
    assert any(f"worth {worth} at 20.0 °C" in page for worth in ("19:59", "20:00", "20:01"))
    assert shown in printed_card(run, "plan.yaml")
    run("journal", "add-result", "1", "--density", "dense")
    run("next", "1", "-o", "next.yaml")
    # The step that was written for 20 °C gets 15 % less, and keeps what it asks for.
    changed = [line for line in Path("next.yaml").read_text().splitlines() if line not in ADJUSTED]
    assert changed[-1] == "  - develop: 17 min"
    assert re.search(r"^title: .*after run 1", changed[-2])


def test_a_bath_without_a_name(run: Run, home: Path) -> None:
    run("baths", "begin", "Fix", "--volume", "1 l", "--capacity-rolls", "10")
    agreed(run, UNNAMED, "Fix")
    for _ in range(4):
        carried_out("plan.yaml")
    assert used(run) == {"Fix": pytest.approx(10 * ROLL_M2, rel=1e-4)}
    sheet = json.loads(run("mix", "plan.yaml", "--json").out)["baths"]
    (fix,) = (bath for bath in sheet if bath["name"] == "Fix")
    assert "not to be used: its capacity" in fix["kept"], "five runs of two rolls use up ten"
    assert not fix["ready"]


@pytest.mark.parametrize("spelt", ["Plain Fixer", "plain  fixer", "PLAIN-FIXER", "plain_fixer"])
def test_a_bath_spelt_another_way(run: Run, home: Path, spelt: str) -> None:
    run("baths", "begin", "plain fixer", "--volume", "1 l", "--capacity-rolls", "4")
    agreed(run, PLAN.replace("plain fixer", f"'{spelt}'"), " ".join(spelt.split()))
    assert used(run) == {"plain fixer": pytest.approx(2 * ROLL_M2, rel=1e-4)}
    sheet = json.loads(run("mix", "plan.yaml", "--json").out)["baths"]
    (fix,) = (bath for bath in sheet if "Fix" in bath["steps"])
    assert "good for 2.0 more rolls" in fix["kept"]
    assert fix["ready"]
    assert fix["recipe"] == "Plain fixer"


def test_a_kept_bath_that_clears_slowly(run: Run, home: Path) -> None:
    """What was noted of the bath speaks on the sheet and in the check, of the next plan too."""
    run("baths", "begin", "plain fixer", "--volume", "1 l", "--capacity-rolls", "20")
    agreed(run, PLAN, "plain fixer")
    run("baths", "clearing", "plain fixer", "4:30")
    run("journal", "add-result", "1", "--density", "thin")
    run("next", "1", "-o", "next.yaml")
    for plan in ("plan.yaml", "next.yaml"):
        for command in ("check", "mix"):
            said = " ".join(run(command, plan).out.split())
            assert "8:00 is under twice the clearing time of 4:30" in said, (command, plan)
