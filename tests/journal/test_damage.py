"""One flipped bit anywhere in the file: nothing untrue is shown, and all the rest goes on."""

import random
import shutil
import sqlite3
from contextlib import suppress

import pytest
from click.testing import CliRunner

from darktimer.cli.root import root
from darktimer.journal.baths import all_baths, begin_bath, note_clearing
from darktimer.journal.exchange import export_json_lines
from darktimer.journal.folder import FILE_NAME
from darktimer.journal.journal import Journal
from darktimer.journal.listing import latest, search
from darktimer.journal.refusal import JournalError
from darktimer.journal.results import Result, add_result, result_of
from tests.journal.samples import PLAN, STARTED, cue, run_start


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    """A folder with a journal of five runs, the last of them unfinished."""
    folder = tmp_path_factory.mktemp("good")
    with Journal.open(folder) as journal:
        begin_bath(journal, "plain fixer", 1000.0, STARTED.wall_utc_ms, 86_400_000, 0.5)
        for turn in range(5):
            run = journal.begin_run(run_start(folder, PLAN + f"# roll {turn}\n"))
            journal.record(run, *(cue(1000 * n) for n in range(40)))
            if turn < 4:
                journal.finish_run(run)
        add_result(journal, 2, Result(density=1, notes="invented", celsius=20.1))
        note_clearing(journal, "plain fixer", 90_000)
    return folder


def shown(folder):
    """Everything that can be shown of a journal, each with what it is; errors are left out."""
    found = {}
    with Journal.open(folder) as journal:
        for run in journal.runs(""):
            found["run", run.number] = run
            for what in (journal.plan_text, journal.timeline, journal.events):
                try:
                    told = what(run.number)
                except JournalError:
                    continue
                if what == journal.events:
                    found |= {("event", run.number, event.at_ms): event for event in told}
                else:
                    found[what.__name__, run.number] = told
            if (told := result_of(journal, run.number)) != Result():
                found["result", run.number] = told
        for bath in all_baths(journal):
            found["bath", bath.name] = bath._replace(notes=())
            found |= {("note", note.at_utc_ms): note for note in bath.notes}
        found["left", 0] = journal.unfinished_run()
        latest(journal)
        search(journal, ["invented"])
        with suppress(JournalError):  # which says to do it again
            export_json_lines(journal, folder / "out.jsonl")
        export_json_lines(journal, folder / "out.jsonl")
        journal.begin_run(run_start(folder))
        return found, journal.notices


def test_a_flipped_bit_shows_nothing_untrue_and_stops_nothing(good, tmp_path):
    true, notices = shown(shutil.copytree(good, tmp_path / "true"))
    assert not notices
    raw = (good / FILE_NAME).read_bytes()
    chance = random.Random(14)
    lost = []
    for turn in range(60):
        folder = tmp_path / str(turn)
        folder.mkdir()
        spoiled = bytearray(raw)
        spoiled[chance.randrange(100, len(raw))] ^= 1 << chance.randrange(8)
        (folder / FILE_NAME).write_bytes(spoiled)
        found, notices = shown(folder)
        untrue = {k for k in found if found[k] != true.get(k) and found[k] is not None}
        assert not untrue, (turn, untrue)
        missing = true.keys() - found.keys()
        assert notices or not missing, (turn, missing)
        lost.append(len(missing))
    # A row or the page it is on, seldom more: what can be read of a damaged file is saved.
    assert sum(n <= 60 for n in lost) >= 55, lost


def _spoil(folder, statement):
    """Changes rows behind the back of their sums, as a disk would."""
    with sqlite3.connect(folder / FILE_NAME) as connection:
        connection.execute(statement)
    connection.close()


def test_damaged_rows_are_named_and_left_out(good, tmp_path, monkeypatch):
    folder = shutil.copytree(good, tmp_path / "home")
    _spoil(folder, "UPDATE runs SET title = 'Invended' WHERE number = 2")
    _spoil(folder, "UPDATE events SET at_ms = at_ms + 1 WHERE run = 3 AND number = 7")
    _spoil(folder, "UPDATE runs SET baths = '[' WHERE number = 4")
    with Journal.open(folder) as journal:
        assert [line.number for line in latest(journal)] == [5, 3, 1]
        assert len(journal.events(3)) == 39
        with pytest.raises(JournalError, match="run 4: it is damaged"):
            journal.run(4)
        told = "\n".join(journal.notices)
        for row in ("run 2", "run 4", "event 7 of run 3"):
            assert row in told
        export_json_lines(journal, folder / "out.jsonl")
        assert "Invended" not in (folder / "out.jsonl").read_text()


