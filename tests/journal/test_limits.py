"""What a row from elsewhere may hold, at the edges."""

import json
from datetime import UTC, datetime, timedelta

import pytest

from darktimer.journal import schema
from darktimer.journal.limits import check_columns, check_event, check_result, check_run
from darktimer.journal.schema import Column
from tests.journal.samples import run_start

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
#: A column, the least and the greatest that it may hold, and the smallest difference.
EDGES = [
    ("at_utc_ms", 0, 253_402_128_000_000, 1),
    ("at_ms", -(10**12), 10**12, 1),
    ("keeps_ms", -(10**12), 10**12, 1),
    ("area_m2", 0, 10**6, 0.001),
    ("volume_ml", 0, 10**9, 0.001),
    ("celsius", -273.15, 1000, 0.001),
    ("number", 1, 10**9, 1),
    ("step", -(10**9), 10**9, 1),
]


@pytest.mark.parametrize(("name", "least", "most", "step"), EDGES)
def test_a_value_is_taken_up_to_its_limits(name, least, most, step):
    columns = [Column(name, "INTEGER" if step == 1 else "REAL", True)]
    for inside in (least, most):
        check_columns(columns, {name: inside})
    for outside in (least - step, most + step):
        with pytest.raises(ValueError, match=f"should be from {least} to {most}"):
            check_columns(columns, {name: outside})


def test_the_last_moment_is_in_the_calendar_of_every_time_zone():
    """A calendar ends with the year 9999, and zones are at most 14 hours off: ISO 8601, tz."""
    last = EPOCH + timedelta(milliseconds=253_402_128_000_000)
    assert timedelta(hours=14) < datetime(9999, 12, 31, 23, 59, tzinfo=UTC) - last < timedelta(3)


@pytest.mark.parametrize(
    ("kind", "taken", "refused"),
    [
        ("INTEGER", [3], [3.0, "3", True, [3]]),
        ("REAL", [3, 3.5], ["3.5", False, {}]),
        ("TEXT", ["", "3"], [3, True, []]),
    ],
)
def test_a_value_is_of_its_columns_kind(kind, taken, refused):
    for required in (True, False):
        column = Column("this", kind, required)
        for value in taken:
            check_columns([column], {"this": value})
        for value in (*refused, *([None] if required else [])):
            with pytest.raises(ValueError, match=r"this is .*, and should be"):
                check_columns([column], {"this": value})
    check_columns([Column("this", kind, False)], {"this": None})


def test_a_long_value_is_cut_where_it_is_named():
    with pytest.raises(ValueError, match=f"^this is '{'x' * 37}...', and"):
        check_columns([Column("this", "REAL", True)], {"this": "x" * 41})


def test_what_is_missing_and_what_is_too_much_are_named():
    columns = [Column("one", "TEXT", True), Column("two", "TEXT", False)]
    with pytest.raises(ValueError, match="'two' is missing: a row has one, two"):
        check_columns(columns, {"one": "", "three": ""})
    with pytest.raises(ValueError, match="'three' is not known here"):
        check_columns(columns, {"one": "", "two": "", "three": ""})


def test_a_number_that_tells_rows_apart_is_always_there():
    """By the tables themselves: what SQLite calls NOT NULL or part of the primary key."""
    found = {(table, column.name): column for table, columns in schema.columns(1).items()
             for column in columns}  # fmt: skip
    assert found["runs", "number"] == Column("number", "INTEGER", True)
    assert found["runs", "title"] == Column("title", "TEXT", True)
    assert found["runs", "exit"] == Column("exit", "INTEGER", False)
    assert {table for table, _ in found} == {"texts", "runs", "events"}
    assert ("runs", "crc32") not in {(t, c.name) for t, cs in schema.columns(4).items() for c in cs}


@pytest.fixture
def run(tmp_path):
    return run_start(tmp_path).row()


def checked(run):
    check_run(run, run["plan"], run["timeline"])


