"""Out into files and back in: nothing is lost, nothing here is changed, nothing is half done."""

import csv
import json
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from darktimer.errors import OutputError
from darktimer.journal import schema
from darktimer.journal.baths import begin_bath, note_clearing, note_use
from darktimer.journal.exchange import (
    export_csv,
    export_json_lines,
    import_csv,
    import_json_lines,
)
from darktimer.journal.journal import Journal
from darktimer.journal.readings import Readings
from darktimer.journal.refusal import JournalError
from darktimer.journal.results import Result, RunPart, add_result, result_of
from tests.journal.samples import PLAN, STARTED, cue, run_start
from tests.journal.test_base import written

SEQUENCES = Path(__file__).parents[2] / "sequences"
WAYS = {
    "json": (export_json_lines, import_json_lines, "journal.jsonl"),
    "csv": (export_csv, import_csv, "journal"),
}


def filled(folder: Path) -> None:
    with Journal.open(folder) as journal:
        begin_bath(journal, "plain fixer", 1000.0, STARTED.wall_utc_ms, 86_400_000, 0.5)
        for turn in range(3):
            run = journal.begin_run(run_start(folder, PLAN + f"# roll {turn}\n"))
            journal.record(run, cue(1000 * turn))
            journal.record(run, cue(5000)._replace(kind="step-begun", meaning="", step=3))
            journal.finish_run(run)
        add_result(journal, 2, Result(density=1, notes='a "note", of\ntwo lines', celsius=20.1))
        add_result(journal, 2, Result(photographs=("a, b.jpg", "ü.jpg")))
        note_use(journal, "plain fixer", 0.1)
        note_clearing(journal, "plain fixer", 90_000)


def contents(path: Path) -> dict[str, bytes]:
    if path.is_file():
        return {"": path.read_bytes()}
    return {file.name: file.read_bytes() for file in path.iterdir()}


@pytest.mark.parametrize("way", WAYS)
def test_out_and_in_and_out_again_is_the_same(tmp_path, way):
    out, back, name = WAYS[way]
    filled(tmp_path / "here")
    with Journal.open(tmp_path / "here") as journal:
        out(journal, tmp_path / f"first-{name}")
    with Journal.open(tmp_path / "there") as journal:
        merged = back(journal, tmp_path / f"first-{name}")
        assert merged == (3, 0, 1, 0)
        out(journal, tmp_path / f"second-{name}")
    first, second = (contents(tmp_path / f"{turn}-{name}") for turn in ("first", "second"))
    assert first == second
    assert b"two lines" in b"".join(first.values())


def test_what_is_written_is_text_as_people_write_it(tmp_path):
    filled(tmp_path / "here")
    with Journal.open(tmp_path / "here") as journal:
        export_json_lines(journal, tmp_path / "out.jsonl")
        export_csv(journal, tmp_path / "a" / "folder" / "of csv")
    assert "ü.jpg" in (tmp_path / "out.jsonl").read_text("utf-8")
    assert "ü.jpg" in (tmp_path / "a" / "folder" / "of csv" / "results.csv").read_text("utf-8")


@pytest.mark.parametrize(("version", "kept"), [(3, "'-1 is thin"), (4, "-1 is thin")])
def test_text_that_a_spreadsheet_would_run_is_marked_since_version_4(tmp_path, version, kept):
    with Journal.open(tmp_path / "here") as journal:
        journal.begin_run(run_start(tmp_path))
        add_result(journal, 1, Result(notes="-1 is thin"))
        export_csv(journal, tmp_path / "out")
    assert "'-1 is thin" in (tmp_path / "out" / "results.csv").read_text("utf-8")
    (tmp_path / "out" / "version.txt").write_text(f"darktimer journal {version}\n")
    for table, columns in schema.columns(version).items():
        exported = tmp_path / "out" / f"{table}.csv"
        with exported.open(encoding="utf-8", newline="") as file:
            rows = [row[: len(columns)] for row in csv.reader(file)]  # later ones come last
        with exported.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    with Journal.open(tmp_path / "there") as journal:
        import_csv(journal, tmp_path / "out")
        assert result_of(journal, 1).notes == kept


