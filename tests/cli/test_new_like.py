"""A plan that begins from a run, and what the journal knows said while one is written."""

import json
from pathlib import Path

import pytest

from darktimer.plan.draft import UNKNOWN
from darktimer.plan.reader import read_plan_file
from darktimer.prepare.answers import in_plan_words
from tests.journal.samples import PLAN, write_plan

from .conftest import Run

STOCKED = PLAN.replace("count: 1", "stock: meadow 100, exposed at: 200")


@pytest.fixture
def plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    return write_plan(tmp_path, STOCKED)


def test_a_plan_begins_from_a_run(run: Run, plan: Path, tmp_path: Path) -> None:
    run("journal", "add", plan, "--step", "develop=11:30")
    run("journal", "add-result", 1, "--density", "right", "--keep")
    plan.write_text("title: another by now\n")
    again = tmp_path / "again.yaml"
    told = " ".join(run("new", "--like", 1, again).out.split())
    assert f"{again}: written; no faults found." in told.replace(" /", "/")
    assert "nettle developer was for 11:30 in run 1; this plan makes it 10:00" in told
    assert "meadow 100 in nettle developer: 1 run; kept: 11:30 at 20.0 °C" in told
    first, rest = again.read_text("utf-8").split("\n", 1)
    assert first.startswith("# Begun from run 1 of 20")
    assert rest == STOCKED
    assert "is already there" in run("new", "--like", 1, again).err
    report = json.loads(run("new", "--like", 1, again, "--force", "--json").out)
    assert report["notes"] == ["nettle developer was for 11:30 in run 1; this plan makes it 10:00"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--like", "2"], "run 2: there is none of that number"),
        (
            ["--like", "1", "--film", "120"],
            "begins from the plan of a run as it is; leave out --fi",
        ),
        (["--like", "1", "--recipe"], "begins from the plan of a run as it is; leave out --recipe"),
    ],
)
def test_what_no_plan_begins_from(
    run: Run, plan: Path, tmp_path: Path, words: list[str], says: str
) -> None:
    run("journal", "add", plan)
    refused = run("new", tmp_path / "again.yaml", *words)
    assert refused.status
    assert says in " ".join(refused.err.split())
    assert not (tmp_path / "again.yaml").exists()


def test_a_stock_and_its_exposure_are_answers_too(run: Run, plan: Path, tmp_path: Path) -> None:
    run("journal", "add", plan)
    mine = tmp_path / "mine.yaml"
    answers = ["--stock=Meadow 100", "--exposed-at=24°", "--developer=nettle developer"]
    said = " ".join(run("new", mine, "--no-questions", *answers).out.split())
    assert "The journal knows: - Meadow 100 in nettle developer: 1 run" in said.replace(
        "meadow", "Meadow"
    )
    (film,) = read_plan_file(mine).plan.films
    assert (film.stock, film.exposed_at) == ("Meadow 100", 24)
    run("new", mine, "--no-questions", "--force")
    (film,) = read_plan_file(mine).plan.films
    assert (film.stock, film.exposed_at) == (None, None)
    refused = run("new", mine, "--no-questions", "--force", "--exposed-at=fast")
    assert "'fast' is not an exposure index" in " ".join(refused.err.split())


@pytest.mark.parametrize(
    ("answer", "stock"),
    [("One two 100", "One two 100"), ("?", UNKNOWN), ("Not sure", UNKNOWN), ("UNKNOWN", UNKNOWN)],
)
def test_a_name_is_taken_as_it_is(answer: str, stock: str) -> None:
    assert in_plan_words("stock", answer, "120") == {"stock": stock}
