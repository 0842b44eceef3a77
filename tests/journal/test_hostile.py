"""An import from anywhere: refused with its line before anything is kept, or taken whole."""

import json
import shutil

import pytest

from darktimer.journal import schema
from darktimer.journal.baths import all_baths, begin_bath
from darktimer.journal.compare import compare
from darktimer.journal.exchange import (
    export_csv,
    export_json_lines,
    import_csv,
    import_json_lines,
)
from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from darktimer.journal.results import Result, add_result, result_of
from tests.journal.samples import STARTED, cue, run_start
from tests.journal.test_exchange import contents, filled

BOMB = "a: &a [x]\n" + "".join(
    f"{chr(n + 1)}: &{chr(n + 1)} [{', '.join([f'*{chr(n)}'] * 9)}]\n" for n in range(97, 110)
)


@pytest.fixture(scope="module")
def exported(tmp_path_factory):
    folder = tmp_path_factory.mktemp("exported")
    filled(folder / "home")
    with Journal.open(folder / "home") as journal:
        export_json_lines(journal, folder / "out.jsonl")
        export_csv(journal, folder / "out")
    return folder


def _rows(exported):
    return [json.loads(line) for line in (exported / "out.jsonl").read_text("utf-8").splitlines()]


def _first(rows, table):
    return next(number for number, row in enumerate(rows) if row.get("table") == table)


def _plan(rows):
    return next(n for n, row in enumerate(rows) if row.get("text", "").startswith("title:"))


def _changed_timeline(change):
    def spoil(rows):
        row = next(row for row in rows if row.get("text", "").startswith("{"))
        timeline = json.loads(row["text"])
        change(timeline)
        row["text"] = json.dumps(timeline)
        return _first(rows, "runs")

    return spoil


def _set(table, **values):
    def spoil(rows):
        number = _first(rows, table)
        rows[number].update(values)
        return number

    return spoil


def _plan_of(text):
    def spoil(rows):
        rows[_plan(rows)]["text"] = text
        return _first(rows, "runs")

    return spoil


SPOILT = {
    "a run's number beyond all": _set("runs", number=2**63 - 1),
    "a run's number just beyond": _set("runs", number=1_000_000_001),
    "a run's number below one": _set("runs", number=0),
    "a bath's number": _set("baths", number=2**62),
    "an event's number": _set("events", number=2**62),
    "a moment beyond the calendar": _set("runs", started_utc_ms=10**15),
    "a moment before it": _set("runs", ended_utc_ms=-1),
    "a result's moment": _set("results", added_utc_ms=2**62),
    "an event's moment": _set("events", wall_utc_ms=2**60),
    "a time beyond all": _set("events", at_ms=2**60),
    "a birthday": _set("baths", born_utc_ms=10**16),
    "a volume that is endless": _set("baths", volume_ml=float("inf")),
    "an area that is no number": _set("runs", film_area_m2=float("nan")),
    "a temperature": _set("results", celsius=1e300),
    "baths shorter than steps": _set("runs", baths='["one"]'),
    "baths that are none": _set("runs", baths='{"a": 1}'),
    "baths nested deep": _set("runs", baths="[" * 100_000),
    "a detail nested deep": _set("events", detail='{"a":' * 100_000),
    "a detail that is a list": _set("events", detail="[1]"),
    "text that is half a character": _set("results", notes="\ud800"),
    "a develop time's basis that is none": _set("runs", bases='[{"source": 0}]'),
    "a develop time's basis as text": _set("runs", bases='["1", 2]'),
    "a develop time as text": _set(
        "runs", bases='[{"source": 0, "written_ms": "1", "carried_ms": 1}]'
    ),
    "a plan that is none": _plan_of("just some words"),
    "a plan without steps": _plan_of("title: x\n"),
    "a plan of steps that are none": _plan_of("title: x\nsteps: three\n"),
    "an alias bomb": _plan_of(BOMB + "steps: []\n"),
    "a plan nested deep": _plan_of("steps:\n  - " + "[" * 5_000),
    "a plan of control characters": _plan_of("title: \x1b[2J\nsteps: []\n"),
    "a timeline nested deep": _changed_timeline(
        lambda timeline: timeline.update(notes=json.loads("[" * 900 + "]" * 900))
    ),
    "a step's time as text": _changed_timeline(
        lambda timeline: timeline["steps"][0].update(start_ms="0")
    ),
    "a step's time below nothing": _changed_timeline(
        lambda timeline: timeline["steps"][0].update(end_ms=-5)
    ),
    "a step's time beyond all": _changed_timeline(
        lambda timeline: timeline["steps"][-1].update(end_ms=2**62)
    ),
    "a span of no step": _changed_timeline(lambda timeline: timeline["spans"][0].update(step=99)),
    "a step of no step of its plan": _changed_timeline(
        lambda timeline: timeline["steps"][1].update(source=99)
    ),
    "a step of a plan's step below the first": _changed_timeline(
        lambda timeline: timeline["steps"][1].update(source=-1)
    ),
    "a cue without meaning": _changed_timeline(
        lambda timeline: timeline["cues"][0].update(meaning=None)
    ),
    "a title that is a list": _changed_timeline(lambda timeline: timeline.update(title=[])),
    "a length as text": _changed_timeline(lambda timeline: timeline.update(duration_ms="1")),
}