words = some.text(some.characters(codec="utf-8"), max_size=30)
figures = some.none() | some.integers(-2, 2)
readings = some.just({}) | some.builds(
    Readings,
    some.lists(some.floats(0, 4), min_size=5, max_size=5).map(lambda read: tuple(sorted(read))),
    some.sampled_from(["5 x 0.30", (0.1, 0.2, 0.4, 0.8, 1.6)]),
    some.none() | some.just(0.0),
    some.floats(0.01, 0.1),
).map(Readings.columns)
results = some.builds(
    Result, figures, figures, figures, figures, figures,
    some.none() | some.floats(-50, 150), words, words, some.lists(words, max_size=3).map(tuple),
    some.none() | some.integers(0, 1), some.just(""), some.just(""),
)  # fmt: skip
results = some.builds(lambda result, read: result._replace(**read), results, readings).filter(
    lambda result: result != Result()
)

numbers = some.none() | some.integers(1, 8)
parts = some.builds(RunPart, numbers, numbers)


@settings(max_examples=12, deadline=None)
@given(
    some.sampled_from(list(WAYS)),
    some.lists(written, max_size=3),
    some.lists(some.tuples(results, parts), max_size=2),
    words,
    some.none() | some.floats(0, 9, allow_subnormal=False),
)
def test_whatever_is_in_it_comes_back(tmp_path_factory, way, events, added, film, area_m2):
    out, back, name = WAYS[way]
    folder = tmp_path_factory.mktemp("exchange")
    with Journal.open(folder / "here") as journal:
        start = run_start(folder)._replace(film=film, film_area_m2=area_m2)
        run = journal.begin_run(start)
        for event in events:
            journal.record(run, event)
        for result, part in added:
            add_result(journal, run, result, part)
        out(journal, folder / f"first-{name}")
        here = journal.events(run), journal.run(run)
    with Journal.open(folder / "there") as journal:
        back(journal, folder / f"first-{name}")
        assert (journal.events(run), journal.run(run)) == here
        out(journal, folder / f"second-{name}")
    assert contents(folder / f"first-{name}") == contents(folder / f"second-{name}")


@pytest.mark.parametrize("way", WAYS)
def test_an_export_does_not_gather_what_it_writes(tmp_path, way):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
        journal.record(run, *(cue(at_ms)._replace(detail={"n": at_ms}) for at_ms in range(5_000)))
        tracemalloc.start()
        try:
            WAYS[way][0](journal, tmp_path / WAYS[way][2])
            _, most = tracemalloc.get_traced_memory()
        finally:
            tracemalloc.stop()
    assert most < 600_000  # 5,000 rows take four times that


def test_the_lines_are_json_that_any_reader_takes(tmp_path):
    filled(tmp_path)
    with Journal.open(tmp_path) as journal:
        export_json_lines(journal, tmp_path / "out.jsonl")
    rows = [json.loads(line) for line in (tmp_path / "out.jsonl").read_text("utf-8").splitlines()]
    assert [row["table"] for row in rows[1:]].count("runs") == 3


def test_what_is_here_already_is_left_as_it_is(tmp_path):
    filled(tmp_path)
    with Journal.open(tmp_path) as journal:
        export_json_lines(journal, tmp_path / "out.jsonl")
        add_result(journal, 1, Result(density=-1))
        export_json_lines(journal, tmp_path / "before.jsonl")
        assert import_json_lines(journal, tmp_path / "out.jsonl") == (0, 3, 0, 1)
        export_json_lines(journal, tmp_path / "after.jsonl")
    assert (tmp_path / "before.jsonl").read_bytes() == (tmp_path / "after.jsonl").read_bytes()


