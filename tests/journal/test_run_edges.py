"""Runs, their results and what is made of them, at the edges; timelines and times made by hand."""

import json
import sqlite3
from contextlib import closing

import pytest

from darktimer.journal import connection as connections
from darktimer.journal.baths import bath_named, begin_bath
from darktimer.journal.compare import compare
from darktimer.journal.enter import enter_run
from darktimer.journal.events import Event, detail_of, detail_text
from darktimer.journal.journal import Journal
from darktimer.journal.listing import latest, search
from darktimer.journal.refusal import JournalError
from darktimer.journal.results import Result, add_result, figure, word, written_scale
from darktimer.journal.review import review
from darktimer.journal.runs import Basis
from darktimer.journal.start import about_to_start
from darktimer.plan.reader import read_plan_file
from darktimer.process.compiler import compile_plan
from darktimer.process.timeline import Span, Step, Timeline
from tests.journal.samples import PLAN, STARTED, cue, run_start, write_plan

#: Three baths of 100 s, the first after loading for 50 s; half of each is moving.
STEPS = (
    Step("Load", "load", 0, 50_000, True, 0),
    Step("Develop", "develop", 50_000, 150_000, True, 1),
    Step("Fix", "fix", 150_000, 250_000, True, 2),
    Step("Wash", "wash", 250_000, 350_000, False, 3),
)
SPANS = tuple(
    Span(step=step, kind=kind, start_ms=start, end_ms=start + 50_000)
    for step, begins in ((1, 50_000), (2, 150_000), (3, 250_000))
    for kind, start in (("agitate", begins), ("rest", begins + 50_000))
)
LINE = Timeline("By hand", 350_000, STEPS, SPANS, (), ())


@pytest.fixture
def journal(tmp_path):
    with Journal.open(tmp_path / "home") as opened:
        yield opened


def begun(journal, folder, line=LINE):
    start = run_start(folder)
    baths = ("", "nettle developer", "plain fixer", "water")
    return journal.begin_run(start._replace(timeline=line, baths=baths))


def at(at_ms, kind, meaning="", step=None, planned_ms=None):
    return Event(at_ms, STARTED.wall_utc_ms + at_ms, kind, meaning, step, planned_ms)


def test_each_step_lasts_from_its_first_beginning_to_the_next(journal, tmp_path):
    """Load 60 s for 50; develop 110 s for 100, begun twice; fix 95 s, told by its end."""
    run = begun(journal, tmp_path)
    journal.record(
        run,
        at(0, "step-begun", step=0),
        at(60_000, "step-begun", step=1),
        at(61_000, "step-begun", step=1),
        at(170_000, "step-ended", step=1),
        at(170_000, "step-begun", step=2),
        at(200_000, "step-ended", step=2),
        at(265_000, "step-ended", step=2),
        at(270_000, "note"),
    )
    load, develop, fix, wash = review(journal, run).steps
    assert (load.real_ms, develop.real_ms, fix.real_ms, wash.real_ms) == (
        60_000, 110_000, 95_000, None,
    )  # fmt: skip
    assert [step.late_ms for step in (load, develop, fix, wash)] == [None, None, 10_000, None]
    assert [step.planned_ms for step in (load, develop)] == [50_000, 100_000]
    assert review(journal, run).real_ms == 270_000


def test_a_change_that_came_early_is_less_than_nothing_late(journal, tmp_path):
    run = begun(journal, tmp_path)
    journal.record(run, *(at(moment, "step-begun", step=step) for step, moment in
                          ((1, 50_000), (2, 147_000), (3, 249_000))))  # fmt: skip
    assert [step.late_ms for step in review(journal, run).steps] == [None, None, -3_000, 2_000]