@pytest.mark.parametrize("what", SPOILT)
def test_what_would_break_later_is_refused_with_its_line(exported, tmp_path, what):
    rows = _rows(exported)
    number = SPOILT[what](rows)
    spoilt = tmp_path / "spoilt.jsonl"
    spoilt.write_text("\n".join(map(json.dumps, rows)) + "\n", "utf-8")
    with Journal.open(tmp_path / "there") as journal:
        with pytest.raises(JournalError) as caught:
            import_json_lines(journal, spoilt)
        assert str(caught.value).startswith(f"{spoilt}:{number + 1}: ")
        for table in ("texts", "runs", "events", "results", "baths"):
            assert journal.store.read(f"SELECT count(*) FROM {table}") == [(0,)]
        assert journal.begin_run(run_start(tmp_path)) == 1


def test_numbers_given_after_a_huge_one_can_be_exported_and_taken_again(exported, tmp_path):
    rows, huge = _rows(exported), 1_000_000_000
    last = max(row["number"] for row in rows if row.get("table") == "runs")
    for row in rows:
        column = "number" if row.get("table") == "runs" else "run"
        if row.get(column) == last:
            row[column] = huge
    file = tmp_path / "huge.jsonl"
    file.write_text("\n".join(map(json.dumps, rows)) + "\n", "utf-8")
    with Journal.open(tmp_path / "there") as journal, Journal.open(tmp_path / "third") as third:
        import_json_lines(journal, file)
        journal.begin_run(run_start(tmp_path))
        export_json_lines(journal, tmp_path / "again.jsonl")
        import_json_lines(third, tmp_path / "again.jsonl")
        assert [run.number for run in third.runs("")] == [run.number for run in journal.runs("")]
        assert max(run.number for run in third.runs("")) <= last + 2


def test_a_line_nested_deep_is_refused(exported, tmp_path):
    spoilt = tmp_path / "spoilt.jsonl"
    spoilt.write_text((exported / "out.jsonl").read_text("utf-8") + "[" * 200_000, "utf-8")
    with (
        Journal.open(tmp_path / "there") as journal,
        pytest.raises(JournalError, match="not a row"),
    ):
        import_json_lines(journal, spoilt)


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1"])
@pytest.mark.parametrize("way", ["json", "csv"])
def test_another_encoding_is_blamed_on_the_file(exported, tmp_path, way, encoding):
    with Journal.open(exported / "home") as journal:
        add_result(journal, 3, Result(notes="größer"))
        export_json_lines(journal, tmp_path / "out.jsonl")
        export_csv(journal, tmp_path / "out")
    name, read = {"json": ("out.jsonl", import_json_lines), "csv": ("out", import_csv)}[way]
    path = tmp_path / ("out.jsonl" if way == "json" else "out/results.csv")
    path.write_bytes(path.read_text("utf-8").encode(encoding, errors="replace"))
    with Journal.open(tmp_path / "there") as journal:
        with pytest.raises(JournalError, match="not UTF-8 text; save it as UTF-8") as caught:
            read(journal, tmp_path / name)
        assert str(caught.value).startswith(f"{path}:")
        assert not journal.notices


def test_a_byte_order_mark_or_a_blank_in_the_head_is_no_reason(exported, tmp_path):
    copied = shutil.copytree(exported / "out", tmp_path / "out")
    for path in copied.iterdir():
        path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"journal ", b"journal  "))
    raw = (exported / "out.jsonl").read_bytes().replace(b'journal": ', b'journal" :  ', 1)
    (tmp_path / "out.jsonl").write_bytes(b"\xef\xbb\xbf  " + raw)
    for number, (read, name) in enumerate(((import_csv, "out"), (import_json_lines, "out.jsonl"))):
        with Journal.open(tmp_path / f"there-{number}") as journal:
            assert read(journal, tmp_path / name) == (3, 0, 1, 0)


