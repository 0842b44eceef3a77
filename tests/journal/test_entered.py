"""An evening that a sound file led, or a person by hand, entered into the journal afterwards."""

import json
from datetime import datetime

import pytest
from click.testing import CliRunner

from darktimer.cli.root import root
from darktimer.errors import DarktimerError
from darktimer.journal.baths import bath_named, begin_bath
from darktimer.journal.clocks import moment_utc_ms
from darktimer.journal.journal import Journal
from darktimer.journal.review import review
from darktimer.plan.reader import read_plan_text
from darktimer.prepare.entered import real_lengths
from darktimer.process.compiler import compile_plan
from darktimer.process.timeline import Step, Timeline
from tests.journal.samples import PLAN, write_plan

# By the usual convention of time, half a minute to get ready and three for loading by hand.
BEGAN = "2024-05-04 20:15"


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    write_plan(tmp_path)
    return tmp_path / "home"


def typed(*words, status=0):
    done = CliRunner().invoke(root, words)
    assert done.exit_code == status, done.output
    return done.output


def added(*words):
    return json.loads(typed("journal", "add", "invented.yaml", *words, "--json"))


def steps_of(run):
    found = json.loads(typed("journal", str(run), "--json"))
    return {step["kind"]: step for step in found["steps"]}, found


def test_what_a_person_says_holds_and_all_else_is_as_planned(home):
    said = added("--at", BEGAN, "--step", "develop=11:30", "--temperature", "21 C",
                 "--notes", "by the file")  # fmt: skip
    steps, found = steps_of(said["run"])
    assert steps["develop"]["planned_ms"] == 600_000
    assert steps["develop"]["real_ms"] == 690_000
    assert steps["fix"]["real_ms"] == steps["fix"]["planned_ms"] == 480_000
    assert found["state"] == "finished"
    assert found["exit"] == 0
    assert found["result"]["celsius"] == 21
    assert found["result"]["notes"] == "by the file"
    assert found["real_ms"] - found["planned_ms"] == 90_000
    began = datetime.fromisoformat(said["began"])
    assert began.astimezone() == datetime(2024, 5, 4, 20, 15).astimezone()
    lasted = datetime.fromisoformat(said["ended"]) - began
    assert lasted.total_seconds() * 1000 == found["real_ms"]


def test_it_is_marked_as_entered_and_not_as_heard(home):
    added("--at", BEGAN)
    for page in (typed("journal"), typed("journal", "1")):
        assert "entered afterwards" in " ".join(page.split())
    (line,), (_, found) = json.loads(typed("journal", "--json")), steps_of(1)
    assert line["entered"] == found["entered"] is not None
    assert {event["kind"] for event in found["events"]} == {"step-begun", "step-ended"}


def test_a_run_that_was_led_is_marked_by_nothing(home):
    from tests.journal.test_review import played

    with Journal.open(home) as journal:
        played(journal, home.parent)
    assert "entered" not in typed("journal") + typed("journal", "1")
    assert json.loads(typed("journal", "--json"))[0]["entered"] is None


def test_film_moved_as_planned_as_long_as_the_step_lasted(home):
    added("--at", BEGAN)
    added("--at", BEGAN, "--step", "develop=5:00")
    added("--at", BEGAN, "--step", "develop=20:00")
    moved = []
    for run in (1, 2, 3):
        develop = steps_of(run)[0]["develop"]
        moved.append(develop["real_moving_ms"])
        assert develop["planned_moving_ms"] == 300_000  # half of ten minutes
    assert moved == [300_000, 150_000, 300_000]


def test_nothing_of_it_came_late(home):
    added("--at", BEGAN, "--step", "develop=11:30", "--step", "fix=8:10")
    assert {step["late_ms"] for step in steps_of(1)[0].values()} == {None}
    assert "late" not in typed("next", "1")


def test_next_works_from_what_was_done(home):
    added("--at", BEGAN, "--step", "develop=12:00")
    typed("journal", "add-result", "1", "--density", "right")
    page = typed("next", "1", "-o", "new.yaml")
    assert "12:00 in place of 10:00" in " ".join(page.split())
    assert "develop: 12 min " in (home.parent / "new.yaml").read_text("utf-8")


def test_it_uses_up_baths_as_a_run_does(home):
    with Journal.open(home) as journal:
        begin_bath(journal, "plain fixer", 1000.0, 0, None, 0.2)
    said = added("--ended", "2024-05-04 22:00")
    with Journal.open(home) as journal:
        bath, run = bath_named(journal, "Plain Fixer"), journal.run(said["run"])
    (note,) = bath.notes
    assert (note.run, note.area_m2) == (run.number, run.film_area_m2)
    assert note.at_utc_ms == run.ended_utc_ms == moment_utc_ms("2024-05-04 22:00")


def test_it_has_just_ended_where_nothing_else_is_said(home):
    before = datetime.now().astimezone()
    ended = datetime.fromisoformat(added()["ended"])
    assert abs((ended - before).total_seconds()) < 60


