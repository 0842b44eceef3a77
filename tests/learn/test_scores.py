"""Scores in the user's folder: kept, added up, and read past what is torn."""

import json
from pathlib import Path

import pytest

from darktimer.errors import OutputError
from darktimer.learn.again import learnt
from darktimer.learn.drill import Drill, Standing
from darktimer.learn.scores import done, keep, kept, totals


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def drilled(*answers: str) -> Drill:
    drill = Drill({"move": ["move"]}, seed=1)
    for answer in answers:
        drill.question()
        drill.answer(answer)
    return drill


def test_nothing_is_kept_at_first() -> None:
    assert kept() == []


def test_what_was_kept_reads_back() -> None:
    first = done(drilled(*["move"] * 6), "standard", "act-now")
    second = done(drilled("move", "stand"), "standard", "act-now")
    assert keep(first) == keep(second)
    assert kept() == [first, second]
    assert (first.ready, second.ready) == (True, False)
    assert totals(kept()) == {"move": Standing(asked=8, right=7)}


def test_a_torn_line_is_passed_over() -> None:
    one = done(drilled("move"), "standard", "act-now")
    path = keep(one)
    path.write_text(path.read_text() + '{"at": "2031-05\n[]\n{"scores": 3}\n', encoding="utf-8")
    assert kept() == [one]


def test_a_torn_last_line_loses_nothing_after_it() -> None:
    one = done(drilled("move"), "standard", "act-now")
    path = keep(one)
    path.write_bytes(path.read_bytes() + b'{"at": "2031-05-04T20:15:00.000Z", "cue_set": "st\xc3')
    assert keep(one) == path
    keep(one)
    assert kept() == [one, one, one]


def test_a_name_with_an_odd_end_of_line_is_one_line() -> None:
    one = done(drilled("move"), "my\u2028set", "act-now")
    keep(one)
    assert kept() == [one]


def test_a_line_of_no_time_is_passed_over() -> None:
    one = done(drilled("move"), "standard", "act-now")
    keep(one._replace(at="some day"))
    keep(one)
    assert kept() == [one]


@pytest.mark.parametrize(
    "damage",
    [
        {"at": "0001-01-01T00:00:00.000Z"},
        {"at": "9999-12-31T23:59:59.000Z"},
        {"cue_set": []},
        {"lesson": {}},
        {"ready": "no"},
        {"scores": {"move": [6, float("inf")]}},
        {"scores": {"move": [6, "6"]}},
        {"scores": {"move": [6, -1]}},
    ],
    ids=str,
)
def test_a_line_that_is_no_drill_is_passed_over(damage: dict[str, object]) -> None:
    """What is due of the others is told all the same."""
    one = done(drilled(*["move"] * 6), "standard", "act-now")
    path = keep(one)
    with path.open("a") as file:
        file.write(json.dumps({**json.loads(path.read_text()), **damage}) + "\n")
    assert kept() == [one]
    assert len(learnt(kept())) == 1


def test_drills_of_a_time_when_they_were_two_count_by_the_second(home: Path) -> None:
    """Over the tap; how many of the last six were right stood third."""
    one = done(drilled(*["move"] * 6), "standard", "act-now")
    line = {**one._asdict(), "scores": {"move": [6, 6, 6]}}
    home.mkdir()
    both = [json.dumps({**line, "over": over}) + "\n" for over in ("quiet", "tap")]
    (home / "drills.jsonl").write_text("".join(both), encoding="utf-8")
    assert kept() == [one]


def test_a_folder_that_cannot_be_written_is_named(home: Path) -> None:
    home.write_text("a file in its place")
    with pytest.raises(OutputError, match="DARKTIMER_HOME"):
        keep(done(drilled("move"), "standard", "act-now"))
