"""Planned against real: times in the baths, agitation that was asked for, what differs."""

import pytest

from darktimer.journal.compare import compare
from darktimer.journal.events import Event, fault_lines, found_text
from darktimer.journal.journal import Journal
from darktimer.journal.listing import latest, search
from darktimer.journal.results import SCALES, Result, add_result, figure, result_of
from darktimer.journal.review import review
from tests.journal.samples import PLAN, STARTED, run_start


def played(journal, folder, text=PLAN, late=(), lost=lambda cue: False, until=None):
    """A run in which every step and cue comes as planned, but for delays and lost cues."""
    start = run_start(folder, text)
    run, shift = journal.begin_run(start), 0
    planned = [Event(s.start_ms, 0, "step-begun", "", i, s.start_ms)
               for i, s in enumerate(start.timeline.steps)]  # fmt: skip
    planned += [Event(c.at_ms, 0, "cue", c.meaning, c.step, c.at_ms) for c in start.timeline.cues
                if c.meaning in ("move", "stand", "lift") and not lost(c)]  # fmt: skip
    happened = []
    for event in sorted(planned):
        if until is not None and event.at_ms >= until:
            break
        if event.kind == "step-begun":
            shift += dict(late).get(start.timeline.steps[event.step].kind, 0)
        at_ms = event.at_ms + shift
        happened.append(event._replace(at_ms=at_ms, wall_utc_ms=STARTED.wall_utc_ms + at_ms))
    journal.record(run, *happened)
    if until is None:
        journal.finish_run(run)
    return run


def by_kind(found):
    return {step.kind: step for step in found.steps}


def test_a_run_as_planned_gives_what_was_planned(tmp_path):
    with Journal.open(tmp_path) as journal:
        found = review(journal, played(journal, tmp_path))
    develop = by_kind(found)["develop"]
    assert (develop.bath, develop.celsius) == ("nettle developer", 20.0)
    # Half agitation of 10 min is 5 min of moving: the share that was asked for, not our own sum.
    assert develop.planned_moving_ms == develop.real_moving_ms == 300_000
    for step in found.steps[:-1]:
        assert step.real_ms == step.planned_ms
        assert step.late_ms in (0, None)


def test_a_late_change_lengthens_the_bath_before_it(tmp_path):
    with Journal.open(tmp_path) as journal:
        found = by_kind(review(journal, played(journal, tmp_path, late={"fix": 9_000}.items())))
    assert found["develop"].real_ms == found["develop"].planned_ms + 9_000
    assert (found["fix"].late_ms, found["wash"].late_ms) == (9_000, 0)
    assert found["fix"].real_ms == found["fix"].planned_ms


def test_loading_takes_as_long_as_it_takes(tmp_path):
    with Journal.open(tmp_path) as journal:
        found = by_kind(
            review(journal, played(journal, tmp_path, late={"develop": 300_000}.items()))
        )
    assert found["load"].real_ms == found["load"].planned_ms + 300_000
    assert found["develop"].late_ms is None


def test_moving_that_was_not_heard_was_not_given(tmp_path):
    with Journal.open(tmp_path) as journal:
        start = run_start(tmp_path)
        moves = [c for c in start.timeline.cues if c.meaning == "move" and c.step == 2]
        run = played(journal, tmp_path, lost=lambda cue: cue in moves[3:5])
        develop = by_kind(review(journal, run))["develop"]
    assert develop.planned_moving_ms - develop.real_moving_ms == 60_000


def test_a_run_that_broke_off_says_what_is_not_known(tmp_path):
    with Journal.open(tmp_path) as journal:
        run = played(journal, tmp_path, until=300_000)
        found = by_kind(review(journal, run))
    assert found["load"].real_ms is not None
    assert found["develop"].real_ms is found["develop"].real_moving_ms is None
    assert found["fix"].late_ms is None