@pytest.mark.parametrize("where", ["out.jsonl", "out"])
def test_it_goes_out_and_comes_in_as_it_is(home, monkeypatch, where):
    added("--at", BEGAN, "--step", "develop=11:30")
    here = typed("journal", "1", "--json")
    typed("journal", "export", where)
    monkeypatch.setenv("DARKTIMER_HOME", str(home.parent / "another"))
    typed("journal", "import", where)
    assert typed("journal", "1", "--json") == here
    assert json.loads(here)["entered"]


def test_it_is_compared(home):
    added("--at", BEGAN)
    added("--at", BEGAN, "--step", "fix=9 min")
    rows = {row["what"]: row for row in json.loads(typed("journal", "compare", "1", "2", "--json"))}
    assert rows["Fix: real time"] == {"what": "Fix: real time", "1": "8:00", "2": "9:00"}


def test_nothing_is_left_unfinished_and_all_of_it_is_one_commit(home, monkeypatch):
    monkeypatch.setattr("darktimer.journal.enter.note_run", _fail)
    with pytest.raises(ZeroDivisionError):
        CliRunner().invoke(root, ["journal", "add", "invented.yaml"], catch_exceptions=False)
    with Journal.open(home) as journal:
        assert journal.runs("") == []
    monkeypatch.undo()
    monkeypatch.setenv("DARKTIMER_HOME", str(home))
    monkeypatch.chdir(home.parent)
    added()
    with Journal.open(home) as journal:
        assert journal.unfinished_run() is None
        assert review(journal, 1).run.state == "finished"


def _fail(*_):
    raise ZeroDivisionError


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--step", "develp=3:00"], "no step 'develp'; did you mean 'develop'? steps are: "),
        (
            ["--step", "develop"],
            "'develop' is not a step with its time; write one such as develop=",
        ),
        (["--step", "=3:00"], "'=3:00' is not a step with its time"),
        (["--step", "develop=none"], "'none'"),
        (["--at", "26.11."], "'26.11.' is not a moment; write one such as 2024-05-04 20:15"),
        (["--at", "2924-05-04 20:15"], "2924-05-04 20:15 is yet to come; write a moment that is"),
        (["--at", BEGAN, "--ended", BEGAN], "give --at or --ended"),
    ],
)
def test_what_cannot_be_is_refused(home, words, says):
    assert says in typed("journal", "add", "invented.yaml", *words, status=2)
    assert json.loads(typed("journal", "--json")) == []


def test_an_evening_that_is_not_over_is_refused(home):
    now = datetime.now().strftime("%Y-%m-%d %H:%M")
    done = CliRunner().invoke(root, ["journal", "add", "invented.yaml", "--at", now])
    assert isinstance(done.exception, DarktimerError)
    assert "which is yet to come; look at --at and at --step" in str(done.exception)
    assert f"an evening that began at {now}: it would end at " in str(done.exception)


def _line(*steps):
    """A timeline of steps given as name, length in s, and the step of the plan."""
    at, made = 0, []
    for name, length_s, source in steps:
        kind = name.split()[0].strip(",").lower()
        made.append(Step(name, kind, at, at + length_s * 1000, False, source))
        at += length_s * 1000
    return Timeline("", at, tuple(made), (), (), ())


def test_a_time_holds_for_each_change_of_a_wash_or_for_the_one_named():
    line = _line(("Wash 1 of 2", 60, 0), ("Wash 2 of 2", 60, 0), ("Done", 4, None))
    assert real_lengths(line, [("wash", 90_000)]) == [90_000, 90_000, 4_000]
    assert real_lengths(line, [("Wash 2 of 2", 90_000)]) == [60_000, 90_000, 4_000]
    assert real_lengths(line, []) == [60_000, 60_000, 4_000]


@pytest.mark.parametrize(
    ("said_s", "lasted_s"), [(700, [600, 100]), (900, [600, 300]), (600, [600, 0]), (90, [90, 0])]
)
def test_a_time_is_that_of_both_parts_of_a_step(said_s, lasted_s):
    line = _line(("Fix", 600, 4), ("Fix, in the light", 120, 4))
    found = real_lengths(line, [("fix", said_s * 1000)])
    assert found == [lasted * 1000 for lasted in lasted_s]


def test_a_time_is_a_steps_own_without_what_is_outside_it():
    plan = PLAN.replace("steps:", "clock starts: full\nhabits: {transfer: 10 s}\nsteps:")
    timeline = compile_plan(read_plan_text(plan, _path()).plan, lambda _: 500)
    place = [step.kind for step in timeline.steps].index("develop")
    assert timeline.steps[place].end_ms - timeline.steps[place].start_ms == 610_000
    assert real_lengths(timeline, [("develop", 500_000)])[place] == 510_000


def _path():
    from pathlib import Path

    return Path("plan.yaml")


def test_two_steps_of_one_kind_are_told_apart():
    line = _line(("Develop", 300, 1), ("Develop more", 300, 2))
    line = line._replace(steps=(line.steps[0]._replace(name="First bath"), line.steps[1]))
    says = "'develop' may be any of 2 steps; name one of First bath, Develop more"
    with pytest.raises(ValueError, match=says):
        real_lengths(line, [("develop", 1)])
    assert real_lengths(line, [("first bath", 1)]) == [1, 300_000]
