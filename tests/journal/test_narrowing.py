"""Runs are narrowed to a stock, a developer or a format; films and results of each stand apart."""

import json

import pytest
from click.testing import CliRunner

from darktimer.cli.root import root
from darktimer.journal.compare import compare
from darktimer.journal.journal import Journal
from darktimer.journal.listing import latest, search
from darktimer.journal.narrowing import Only
from darktimer.journal.results import Result, RunPart, add_result, part_of
from tests.journal.samples import PLAN, run_start

FILM = "film: {format: 135-36, count: 1}"
TWO = """films:
  - {format: 135-36, stock: Meadow "100", exposed at: 200, note: the fair}
  - {format: 120, count: 2, stock: harbour}"""
PLANS = (
    PLAN,
    PLAN.replace(FILM, TWO),
    PLAN.replace(FILM, "film: {format: '120', stock: 120 of old}").replace("nettle", "Soda & Tea"),
)


@pytest.fixture
def journal(tmp_path):
    with Journal.open(tmp_path) as opened:
        for text in PLANS:
            opened.finish_run(opened.begin_run(run_start(tmp_path, text)))
        yield opened


@pytest.mark.parametrize(
    ("only", "found"),
    [
        (Only(stock="meadow"), [2]),
        (Only(stock='MEADOW "1'), [2]),
        (Only(stock="harbour", format="120"), [2]),
        (Only(stock="harbour", format="135"), []),  # the other film of that tank
        (Only(stock="120"), [3]),
        (Only(format="120"), [3, 2]),
        (Only(format="135"), [2, 1]),
        (Only(developer="NETTLE"), [2, 1]),
        (Only(developer="soda & tea"), [3]),
        (Only(developer="plain fixer"), []),  # no developer, though it stands in the plan
        (Only(stock="fair"), []),  # a note
        (Only(developer="nettle", format="120"), [2]),
        (Only("%"), []),
        (Only(), [3, 2, 1]),
    ],
)
def test_a_part_of_each_name_narrows(journal, only, found):
    words = ("invented",)
    assert [line.number for line in search(journal, words, None, only)] == found
    if only != Only():
        assert [line.number for line in search(journal, (), None, only)] == found
    assert len(search(journal, words, 1, only)) == min(1, len(found))


def test_words_and_names_narrow_together(journal):
    assert [line.number for line in search(journal, ["fair"], None, Only(format="120"))] == [2]
    assert search(journal, ["fair"], None, Only(stock="120")) == []


def test_stock_and_exposure_come_first_in_a_comparison(journal):
    rows = compare(journal, [1, 2])
    assert [tuple(row) for row in rows[:2]] == [
        ("stock", ("-", 'Meadow "100"; harbour')),
        ("exposed at", ("-", "200/24°; -")),
    ]


def test_what_came_of_each_film_is_compared(journal, tmp_path):
    again = journal.begin_run(run_start(tmp_path, PLANS[1]))
    journal.finish_run(again)
    add_result(journal, 2, Result(density=-1), RunPart(film=1))
    add_result(journal, again, Result(density=-1, kept=1), RunPart(film=1))
    add_result(journal, again, Result(contrast=2), RunPart(film=2))
    assert [tuple(row) for row in compare(journal, [2, again])] == [
        ("film 1: kept", ("-", "yes")),
        ("film 2: contrast", ("-", "+2 far too contrasty")),
    ]


def test_the_only_film_of_a_run_is_all_of_it(journal):
    assert part_of(journal.run(1), RunPart(film=1)) == RunPart()
    assert part_of(journal.run(2), RunPart(film=2)) == RunPart(film=2)


@pytest.mark.parametrize("kept", [1, 0, None])
def test_the_run_to_repeat_is_marked_until_it_is_so_no_longer(journal, kept):
    add_result(journal, 2, Result(kept=1), RunPart(film=2))
    add_result(journal, 2, Result(density=0, kept=kept), RunPart(film=2))
    (line, *_) = latest(journal)[1:]
    words = line.results[RunPart(film=2)].words()
    mark = [] if kept == 0 else ["kept as the one to repeat"]
    assert words == ["density right", *mark]


def run(*args):
    return CliRunner().invoke(root, args)


def test_the_commands(journal, monkeypatch, tmp_path):
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))
    monkeypatch.setenv("COLUMNS", "80")
    said = run("journal", "add-result", "2", "--film", "2", "--density", "dense", "--keep")
    assert said.output == "Run 2, film 2: density +1 (dense); kept as the one to repeat\n"
    run("journal", "add-result", "2", "--film", "2", "--no-longer-keep")
    said = run("journal", "add-result", "2", "--film", "3", "--density", "dense")
    assert "it has film 1 to film 2, not film 3; name one of those by --film" in str(said.exception)
    listed = run("journal", "--stock", "meadow").output
    assert "135-36 Meadow" in listed
    assert "film 2: density" in " ".join(listed.split())
    assert "kept" not in listed
    shown = run("journal", "2").output
    assert 'finished, 135-36 Meadow "100" at 200/24° and 2 x 120 harbour' in " ".join(shown.split())
    assert "Noted of the film:\n  - the fair" in shown
    rows = json.loads(run("journal", "search", "--format", "120", "--json").output)
    assert [row["run"] for row in rows] == [3, 2]
    assert rows[1]["results_of_parts"][0]["density"] == 1
    assert rows[1]["films"][0]["exposed_at"] == "200/24°"
    assert run("journal", "--developer", "gold").output == "No run matches: gold.\n"
    assert "name words to look for, or give --stock" in run("journal", "search").output