def test_the_table_counts_faults_and_marks(tmp_path):
    with Journal.open(tmp_path) as journal:
        run = played(journal, tmp_path)
        last = journal.events(run)[-1]
        for kind, meaning in (("fault", "lost"), ("fault", "back"), ("key", "marked"),
                              ("key", "where"), ("key", "marked")):  # fmt: skip
            journal.record(run, last._replace(kind=kind, meaning=meaning))
        journal.begin_run(run_start(tmp_path))
        newest, line = latest(journal)
        assert (line.faults, line.marks, line.real_ms) == (1, 2, last.at_ms)
        assert (newest.faults, newest.marks, newest.real_ms) == (0, 0, None)
        assert latest(journal, 1) == [newest]


@pytest.mark.parametrize(
    ("meaning", "detail", "said"),
    [
        ("lost", {"found": "a speaker", "gap_ms": 0}, "sound lost: a speaker"),
        ("back", {"found": "on default", "gap_ms": 1_237}, "sound back, 1.2 s: on default"),
        ("late enter-fix", {"late_ms": 2_000}, "late enter-fix, 2.0 s"),
        ("cut off", {"course": [[0, 1, 0]], "doubt": "the clock was set"},
         "cut off: the clock was set"),
        ("ValueError: x", {"trace": "Traceback"}, "ValueError: x"),
    ],
)  # fmt: skip
def test_a_fault_says_what_was_found_and_not_what_the_program_keeps_with_it(meaning, detail, said):
    assert found_text(Event(0, 0, "fault", meaning, detail=detail)) == said


def test_a_fault_that_was_put_right_is_one_with_what_put_it_right():
    faults = [
        Event(60_000, 0, "fault", "lost", detail={"found": "card: it was pulled out"}),
        Event(61_000, 0, "fault", "slept", detail={"gap_ms": 500}),
        Event(62_400, 0, "fault", "back", detail={"found": "on card", "gap_ms": 2_400}),
        Event(90_000, 0, "fault", "callback-error", detail={"found": "ValueError()"}),
        Event(90_100, 0, "fault", "back", detail={"found": "on card", "gap_ms": 100}),
        Event(95_000, 0, "fault", "lost", detail={"found": "card: it was pulled out"}),
    ]
    assert [*fault_lines(faults)] == [
        (60_000, "sound lost: card: it was pulled out; "
         "put right: sound back at 1:02 after 2.4 s of silence, on card"),
        (61_000, "slept, 0.5 s"),
        (90_000, "callback-error: ValueError(); "
         "put right: sound back at 1:30 after 0.1 s of silence, on card"),
        (95_000, "sound lost: card: it was pulled out"),
    ]  # fmt: skip


def test_sound_that_is_back_from_nothing_known_is_a_line_of_its_own():
    back = Event(5_000, 0, "fault", "back", detail={"found": "on card", "gap_ms": 700})
    assert [*fault_lines([back])] == [(5_000, "sound back, 0.7 s: on card")]


def test_only_what_differs_is_compared(tmp_path):
    with Journal.open(tmp_path) as journal:
        one = played(journal, tmp_path)
        two = played(journal, tmp_path)
        assert compare(journal, [one, two]) == []
        three = played(journal, tmp_path, PLAN.replace("10 min", "8 min"))
        add_result(journal, three, Result(density=-1))
        rows = {row.what: row.values for row in compare(journal, [one, two, three])}
    assert rows["plan: steps[2].develop"] == ("10 min", "10 min", "8 min")
    assert rows["density"] == ("-", "-", "-1 thin")
    assert not any("fix" in name.lower() or "title" in name for name in rows)