@pytest.mark.parametrize(
    ("heard", "moved_ms"),
    [
        ([(50_000, 51_000)], 50_000),  # all of it
        ([(60_000, 61_000), (90_000, 91_000)], 40_000),  # from its first cue on
        ([(99_999, 100_000)], 1),
        ([(100_000, 100_000)], 0),  # the span is over
        ([(49_999, 50_000)], 0),  # nor has it begun
        ([(60_000, 125_000)], 25_000),  # no longer than the step lasts
        ([(60_000, 150_001)], 0),
        ([], 0),
    ],
)
def test_film_is_moved_from_the_first_cue_that_was_heard(journal, tmp_path, heard, moved_ms):
    run = begun(journal, tmp_path)
    journal.record(
        run,
        at(50_000, "step-begun", step=1),
        *(at(at_ms, "cue", "move", 1, planned_ms) for planned_ms, at_ms in heard),
        at(60_000, "cue", "stand", 1, 60_000),  # no moving
        at(60_000, "key", "move", 1, 60_000),  # no cue
        at(60_000, "cue", "move", 2, 60_000),  # of another step
        at(60_000, "cue", "move", 1, None),  # of no plan
        at(150_000, "step-begun", step=2),
    )
    develop = review(journal, run).steps[1]
    assert (develop.planned_moving_ms, develop.real_moving_ms) == (50_000, moved_ms)


@pytest.mark.parametrize(("lasted_ms", "moved_ms"), [(30_000, 30_000), (50_000, 50_000), (0, 0)])
def test_film_of_a_run_entered_moved_as_planned(journal, tmp_path, lasted_ms, moved_ms):
    start = run_start(tmp_path)._replace(timeline=LINE, baths=("", "", "plain fixer", ""))
    events = [
        at(0, "step-begun", step=1),
        at(lasted_ms, "step-ended", step=1),
        at(lasted_ms, "step-begun", step=2),
        at(lasted_ms + 7, "step-ended", step=2),
    ]
    begin_bath(journal, "plain fixer", 1000.0, 0)
    run = enter_run(journal, start, events, Result(fog=1))
    found = review(journal, run)
    assert (found.steps[1].real_ms, found.steps[1].real_moving_ms) == (lasted_ms, moved_ms)
    assert {step.late_ms for step in found.steps} == {None}
    assert found.run.entered_utc_ms is not None
    assert (found.run.state, found.run.exit) == ("finished", 0)
    assert found.run.ended_utc_ms == STARTED.wall_utc_ms + lasted_ms + 7
    assert (found.result, journal.events(run)) == (Result(fog=1), events)
    assert bath_named(journal, "plain fixer").used_m2 == 0.05
    enter_run(journal, start, events, Result())
    assert journal.store.read("SELECT run FROM results") == [(run,)]


def test_faults_marks_and_what_a_develop_was_worth(journal, tmp_path):
    run = begun(journal, tmp_path)
    fault, mark = at(1, "fault", "lost"), at(3, "key", "marked")
    journal.record(run, fault, at(2, "key", "where"), mark, at(4, "note", "marked"),
                   at(50_000, "step-begun", step=1), at(140_000, "step-begun", step=2))  # fmt: skip
    found = review(journal, run)
    assert (found.faults, found.marks) == ((fault,), (mark,))
    # 10 min in the plan; its step lasted 90 s for 100.
    assert found.bases[1].carried_ms == 600_000
    assert found.developed_ms(1) == 590_000
    assert found._replace(steps=()).developed_ms(1) == 600_000
    assert found._replace(steps=found.steps[:1]).development_ms(20.0) == (600_000, None)
    empty = review(journal, begun(journal, tmp_path))
    assert (empty.real_ms, empty.faults, empty.marks) == (None, (), ())


def test_a_step_has_the_temperature_of_its_plan_and_an_added_one_has_none(journal, tmp_path):
    steps = (STEPS[0], STEPS[1]._replace(source=None), STEPS[2])
    run = begun(journal, tmp_path, LINE._replace(steps=steps, spans=()))
    # film that is loaded is in no bath
    assert [step.celsius for step in review(journal, run).steps] == [None, None, 20.0]
    no_plan = run_start(tmp_path)._replace(plan_text="just words", timeline=LINE, baths=("",) * 4)
    found = review(journal, journal.begin_run(no_plan))
    assert [step.celsius for step in found.steps] == [None] * 4


