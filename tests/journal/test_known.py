"""What the journal knows of a stock in a developer, and who is told of it."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner

from darktimer.cli.root import root
from darktimer.journal.films import RunPiece
from darktimer.journal.journal import Journal
from darktimer.journal.known import Process, known
from darktimer.journal.narrowing import Only
from darktimer.journal.results import Result, RunPart, add_result
from darktimer.pages.known import sentence
from tests.journal.samples import PLAN, run_start, write_plan

FILM = "film: {format: 135-36, count: 1}"
STOCKED = PLAN.replace(FILM, "film: {format: 135-36, stock: meadow 100, exposed at: 200}")
TWO = PLAN.replace(
    FILM, "films: [{format: 135-36, stock: Meadow 100}, {format: '120', stock: harbour}]"
)
TWO_BATHS = STOCKED.replace(
    "  - fix", "  - develop: 3 min\n    bath: soda\n    agitation: none\n  - fix"
)
OF_MEADOW = Process("meadow 100", "nettle developer", "half agitation", 20.0)


@pytest.fixture
def journal(tmp_path):
    with Journal.open(tmp_path) as opened:
        yield opened


def add(journal, folder, text, *results, minutes=10, state="finished", **changed):
    text = text.replace("develop: 10 min", f"develop: {minutes} min")
    run = journal.begin_run(run_start(folder, text)._replace(**changed))
    journal.finish_run(run, state)
    for part, result in results:
        add_result(journal, run, result, part)
    return run


def told(found):
    return [(each.run, each.part, each.times_ms, each.result.words()) for each in found.outcomes]


def test_each_process_with_its_times_and_what_came_of_them(journal, tmp_path):
    whole = RunPart()
    add(journal, tmp_path, STOCKED, (whole, Result(density=-1)), minutes=9)
    add(journal, tmp_path, STOCKED, minutes=11)
    add(journal, tmp_path, STOCKED, (whole, Result(density=0, kept=1)), minutes=11)
    add(journal, tmp_path, STOCKED, state="aborted")
    add(journal, tmp_path, STOCKED.replace("agitation: 1/2", "agitation: stand"))
    add(journal, tmp_path, STOCKED.replace("temperature: 20 C", "temperature: 24 C"))
    add(journal, tmp_path, STOCKED.replace("nettle developer", "Nettle-Developer"), minutes=9)
    found = known(journal)
    assert [each.process for each in found] == [
        OF_MEADOW,
        OF_MEADOW._replace(agitation="stand"),
        OF_MEADOW._replace(celsius=24.0),
    ]
    assert [each.runs for each in found] == [4, 1, 1]
    assert [[each.run for each in alike] for alike in found[0].by_time()] == [[1, 7], [2, 3]]
    assert found[0].kept.run == 3
    assert sentence(found) == (
        "meadow 100 in nettle developer: 6 runs; kept: 11:00 at 20.0 °C, half agitation, exposed "
        "at 200/24°, density right (run 3)"
    )
    add_result(journal, 3, Result(kept=0))
    assert known(journal)[0].kept is None
    assert "6 runs; the latest: 9:00 at 20.0 °C, half agitation" in sentence(known(journal))


def test_what_is_said_of_a_tank_holds_for_each_film_in_it_but_for_its_own(journal, tmp_path):
    add(journal, tmp_path, TWO, (RunPart(), Result(density=1, fog=0)),
        (RunPart(film=2), Result(density=-1)))  # fmt: skip
    harbour, meadow = known(journal)
    assert told(harbour) == [
        (1, RunPart(film=2), (600_000,), ["density -1 (thin)", "fog usual for the film"])
    ]
    assert told(meadow) == [
        (1, RunPart(film=1), (600_000,), ["density +1 (dense)", "fog usual for the film"])
    ]
    assert [each.process.stock for each in known(journal, Only(stock="HARB"))] == ["harbour"]
    assert [each.process.stock for each in known(journal, Only(format="135"))] == ["Meadow 100"]
    assert known(journal, Only(developer="soda")) == []


def test_pieces_have_their_own_times_and_nothing_of_the_whole(journal, tmp_path):
    pieces = (RunPiece(300_000), RunPiece(600_000))
    add(journal, tmp_path, STOCKED, (RunPart(), Result(density=1)),
        (RunPart(piece=1), Result(density=-2)), pieces=pieces)  # fmt: skip
    (found,) = known(journal)
    assert told(found) == [
        (1, RunPart(piece=1), (300_000,), ["density -2 (far too thin)"]),
        (1, RunPart(piece=2), (600_000,), []),
    ]
    assert found.runs == 1


def test_a_piece_that_stands_is_another_process(journal, tmp_path):
    standing = "agitation: 1/2\n    pieces: {count: 2, standing: 1}"
    text = STOCKED.replace("agitation: 1/2", standing).replace("volume: ", "volume: two of ")
    add(journal, tmp_path, text)
    found = known(journal)
    assert [each.process.agitation for each in found] == ["half agitation", "stand"]
    assert [told(each)[0][1] for each in found] == [RunPart(piece=1), RunPart(piece=2)]


def test_two_developers_one_after_another_are_one_process(journal, tmp_path):
    add(journal, tmp_path, TWO_BATHS)
    (found,) = known(journal)
    assert found.process.developer == "nettle developer then soda"
    assert found.process.agitation == "half agitation then no agitation"
    assert told(found) == [(1, RunPart(film=1), (600_000, 180_000), [])]


def test_runs_of_an_earlier_version_are_known_as_well(tmp_path):
    with closing(sqlite3.connect(tmp_path / "journal.sqlite3")) as connection:
        version_5 = Path(__file__).with_name("version_5.sql").read_text("utf-8")
        connection.executescript(version_5)
    with Journal.open(tmp_path) as journal:
        found = known(journal)
        assert [each.process for each in found] == [
            Process("", "nettle developer", "half agitation", 20.0),
            Process("", "nettle developer", "1/4 agitation", 22.0),
        ]


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


def said(*words):
    return CliRunner().invoke(root, words).stdout


def test_check_says_what_is_known_of_this_stock_in_this_developer(home):
    plan = str(write_plan(home, STOCKED))
    assert "The journal knows" not in said("check", plan)
    assert not (home / "home").exists(), "who only looks begins no journal"
    with Journal.open() as journal:
        add(journal, home, STOCKED, (RunPart(), Result(kept=1)))
        add(journal, home, STOCKED.replace("nettle", "another"))
        add(journal, home, STOCKED.replace("meadow", "the meadow"))
    write_plan(home, STOCKED)
    told = " ".join(said("check", plan).split())
    assert "meadow 100 in nettle developer: 1 run; kept: 10:00 at 20.0 °C, half agi" in told
    assert said("check", plan).count("in nettle developer:") == 1
    (report,) = json.loads(said("check", plan, "--json"))
    assert report["known"][0].startswith("meadow 100 in nettle developer: 1 run")
    unnamed = str(write_plan(home, PLAN))
    assert "The journal knows" not in said("check", unnamed)


def test_the_command_is_a_table_or_json(home):
    assert "No finished run is known; a plan names its film with stock:" in " ".join(
        said("journal", "known").split()
    )
    with Journal.open() as journal:
        add(journal, home, STOCKED, (RunPart(), Result(density=1)))
        add(journal, home, PLAN, (RunPart(), Result(contrast=0, kept=1)))
    table = said("journal", "known")
    assert "(no stock named)" in table
    assert "10:00 exposed at 200/24°, run 1: density +1" in table
    assert "kept: 10:00, run 2" in table
    (row,) = json.loads(said("journal", "known", "--stock", "mead", "--json"))
    assert (row["stock"], row["runs"], row["times"][0]["times_ms"]) == ("meadow 100", 1, [600_000])