def test_two_journals_come_together_under_free_numbers(tmp_path):
    for name in ("one", "two"):
        filled(tmp_path / name)
    with Journal.open(tmp_path / "two") as journal:
        add_result(journal, 1, Result(notes="only in the second"))
        journal.store.read("UPDATE baths SET name = 'another fixer'")
        export_json_lines(journal, tmp_path / "two.jsonl")
    with Journal.open(tmp_path / "one") as journal:
        assert import_json_lines(journal, tmp_path / "two.jsonl") == (3, 0, 1, 0)
        assert journal.events(4) == journal.events(1)
        assert journal.store.read("SELECT run, notes FROM results WHERE notes LIKE 'only%'") == [
            (4, "only in the second")
        ]
        assert journal.store.read("SELECT DISTINCT run FROM bath_notes WHERE bath = 2") == [
            (4,), (5,), (6,), (None,),
        ]  # fmt: skip


def _lines(path):
    return path.read_text("utf-8").splitlines(keepends=True)


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda lines: ["{}\n", *lines[1:]], "begins with"),
        (lambda lines: [], "begins with"),
        (lambda lines: [*lines, "nonsense\n"], "not a row of a journal"),
        (lambda lines: [*lines, "[1]\n"], "not a row of a journal"),
        (lambda lines: [*lines, '{"table": "cats"}\n'], "not a row of a journal"),
        (lambda lines: [lines[0], *reversed(lines[1:])], "has not come yet"),
        (lambda lines: [line.replace('"density":1', '"density":7') for line in lines], "kept"),
        (lambda lines: [line.replace('"density":1', '"density":"x"') for line in lines], "'x'"),
        (lambda lines: [line.replace('"notes":', '"noted":') for line in lines], "is missing"),
        (lambda lines: [line.replace('"baths":"[', '"baths":"') for line in lines], "kept"),
        (lambda lines: [line.replace('duration_ms', 'd') for line in lines], "timeline"),
    ],
)  # fmt: skip
def test_a_spoiled_file_is_refused_whole(tmp_path, spoil, says):
    filled(tmp_path / "here")
    spoiled = tmp_path / "out.jsonl"
    with Journal.open(tmp_path / "here") as journal:
        export_json_lines(journal, spoiled)
    spoiled.write_text("".join(spoil(_lines(spoiled))), "utf-8")
    with Journal.open(tmp_path / "there") as journal:
        with pytest.raises(JournalError, match=says):
            import_json_lines(journal, spoiled)
        for table in ("runs", "texts", "baths"):
            assert journal.store.read(f"SELECT count(*) FROM {table}") == [(0,)]


@pytest.mark.parametrize(
    ("table", "spoil", "says"),
    [
        ("results", lambda text: text.replace("20.1", "warm"), "'warm'"),
        ("events", lambda text: text + "1,2\r\n", "should be a whole number"),
        ("events", lambda text: text + '1,"2\r\n', "not CSV"),
        ("baths", lambda text: text.replace("name", "label"), "is missing"),
        ("baths", lambda text: text.replace("plain fixer,", "plain fixer,,"), "not known here"),
    ],
)
def test_a_spoiled_table_is_refused_with_its_line(tmp_path, table, spoil, says):
    filled(tmp_path / "here")
    with Journal.open(tmp_path / "here") as journal:
        export_csv(journal, tmp_path / "out")
    path = tmp_path / "out" / f"{table}.csv"
    path.write_bytes(spoil(path.read_bytes().decode()).encode())
    with Journal.open(tmp_path / "there") as journal:
        with pytest.raises(JournalError, match=says) as caught:
            import_csv(journal, tmp_path / "out")
        assert str(caught.value).startswith(f"{path}:")