def test_the_first_and_the_last_of_the_latest_have_their_results(journal, tmp_path):
    for fog in (1, 0, -1):
        run = begun(journal, tmp_path)
        add_result(journal, run, Result(fog=fog))
    for _ in range(3):
        journal.record(1, at(5, "key", "marked"))
    journal.record(2, at(5, "fault", "lost"))
    found = [(line.number, line.result.fog, line.marks, line.faults) for line in latest(journal)]
    assert found == [(3, -1, 0, 0), (2, 0, 0, 1), (1, 1, 3, 0)]
    assert [line.number for line in latest(journal, 2)] == [3, 2]
    assert [line.number for line in search(journal, ["nettle", "invent", "135"], 2)] == [3, 2]
    (line,) = [each for each in search(journal, ["invent"]) if each.number == 1]
    assert (line.result.fog, line.real_ms) == (1, 5)


def test_a_result_in_words():
    assert Result(fog=0, grain=-2, density=1).words() == [
        "density +1 (dense)", "grain -2 (hardly any)", "fog usual for the film",
    ]  # fmt: skip
    assert [Result(density=2).figure("density"), Result().figure("density")] == [2, 0]
    assert [word("grain", -2), word("grain", 2)] == ["hardly any", "very coarse"]
    assert figure("grain", "  Very COARSE ") == 2
    assert written_scale("fog") == (
        "-2 none, -1 little, 0 usual for the film, +1 fogged, +2 heavily fogged"
    )


def test_a_result_of_nothing_or_of_no_run_is_refused(journal, tmp_path):
    run = begun(journal, tmp_path)
    with pytest.raises(JournalError, match="no result was given"):
        add_result(journal, run, Result())
    with pytest.raises(JournalError, match="there is none"):
        add_result(journal, run + 1, Result(fog=1))
    add_result(journal, run, Result(photographs=("größer.jpg",)))
    assert journal.store.read("SELECT photographs FROM results") == [('["größer.jpg"]',)]


def test_runs_side_by_side_differ_in_when_they_were_entered(journal, tmp_path):
    start = run_start(tmp_path)
    journal.begin_run(start)
    enter_run(journal, start, [at(9, "note")], Result())
    rows = {row.what: row.values for row in compare(journal, [1, 2], lambda ms: "then")}
    assert rows["entered"] == ("-", "then")
    assert "started" not in rows


def test_what_a_develop_rests_on_where_nothing_more_is_known():
    assert Basis(2, 60, 70) == (2, 60, 70, "", 0.0, None, 0.0, "", None, 0.0)


def test_a_run_is_kept_as_text_that_people_read(journal, tmp_path):
    start = run_start(tmp_path)._replace(baths=("größer", "WATER", "Größer", "fixer", "", "wash"))
    assert start.row()["baths"] == '["größer","WATER","Größer","fixer","","wash"]'
    run = journal.run(journal.begin_run(start))
    assert latest(journal)[0].baths == ("größer", "fixer", "wash")
    assert (run.planned_ms, run.cue_set, run.light) == (
        start.timeline.duration_ms,
        "standard",
        "open",
    )
    assert (run.bases, run.film_area_m2, run.ended_utc_ms, run.exit) == (
        start.bases,
        0.05,
        None,
        None,
    )


def test_a_plan_without_film_or_with_a_recipe_that_is_none_may_be_run(tmp_path):
    for text, film, area in (
        (PLAN.replace("film: {format: 135-36, count: 1}\n", ""), "", None),
        (PLAN + "recipes: {nettle developer: none}\n", "135-36", pytest.approx(0.0516, abs=1e-4)),
    ):
        file = read_plan_file(write_plan(tmp_path, text))
        start = about_to_start(file, "standard", compile_plan(file.plan, lambda _: 500))
        assert (start.film, start.film_area_m2) == (film, area)
        assert start.bases[0].written_ms == 600_000


def test_a_detail_that_json_cannot_hold_is_refused():
    deep = []
    for _ in range(100_000):
        deep = [deep]
    for detail in ({"deep": deep}, {"level": float("inf")}):
        with pytest.raises(JournalError, match="its detail cannot be written") as caught:
            detail_text(detail)
        assert caught.value.cause == "unwritable"
    assert (detail_text({}), detail_of(""), detail_of('{"a":1}')) == ("", {}, {"a": 1})
    while deep:  # or Python would take it apart as deeply
        deep = deep[0]