def test_a_run_as_it_was_begun_is_taken(run):
    checked(run)
    del run["bases"]  # as exports of earlier versions have none
    checked(run)


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("baths", '["one", "two"]', "it has 2 baths for 6 steps"),
        ("baths", '["", "", "", "", "", 5]', "not a list of texts"),
        ("plan", "[" * 50, "its plan cannot be read"),
        ("plan", "steps: {}", "its plan is none"),
        ("plan", "- steps", "its plan is none"),
        ("bases", '[{"source": 0, "written_ms": -1, "carried_ms": 1}]', "its written_ms is -1"),
        ("bases", '[{"source": 0, "written_ms": 1, "carried_ms": 1000000001}]', "carried_ms"),
        ("bases", '[{"source": 0, "written_ms": 1, "carried_ms": 1, "adjust": 2}]', "its adjust"),
        ("films", "{}", "its films cannot be read"),
        ("films", "null", "its films cannot be read"),
        ("films", "[[", "its films cannot be read"),
        ("films", '[{"nope": 1}]', "its films cannot be read"),
        ("developments", "[5]", "its developments cannot be read"),
        ("films", '[{"stock": 5}]', "its stock is '5'"),
        ("films", '[{"area_m2": NaN}]', "area_m2 is nan, and should be from 0"),
        ("films", '[{"area_m2": -1}]', "area_m2 is -1, and should be from 0"),
        ("pieces", '[{"develop_ms": 1.5}]', "its develop_ms is '1.5'"),
        ("developments", '[{"developer": "nettle", "time_ms": -1}]', "its time_ms is -1"),
        ("developments", '[{"developer": "n", "time_ms": 1, "celsius": 1e99}]', "celsius is 1e.99"),
    ],
)
def test_what_a_run_must_not_hold(run, field, value, says):
    run[field] = value
    with pytest.raises(ValueError, match=says):
        checked(run)


def test_eleven_days_and_no_time_at_all_are_taken(run):
    run["bases"] = '[{"source": 0, "written_ms": 0, "carried_ms": 1000000000, "celsius": 20}]'
    checked(run)


def test_what_texts_of_other_rows_must_hold():
    check_event({"detail": ""})
    check_event({"detail": '{"a": 1}'})
    check_result({"photographs": '["a.jpg"]'})
    with pytest.raises(ValueError, match="is not a detail"):
        check_event({"detail": "[1]"})
    for photographs in ("{}", '["a.jpg", 1]', '"a.jpg"'):
        with pytest.raises(ValueError, match="is not a list of texts"):
            check_result({"photographs": photographs})


@pytest.mark.parametrize(("step", "taken"), [(0, True), (5, True), (-1, False), (6, False)])
def test_a_span_is_of_one_of_the_steps(run, step, taken):
    timeline = json.loads(run["timeline"])
    timeline["spans"][0]["step"] = step
    run["timeline"] = json.dumps(timeline)
    if taken:
        checked(run)
    else:
        with pytest.raises(ValueError, match="its timeline cannot be read"):
            checked(run)


@pytest.mark.parametrize("depth", [900, 100_000])
def test_what_is_nested_deep_is_refused(run, depth):
    run["timeline"] = run["timeline"].replace('"notes":[', '"notes":[' + "[" * depth + "]" * depth)
    with pytest.raises(ValueError, match="its timeline cannot be read"):
        checked(run)


@pytest.mark.parametrize(("source", "taken"), [(0, True), (3, True), (-1, False), (4, False)])
def test_a_step_of_the_timeline_is_of_one_of_the_plans_four(run, source, taken):
    timeline = json.loads(run["timeline"])
    timeline["steps"][0]["source"] = source
    run["timeline"] = json.dumps(timeline)
    if taken:
        checked(run)
    else:
        with pytest.raises(ValueError, match="its timeline is that of another plan"):
            checked(run)