def test_nothing_is_half_written_where_it_cannot_be(tmp_path):
    filled(tmp_path)
    (tmp_path / "file").touch()
    with Journal.open(tmp_path) as journal:
        for target in (tmp_path / "no-folder" / "out.jsonl", tmp_path / "file" / "out.jsonl"):
            with pytest.raises(OutputError):
                export_json_lines(journal, target)
        with pytest.raises(JournalError):
            export_csv(journal, tmp_path / "file" / "out")
        with pytest.raises(JournalError):
            import_json_lines(journal, tmp_path / "missing.jsonl")


@pytest.mark.parametrize("way", WAYS)
def test_an_export_is_written_where_it_is_asked_for_and_over_an_earlier_one(tmp_path, way):
    out, back, name = WAYS[way]
    target = tmp_path / name if way == "json" else tmp_path / "in" / "there" / name
    with Journal.open(tmp_path / "home") as journal:
        out(journal, target)
        empty = contents(target)
        journal.begin_run(run_start(tmp_path))
        out(journal, target)
    assert contents(target) != empty
    with Journal.open(tmp_path / "new") as journal:
        assert back(journal, target) == (1, 0, 0, 0)


@pytest.mark.parametrize(
    ("version", "taken"), [(0, False), (1, True), (5, True), (6, True), (7, False), ("x", False)]
)
def test_an_export_of_this_darktimer_or_an_earlier_one_is_taken(tmp_path, version, taken):
    (tmp_path / "out.jsonl").write_text(f'{{"darktimer journal": {version}}}\n')
    (tmp_path / "version.txt").write_text(f"darktimer journal {version}\n")
    for table, columns in schema.columns(version if taken else 1).items():
        names = ",".join(column.name for column in columns)
        (tmp_path / f"{table}.csv").write_text(f"{names}\r\n")
    with Journal.open(tmp_path / "home") as journal:
        for back, source in ((import_json_lines, tmp_path / "out.jsonl"), (import_csv, tmp_path)):
            if taken:
                assert back(journal, source) == (0, 0, 0, 0)
            else:
                with pytest.raises(JournalError, match=r"this begins with '.*darktimer journal"):
                    back(journal, source)


def test_what_is_wrong_with_a_file_is_said_with_its_place(tmp_path):
    filled(tmp_path / "home")
    with Journal.open(tmp_path / "home") as journal:
        with pytest.raises(JournalError, match=r"missing\.jsonl: no such file or directory; name"):
            import_json_lines(journal, tmp_path / "missing.jsonl")
        export_json_lines(journal, tmp_path / "out.jsonl")
        lines = (tmp_path / "out.jsonl").read_bytes().splitlines(keepends=True)
        (tmp_path / "out.jsonl").write_bytes(b"".join([*lines[:3], b"\xff\n", *lines[3:]]))
        with pytest.raises(JournalError, match=r"out.jsonl:4: this is not UTF-8"):
            import_json_lines(journal, tmp_path / "out.jsonl")
        swapped = [*lines[:1], *lines[3:], *lines[1:3]]
        (tmp_path / "out.jsonl").write_bytes(b"".join(swapped))
    refers = r"out.jsonl:\d+: this refers to number \d, which"
    with Journal.open(tmp_path / "new") as new, pytest.raises(JournalError, match=refers):
        import_json_lines(new, tmp_path / "out.jsonl")


@pytest.mark.parametrize("plan", sorted(SEQUENCES.glob("*.yaml")), ids=lambda plan: plan.stem)
def test_a_run_of_every_shipped_plan_comes_in_again(tmp_path, plan):
    with Journal.open(tmp_path / "here") as journal:
        journal.begin_run(run_start(tmp_path, plan.read_text("utf-8")))
        export_json_lines(journal, tmp_path / "journal.jsonl")
    with Journal.open(tmp_path / "there") as journal:
        import_json_lines(journal, tmp_path / "journal.jsonl")
        export_json_lines(journal, tmp_path / "again.jsonl")
    assert contents(tmp_path / "again.jsonl") == contents(tmp_path / "journal.jsonl")