def test_who_writes_is_waited_for_two_seconds(journal, tmp_path, monkeypatch):
    class Clock:
        waits = 0

        def monotonic(self):
            return self.waits / 1000

        def sleep(self, _):
            self.waits += 1

    run = begun(journal, tmp_path)
    clock = Clock()
    monkeypatch.setattr(connections, "time", clock)
    with closing(sqlite3.connect(journal.store.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(JournalError, match="another program is writing"):
            journal.record(run, cue(1))
    assert clock.waits == 2_001  # of a millisecond each


def test_a_run_ends_well_unless_it_is_said_how(journal, tmp_path):
    run = begun(journal, tmp_path)
    journal.finish_run(run)
    assert (journal.run(run).state, journal.run(run).exit) == ("finished", 0)


def test_a_timeline_is_kept_whole(journal, tmp_path):
    start = run_start(tmp_path)
    kept = json.loads(start.row()["timeline"])
    assert kept["outside"] == list(start.timeline.outside)
    assert journal.timeline(journal.begin_run(start)) == start.timeline


def spoil(journal, statement):
    """Changes rows behind the back of their sums, as a disk would."""
    with closing(sqlite3.connect(journal.store.path)) as connection:
        connection.execute(statement)
        connection.commit()


@pytest.mark.parametrize(("damaged", "more"), [(10, []), (11, ["1 more"])])
def test_ten_damaged_rows_are_named_one_by_one(journal, tmp_path, damaged, more):
    run = begun(journal, tmp_path)
    journal.record(run, *map(cue, range(12)))
    spoil(journal, f"UPDATE events SET at_ms = at_ms + 1 WHERE number <= {damaged}")
    assert journal.events(run) == [*map(cue, range(damaged, 12))]
    rows = [notice.rpartition("as it is damaged: ")[2] for notice in journal.notices]
    assert rows[:10] == [f"event {number} of run 1" for number in range(1, 11)]
    assert [row.partition(",")[0] for row in rows[10:]] == more


def test_a_damaged_run_and_its_damaged_plan_are_named(journal, tmp_path):
    run = begun(journal, tmp_path)
    spoil(journal, "UPDATE texts SET text = 'x' WHERE number = (SELECT plan FROM runs)")
    with pytest.raises(JournalError, match="run 1: its plan is damaged"):
        journal.plan_text(run)
    assert journal.unfinished_run().number == run
    spoil(journal, "UPDATE runs SET title = 'Invended'")
    with pytest.raises(JournalError, match="run 1: it is damaged"):
        journal.run(run)
    with pytest.raises(JournalError, match="run 2: there is none of that number"):
        journal.run(2)


@pytest.mark.parametrize("taken_up", [True, False])
@pytest.mark.parametrize("meanwhile", [0, 1])
def test_a_run_goes_on_in_a_file_that_knows_nothing_of_it(tmp_path, taken_up, meanwhile):
    """Under its own number, or under a free one where another process took that."""
    with Journal.open(tmp_path / "home") as journal, Journal.open(tmp_path / "home") as other:
        run = begun(journal, tmp_path)
        wanted, using = journal.run(run), journal
        if taken_up:
            using = other
            assert other.unfinished_run() == wanted
        for path in journal.store.path.parent.glob("journal.sqlite3*"):
            path.unlink()
        with Journal.open(tmp_path / "home") as third:
            for _ in range(meanwhile):
                begun(third, tmp_path)
        using.record(run, cue(1))
        using.record(run, cue(2))
        (kept,) = using.runs("WHERE key = ?", (wanted.key,))
        assert kept == wanted._replace(number=run + meanwhile)
        assert using.events(kept.number) == [cue(1), cue(2)]
        assert (using.timeline(kept.number), using.plan_text(kept.number)) == (LINE, PLAN)
        assert len(using.runs("")) == 1 + meanwhile
        assert using.store.read("SELECT count(*) FROM texts") == [(2,)]


def test_what_works_again_is_no_fault_where_runs_are_compared(journal, tmp_path):
    for meanings in (("lost", "lost", "back"), ()):
        run = begun(journal, tmp_path)
        journal.record(run, at(9, "note"), *(at(9, "fault", meaning) for meaning in meanings))
    assert [row for row in compare(journal, [1, 2]) if row.what != "started"] == [
        ("faults", ("2", "0")),
    ]  # fmt: skip