def test_all_that_differs_is_compared(tmp_path):
    with Journal.open(tmp_path) as journal:
        one = played(journal, tmp_path)
        other = PLAN.replace("    clearing: 3 min\n", "").replace(
            "agitation: 1/2", "agitation: stand"
        )
        two = played(journal, tmp_path, other, late={"fix": 9_000}.items(), until=1_000_000)
        last = journal.events(two)[-1]
        journal.record(two, last._replace(kind="fault", meaning="lost"),
                       last._replace(kind="fault", meaning="back"),
                       last._replace(kind="key", meaning="marked"))  # fmt: skip
        add_result(journal, one, Result(fog=0, celsius=20.5, usable_for="proofs"))
        add_result(journal, two, Result(fog=2, notes="dim", photographs=("a.jpg", "b.jpg")))
        rows = {row.what: row.values for row in compare(journal, [one, two], str)}
    assert list(rows.items()) == [
        ("state", ("finished", "unfinished")),
        ("plan: steps[2].agitation", ("1/2", "stand")),
        ("plan: steps[3].clearing", ("3 min", "-")),
        ("Develop: real time", ("10:00", "10:09")),
        ("Develop: really moved", ("5:00", "0:30")),
        ("Fix: real time", ("8:00", "-")),
        ("Fix: really moved", ("7:50", "-")),
        ("Wash: real time", ("5:00", "-")),
        ("faults", ("0", "1")),
        ("marks", ("0", "1")),
        ("fog", ("+0 usual for the film", "+2 heavily fogged")),
        ("measured at", ("20.5 °C", "-")),
        ("good for", ("proofs", "-")),
        ("notes", ("-", "dim")),
        ("photographs", ("-", "a.jpg, b.jpg")),
    ]


@pytest.mark.parametrize("text", ["just words", "- a\n- b: [c]", "[" * 60])
def test_a_plan_that_is_none_is_compared_as_it_reads(tmp_path, text):
    with Journal.open(tmp_path) as journal:
        start = run_start(tmp_path)
        runs = [journal.begin_run(start), journal.begin_run(start._replace(plan_text=text))]
        found = {row.what: row.values[1] for row in compare(journal, runs) if row.values[0] == "-"}
    assert found == {
        "just words": {"plan: ": "just words"},
        "- a\n- b: [c]": {"plan: [1]": "a", "plan: [2].b[1]": "c"},
    }.get(text, {})


def test_the_latest_figure_stands_and_all_notes_do(tmp_path):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
        add_result(journal, run, Result(density=2, fog=0, notes="first", usable_for="proofs"))
        add_result(journal, run, Result(density=1, notes="second", photographs=("a.jpg",)))
        add_result(journal, run, Result(photographs=("b.jpg",), usable_for="printing"))
        assert result_of(journal, run) == Result(
            density=1, fog=0, notes="first\nsecond",
            photographs=("a.jpg", "b.jpg"), usable_for="printing",
        )  # fmt: skip


def test_every_figure_has_one_word():
    for scale, words in SCALES.items():
        assert [figure(scale, word) for word in words] == [-2, -1, 0, 1, 2]
        assert [figure(scale, text) for text in ("-2", "0", "+1", "2")] == [-2, 0, 1, 2]
        with pytest.raises(ValueError, match=words[0]):
            figure(scale, "3")


def test_search_finds_all_words_anywhere(tmp_path):
    with Journal.open(tmp_path) as journal:
        one = journal.begin_run(run_start(tmp_path))
        two = journal.begin_run(run_start(tmp_path, PLAN.replace("nettle", "MÜSLI")))
        add_result(journal, two, Result(notes="Streaks at the edge"))

        def found(*words):
            return [line.number for line in search(journal, words)]

        assert found("invented") == [two, one]
        assert found("müsli", "STREAKS") == [two]
        assert found("nettle", "streaks") == []
        assert found("nettle") == [one]
        assert found("%") == []


def test_the_plot_of_development_shows_what_the_run_was_worth(tmp_path):
    """The same figures as the run's page, at 20 C whatever a plan is for."""
    with Journal.open(tmp_path) as journal:
        run = played(journal, tmp_path, late={"fix": 180_000}.items())
        add_result(journal, run, Result(celsius=22.3))
        found = review(journal, run)
        broken_off = review(journal, played(journal, tmp_path, until=300_000))
    # 13 min at 22.3 C, by 60 kJ/mol and the kelvins: 13 exp(7216.4 (1/293.15 - 1/295.45)) = 15.74.
    assert found.development_ms(20.0) == (600_000, pytest.approx(15.74 * 60_000, rel=1e-3))
    assert broken_off.development_ms(20.0) == (600_000, None)