@pytest.mark.parametrize(("damaged", "named", "more"), [(10, 10, ""), (12, 10, "2 more")])
def test_ten_damaged_rows_are_named_and_the_rest_counted(good, tmp_path, damaged, named, more):
    folder = shutil.copytree(good, tmp_path / "home")
    _spoil(
        folder, f"UPDATE events SET at_ms = 1 WHERE run = 3 AND number BETWEEN 4 AND {3 + damaged}"
    )
    with Journal.open(folder) as journal:
        journal.events(3)
        rows = [notice.rpartition("as it is damaged: ")[2] for notice in journal.notices]
    assert rows[:named] == [f"event {number} of run 3" for number in range(4, 4 + named)]
    assert [row.partition(",")[0] for row in rows[named:]] == ([more] if more else [])


def test_damaged_text_stops_no_search(good, tmp_path):
    folder = shutil.copytree(good, tmp_path / "home")
    _spoil(folder, "UPDATE runs SET title = CAST(x'41ff' AS TEXT) WHERE number = 2")
    with Journal.open(folder) as journal:
        assert [line.number for line in search(journal, ["nettle"])] == [5, 4, 3, 1]


def test_what_is_done_to_a_damaged_row_does_not_make_it_good(good, tmp_path):
    folder = shutil.copytree(good, tmp_path / "home")
    _spoil(folder, "UPDATE runs SET title = 'Invended' WHERE number = 5")
    with Journal.open(folder) as journal:
        journal.finish_run(5)
        assert [run.number for run in journal.runs("")] == [1, 2, 3, 4]


def _flip(folder, near, byte, bit, back=0):
    """One bit of the first place where ``near`` is in the file, some bytes before it."""
    raw = bytearray((folder / FILE_NAME).read_bytes())
    at = raw.index(near) - back
    assert raw[at] == byte
    raw[at] ^= bit
    (folder / FILE_NAME).write_bytes(raw)


def test_text_that_is_bytes_now_is_damaged(good, tmp_path):
    folder = shutil.copytree(good, tmp_path / "home")
    _spoil(folder, "UPDATE events SET detail = CAST(detail AS BLOB) WHERE run = 2 AND number = 9")
    with Journal.open(folder) as journal:
        assert len(journal.events(2)) == 39
        export_json_lines(journal, folder / "out.jsonl")
        assert "event 9 of run 2" in "".join(journal.notices)


def test_a_table_whose_name_is_no_text_any_more_is_saved(good, tmp_path):
    folder = shutil.copytree(good, tmp_path / "home")
    _flip(folder, b"CREATE INDEX runs_by_start", ord("r"), 0x80, back=-13)
    with Journal.open(folder) as journal:
        assert "was damaged" in journal.notices[0]
        assert len(journal.runs("")) == 5


def test_a_damaged_text_is_told_for_its_run(good, tmp_path):
    folder = shutil.copytree(good, tmp_path / "home")
    _spoil(folder, "UPDATE texts SET text = 'x' WHERE number = (SELECT timeline FROM runs)")
    with Journal.open(folder) as journal, pytest.raises(JournalError, match="run 1: its timeline"):
        journal.timeline(1)


def test_check_looks_at_all(good, tmp_path, monkeypatch):
    folder = shutil.copytree(good, tmp_path / "home")
    monkeypatch.setenv("DARKTIMER_HOME", str(folder))
    done = CliRunner().invoke(root, ["journal", "check"])
    assert (done.exit_code, done.stderr) == (0, "")
    assert "5 runs, 200 events" in done.stdout
    _spoil(folder, "UPDATE events SET at_ms = at_ms + 1 WHERE run = 3 AND number < 20")
    done = CliRunner().invoke(root, ["journal", "check"])
    assert done.exit_code == 1
    assert done.stdout.count("of run 3") == 19


def test_check_finds_what_no_row_shows(good, tmp_path, monkeypatch):
    folder = shutil.copytree(good, tmp_path / "home")
    monkeypatch.setenv("DARKTIMER_HOME", str(folder))
    with sqlite3.connect(folder / FILE_NAME) as connection:
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'runs_by_start'"
        ).fetchone()
    connection.close()
    raw = bytearray((folder / FILE_NAME).read_bytes())
    raw[page * 4096 - 40 : page * 4096] = b"\1" * 40  # entries of an index
    (folder / FILE_NAME).write_bytes(raw)
    done = CliRunner().invoke(root, ["journal", "check"])
    assert done.exit_code == 0
    assert "5 runs, 200 events" in done.stdout
    assert "was damaged; it is kept as journal-damaged-" in done.stderr
