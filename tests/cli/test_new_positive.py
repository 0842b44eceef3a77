"""Who wants a positive is led to the plan that reverses film, with its cautions."""

import json
from pathlib import Path

import pytest

from darktimer.errors import UnreadableError
from darktimer.plan.reader import read_plan
from darktimer.prepare.answers import in_plan_words

from .conftest import Run

SHIPPED = Path(__file__).parents[2] / "sequences" / "reversal-motion-picture.yaml"


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))


def test_a_positive_begins_from_the_shipped_plan(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "slides.yaml"
    ran = run("new", "--positive", target)
    told = " ".join(ran.out.split())
    assert ran.status == 0
    assert target.read_text("utf-8") == SHIPPED.read_text("utf-8")
    assert [step.kind for step in read_plan(str(target)).plan.steps if step.kind == "expose"]
    assert "written; no faults found." in told
    assert "Bleach and clearing bath are bought: write their makers' times" in told
    assert "Bleaches are strong acids and oxidisers" in told
    assert "is already there" in run("new", "--positive", target).err
    again = json.loads(run("new", "--positive", target, "--force", "--json").out)
    assert any("strong acids" in each for each in again["cautions"])
    assert len(again["notes"]) == 3


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        (["--like", "1"], "leave out --like"),
        (["--recipe"], "leave out --recipe"),
        (["--film", "120"], "leave out --film"),
    ],
)
def test_nothing_else_goes_with_it(run: Run, asked: list[str], found: str) -> None:
    ran = run("new", "--positive", *asked)
    assert (ran.status, ran.out) == (2, "")
    assert f"--positive begins from a plan as it is; {found}" in " ".join(ran.err.split())


@pytest.mark.parametrize(
    ("question", "answer"),
    [
        ("film", "reversal film"),
        ("film", "two rolls of slides"),
        ("film", "16 mm Positive"),
        ("developer", "reversal first developer"),
    ],
)
def test_an_answer_that_wants_a_positive_is_led_there(question: str, answer: str) -> None:
    with pytest.raises(UnreadableError, match="for a positive begin with darktimer new --positive"):
        in_plan_words(question, answer, "135-36")


def test_a_stock_or_a_title_may_be_called_so() -> None:
    assert in_plan_words("title", "No slides", "120") == {"title": "No slides"}
    assert in_plan_words("stock", "old reversal film", "120") == {"stock": "old reversal film"}
