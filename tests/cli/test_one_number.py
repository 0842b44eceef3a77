"""The same stretch of time has one number on every page, for every plan that is shipped."""

import json
import re
from pathlib import Path

import pytest

from darktimer import shipped
from darktimer.paper.step_rows import rows
from darktimer.prepare.prepared import Prepared, prepare
from tests.cli.conftest import Run
from tests.cli.test_one_answer import carried_out

NO_BATH = ("ready", "load", "put away", "done")
Times = list[tuple[str, str]]


@pytest.fixture(params=shipped.names("sequences"))
def prepared(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))
    return prepare(request.param, "standard", None)


def plan_of(prepared: Prepared) -> str:
    return Path(prepared.file.document.source).stem


def checked(run: Run, prepared: Prepared) -> list[dict]:
    (report,) = json.loads(run("check", plan_of(prepared), "--json").out)
    return [step for step in report["steps"] if step["kind"] not in NO_BATH]


def test_own_times_are_the_same_from_plan_to_journal(run: Run, prepared: Prepared) -> None:
    """As `check` has them, and as the plan writes them; a run in which each act came when due."""
    expected = [(step["name"], step["time_ms"]) for step in checked(run, prepared)]
    written = [(s.called, s.time_ms) for s in prepared.plan.steps for _ in range(s.repeat)]
    totals: dict[int, int] = {}
    for step in checked(run, prepared):
        if step["source"] is not None:
            totals[step["source"]] = totals.get(step["source"], 0) + step["time_ms"]
    plan = prepared.plan.steps
    assert totals == {k: s.time_ms * s.repeat for k, s in enumerate(plan) if s.kind not in NO_BATH}
    assert len(written) >= len(totals)

    number = carried_out(plan_of(prepared))
    steps = json.loads(run("journal", str(number), "--json").out)["steps"]
    reviewed = [step for step in steps if step["kind"] not in NO_BATH]
    assert [(step["name"], step["planned_ms"]) for step in reviewed] == expected
    assert [(step["name"], step["real_ms"]) for step in reviewed] == expected

    on_card = [
        (row.kind, row.time_ms)
        for row in rows(prepared.plan, prepared.timeline)
        for _ in range(row.number)
        if row.is_bath and row.kind not in NO_BATH
    ]
    assert on_card == [(step["kind"], step["time_ms"]) for step in checked(run, prepared)]


def test_shares_that_move_are_the_same_in_check_and_journal(run: Run, prepared: Prepared) -> None:
    number = carried_out(plan_of(prepared))
    shown = run("check", plan_of(prepared)).out
    moving = re.findall(r"([0-9.]+) %  (?:dark|light)", shown)
    journal = run("journal", str(number)).out
    planned = re.findall(r"0 s +([0-9.]+) %", journal)
    assert planned == moving


def test_moments_are_the_same_in_timeline_check_card_and_the_file(
    run: Run, prepared: Prepared
) -> None:
    shown = run("timeline", plan_of(prepared)).out
    headings = re.findall(r"^ *([0-9:.]+) +-- ", shown, re.MULTILINE)
    steps = re.findall(r"^ *([0-9:.]+)  \S", run("check", plan_of(prepared)).out, re.MULTILINE)
    assert headings == steps


def test_what_a_timeline_lists_is_in_the_order_in_which_it_is_heard(
    run: Run, prepared: Prepared
) -> None:
    lines = run("timeline", plan_of(prepared)).out.split("Meaning", 1)[1].split("\nNote", 1)[0]
    heard = re.findall(r"^ *((?:\d+:)?\d+:\d\d(?:\.\d+)?) ", lines, re.MULTILINE)
    seconds = [sum(float(p) * 60**k for k, p in enumerate(reversed(at.split(":")))) for at in heard]
    assert len(seconds) > len(prepared.timeline.cues)
    assert seconds == sorted(seconds)