def test_an_export_of_an_earlier_version_is_taken(exported, tmp_path):
    head, *rows = _rows(exported)
    head["darktimer journal"] = 2
    known = schema.columns(2)
    for row in rows:
        names = {"table", *(column.name for column in known[row["table"]])}
        for later in row.keys() - names:
            del row[later]
    earlier = tmp_path / "earlier.jsonl"
    earlier.write_text("\n".join(map(json.dumps, [head, *rows])) + "\n", "utf-8")
    with Journal.open(tmp_path / "there") as journal:
        assert import_json_lines(journal, earlier) == (3, 0, 1, 0)
        assert journal.run(1).bases == ()
        assert not journal.store.damage


FORMULAS = ("=1+1", "+1", "-1 stop", "@SUM(A1)", "\t=1", "\r=1", "＝1", "'quoted", "''=1", "plain")


def test_cells_that_a_spreadsheet_would_run_are_text_and_come_back(tmp_path):
    with Journal.open(tmp_path / "here") as journal:
        for text in FORMULAS:
            run = journal.begin_run(run_start(tmp_path))
            add_result(journal, run, Result(notes=text, usable_for=text))
        export_csv(journal, tmp_path / "out")
    raw = (tmp_path / "out" / "results.csv").read_text("utf-8")
    cells = [cell.strip('"') for line in raw.split("\r\n") for cell in line.split(",")]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "@", "\t", "\r", "＝", "-1 "))]
    with Journal.open(tmp_path / "there") as journal:
        import_csv(journal, tmp_path / "out")
        assert tuple(result_of(journal, n + 1).notes for n in range(len(FORMULAS))) == FORMULAS
        export_csv(journal, tmp_path / "again")
    assert contents(tmp_path / "out") == contents(tmp_path / "again")


def test_a_bath_of_a_name_in_use_comes_in_under_another(tmp_path):
    for name, baths in (("one", ("Plain Fixer", "stop")), ("two", ("plain fixer", "stop"))):
        with Journal.open(tmp_path / name) as journal:
            for bath in baths:
                begin_bath(journal, bath, 1000.0, STARTED.wall_utc_ms)
            export_json_lines(journal, tmp_path / f"{name}.jsonl")
    with Journal.open(tmp_path / "one") as journal:
        assert import_json_lines(journal, tmp_path / "two.jsonl") == (0, 0, 2, 0)
        told = "\n".join(journal.notices)
        names = [bath.name for bath in all_baths(journal)]
        assert sorted(names) == ["Plain Fixer", "plain fixer (2)", "stop", "stop (2)"]
        assert "'plain fixer'" in told
        assert "'plain fixer (2)'" in told
        assert import_json_lines(journal, tmp_path / "two.jsonl") == (0, 0, 0, 2)


def test_an_export_is_of_one_moment(tmp_path):
    """What another process writes while it goes on is in it whole, or not at all."""
    with Journal.open(tmp_path) as journal, Journal.open(tmp_path) as other:
        for _ in range(2):
            journal.record(journal.begin_run(run_start(tmp_path)), cue(1))

        def asked_meanwhile(rows):
            seen = list(rows("runs", "key"))
            run = other.begin_run(run_start(tmp_path))
            other.record(run, cue(2))
            assert [key for (key,) in rows("events", "run")] == [1, 2]
            assert list(rows("runs", "key")) == seen

        journal.store.snapshot(asked_meanwhile)
        assert len(journal.runs("")) == 3


def test_a_plan_of_an_alias_bomb_that_is_here_is_not_unfolded(tmp_path):
    with Journal.open(tmp_path) as journal:
        start = run_start(tmp_path)
        runs = [journal.begin_run(start._replace(plan_text=BOMB)), journal.begin_run(start)]
        assert "plan: title" in [row.what for row in compare(journal, runs)]


def test_numbers_up_to_a_million_are_kept_and_greater_ones_replaced(tmp_path):
    head = {"darktimer journal": 5}
    bath = dict.fromkeys(("keeps_ms", "capacity_m2", "discarded_utc_ms"))
    bath |= {"table": "baths", "volume_ml": 500.0, "born_utc_ms": 0}
    numbered = [bath | {"number": number, "key": f"{number}", "name": f"bath {number}"}
                for number in (1_000_001, 1_000_000)]  # fmt: skip
    (tmp_path / "in.jsonl").write_text("\n".join(map(json.dumps, [head, *numbered])))
    with Journal.open(tmp_path / "there") as journal:
        assert import_json_lines(journal, tmp_path / "in.jsonl") == (0, 0, 2, 0)
        assert journal.store.read("SELECT number, name FROM baths ORDER BY number") == [
            (1, "bath 1000001"), (1_000_000, "bath 1000000"),
        ]  # fmt: skip
