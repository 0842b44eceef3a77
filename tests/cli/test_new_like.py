"""A plan that begins from a run, and what the journal knows said while one is written."""

import json
from pathlib import Path

import pytest

from darktimer.plan.draft import UNKNOWN
from darktimer.plan.reader import read_plan_file
from darktimer.prepare.answers import in_plan_words
from tests.journal.samples import PLAN, write_plan

from .conftest import Run

STOCKED = PLAN.replace("count: 1", "stock: meadow 100, exposed at: 200")


@pytest.fixture
def plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    return write_plan(tmp_path, STOCKED)


def test_a_plan_begins_from_a_run(run: Run, plan: Path, tmp_path: Path) -> None:
    run("journal", "add", plan, "--step", "develop=11:30")
    run("journal", "add-result", 1, "--density", "right", "--keep")
    plan.write_text("title: another by now\n")
    again = tmp_path / "again.yaml"
    told = " ".join(run("new", "--like", 1, again).out.split())
    assert f"{again}: written; no faults found." in told.replace(" /", "/")
    assert "nettle developer was for 11:30 in run 1; this plan makes it 10:00" in told
    assert "meadow 100 in nettle developer: 1 run; kept: 11:30 at 20.0 °C" in told
    first, rest = again.read_text("utf-8").split("\n", 1)
    assert first.startswith("# Begun from run 1 of 20")
    assert rest == STOCKED
    assert "is already there" in run("new", "--like", 1, again).err
    report = json.loads(run("new", "--like", 1, again, "--force", "--json").out)
    assert report["notes"] == ["nettle developer was for 11:30 in run 1; this plan makes it 10:00"]


LADDER = PLAN.replace(
    "    agitation: 1/2\n",
    "    agitation:\n      share: 1/2\n    # three of them\n"
    "    pieces: {times: [5 min, 7:12, 10 min], in: one by one}  # piece 3 has the 10 min\n",
)


def begun(run: Run, tmp_path: Path, text: str, *marked: int) -> tuple[str, str]:
    """The plan begun from a run of a ladder of which some pieces are kept, and what was noted."""
    run("journal", "add", write_plan(tmp_path, text))
    for piece in marked:
        run("journal", "add-result", 1, "--piece", piece, "--keep")
    again = tmp_path / "again.yaml"
    report = run("new", "--like", 1, again, "--json")
    assert report.status == 0, report.err
    return again.read_text("utf-8"), " ".join(json.loads(report.out)["notes"])


@pytest.mark.parametrize(
    ("marked", "time", "says"),
    [
        (
            (2,),
            "7 min 12 s",
            "nettle developer is for 7:12, the time of piece 2 of run 1, which is",
        ),
        (
            (1, 3),
            "10 min",
            "the last of those that are kept: piece 1, piece 3; the film is not cut",
        ),
    ],
)
def test_a_plan_begins_from_the_piece_that_is_kept(
    run: Run, plan: Path, tmp_path: Path, marked: tuple[int, ...], time: str, says: str
) -> None:
    text, notes = begun(run, tmp_path, LADDER, *marked)
    assert f"  - develop: {time}  # as on the last roll\n" in text
    assert "      share: 1/2\n  - fix" in text
    assert "in run 1; this plan makes it" not in notes
    assert says in notes


def test_what_was_late_or_warm_counts_in_the_time_of_a_kept_piece(
    run: Run, plan: Path, tmp_path: Path
) -> None:
    """12.11 min at 20 C are 10 at 22.3 C by 60 kJ/mol: worked out by hand in test_next."""
    run("journal", "add", write_plan(tmp_path, LADDER))
    run("journal", "add-result", 1, "--temperature", "22.3 C")
    run("journal", "add-result", 1, "--piece", 3, "--keep")
    assert run("new", "--like", 1, tmp_path / "again.yaml").status == 0
    assert "develop: 12 min 7 s" in (tmp_path / "again.yaml").read_text("utf-8")


@pytest.mark.parametrize(
    ("agitation", "written", "says"),
    [
        ("{share: 1/2, cycle: 8 min}", "{share: 1/2, cycle: 5 min 45 s}", "a shorter cycle, of 5"),
        (
            "{inversions: 2, within: 5 s, at: [3 min, 9 min]}",
            "{inversions: 2, within: 5 s, at: [3 min]}",
            "7:12 is over before the turns at 9:00: leave them out",
        ),
        ("{inversions: 2, within: 5 s, at: [9 min]}", "stand", "before the turns at 9:00"),
    ],
)
def test_agitation_that_the_time_of_a_piece_does_not_hold_is_fitted_to_it(
    run: Run, plan: Path, tmp_path: Path, agitation: str, written: str, says: str
) -> None:
    cut = "{times: [5 min, 7:12, 10 min], out: one by one}"
    text = PLAN.replace("1/2", f"{agitation}\n    pieces: {cut}")
    again, notes = begun(run, tmp_path, text, 2)
    assert f"    agitation: {written}\n  - fix" in again
    assert says in notes
    run("journal", "add-result", 1, "--piece", 1, "--density", "thin")
    run("journal", "add-result", 1, "--piece", 3, "--density", "dense")
    proposed = run("next", 1, "-o", tmp_path / "next.yaml")
    assert proposed.status == 0, proposed.err
    assert says[-12:] in " ".join(proposed.out.split())
    assert run("check", tmp_path / "next.yaml").status == 0


def test_how_late_a_kept_piece_was_is_in_its_time_and_in_no_other_note(
    run: Run, plan: Path, tmp_path: Path
) -> None:
    run("journal", "add", write_plan(tmp_path, LADDER), "--step", "develop=11 min")
    run("journal", "add-result", 1, "--piece", 2, "--keep")
    report = json.loads(run("new", "--like", 1, tmp_path / "again.yaml", "--json").out)
    (note,) = report["notes"]
    assert "is for 8:12, the time of piece 2 of run 1" in note
    (process,) = json.loads(run("journal", "known", "--json").out)
    assert [time["times_ms"] for time in process["times"]] == [[360_000], [492_000], [660_000]]


def test_a_longer_develop_is_not_that_of_a_piece_that_left_before(
    run: Run, plan: Path, tmp_path: Path
) -> None:
    text = LADDER.replace("in: one by one", "out: one by one")
    run("journal", "add", write_plan(tmp_path, text), "--step", "develop=11 min")
    (process,) = json.loads(run("journal", "known", "--json").out)
    assert [time["times_ms"] for time in process["times"]] == [[300_000], [432_000], [660_000]]


def test_without_a_kept_piece_the_film_is_cut_again_and_that_is_told(
    run: Run, plan: Path, tmp_path: Path
) -> None:
    text, notes = begun(run, tmp_path, LADDER)
    assert text.partition("\n")[2] == LADDER
    assert (
        "is for 10:00, the longest of its pieces, as in run 1, and the film is cut again" in notes
    )
    assert "darktimer journal add-result 1 --piece 1 --keep" in notes


@pytest.mark.parametrize(("piece", "agitation"), [(1, "share: 1/2"), (2, "stand")])
def test_a_piece_that_stood_and_is_kept_lets_all_of_the_film_stand(
    run: Run, plan: Path, tmp_path: Path, piece: int, agitation: str
) -> None:
    text = LADDER.replace(
        "{times: [5 min, 7:12, 10 min], in: one by one}", "{count: 2, standing: 1}"
    )
    text = text.replace("volume: ", "volume: two of ")
    again, notes = begun(run, tmp_path, text, piece)
    assert f"    agitation:\n      {agitation}\n  - fix" in again
    assert f"is for 10:00, the time of piece {piece} of run 1" in notes
    assert ("cut again and stands as it did" in notes) is (piece == 2)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--like", "2"], "run 2: there is none of that number"),
        (
            ["--like", "1", "--film", "120"],
            "begins from a plan as it is; leave out --fi",
        ),
        (["--like", "1", "--recipe"], "begins from a plan as it is; leave out --recipe"),
    ],
)
def test_what_no_plan_begins_from(
    run: Run, plan: Path, tmp_path: Path, words: list[str], says: str
) -> None:
    run("journal", "add", plan)
    refused = run("new", tmp_path / "again.yaml", *words)
    assert refused.status
    assert says in " ".join(refused.err.split())
    assert not (tmp_path / "again.yaml").exists()


def test_a_stock_and_its_exposure_are_answers_too(run: Run, plan: Path, tmp_path: Path) -> None:
    run("journal", "add", plan)
    mine = tmp_path / "mine.yaml"
    answers = ["--stock=Meadow 100", "--exposed-at=24°", "--developer=nettle developer"]
    said = " ".join(run("new", mine, "--no-questions", *answers).out.split())
    assert "The journal knows: - Meadow 100 in nettle developer: 1 run" in said.replace(
        "meadow", "Meadow"
    )
    (film,) = read_plan_file(mine).plan.films
    assert (film.stock, film.exposed_at) == ("Meadow 100", 24)
    run("new", mine, "--no-questions", "--force")
    (film,) = read_plan_file(mine).plan.films
    assert (film.stock, film.exposed_at) == (None, None)
    refused = run("new", mine, "--no-questions", "--force", "--exposed-at=fast")
    assert "'fast' is not an exposure index" in " ".join(refused.err.split())


@pytest.mark.parametrize(
    ("answer", "stock"),
    [("One two 100", "One two 100"), ("?", UNKNOWN), ("Not sure", UNKNOWN), ("UNKNOWN", UNKNOWN)],
)
def test_a_name_is_taken_as_it_is(answer: str, stock: str) -> None:
    assert in_plan_words("stock", answer, "120") == {"stock": stock}
