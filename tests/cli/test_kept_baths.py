"""A bath kept from another evening is told of on the sheet, and used where it is good enough."""

import json
import re
from datetime import date, timedelta

import pytest

from darktimer import shipped

PLAN = "closed-spiral-half-agitation"  # one roll; 300 ml of plain fixer cover it


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))
    return tmp_path


def kept(run) -> str:
    baths = json.loads(run("mix", PLAN, "--json").out)["baths"]
    assert all(not bath["kept"] for bath in baths if bath["name"] != "plain fixer")
    return next(bath["kept"] for bath in baths if bath["name"] == "plain fixer")


def test_without_a_journal_none_is_kept_and_none_is_begun(run, home):
    assert kept(run) == ""
    assert list(home.iterdir()) == []


def test_a_bath_with_capacity_left_is_used(run):
    run("baths", "begin", "plain fixer", "--volume", "1 l", "--capacity-rolls", "10")
    run("baths", "use", "plain fixer", "--rolls", "2.5")
    assert kept(run) == "1 l of it are kept, good for 7.5 more rolls: use it, and mix none"
    page = run("mix", PLAN).out
    assert "use it, and mix none" in page
    assert "sodium thiosulphate" not in page, "what is not to be mixed has no recipe on the sheet"
    assert "ascorbic acid" in page
    assert "Spent fixer holds silver" in page
    run("baths", "discard", "plain fixer")
    assert "sodium thiosulphate" in run("mix", PLAN).out


def test_film_that_is_told_in_rolls_is_told_once(run, tmp_path):
    assert "1 x 135-36: 0.0516 m2\n" in run("mix", PLAN).out
    other = tmp_path / "other.yaml"
    film = "film: {format: 120, count: 2}"
    text = (shipped.folder("sequences") / f"{PLAN}.yaml").read_text()
    other.write_text(re.sub("(?m)^film: .*$", film, text))
    assert "2 x 120: 0.1000 m2, as much as 1.94 rolls of 135-36" in run("mix", other).out


@pytest.mark.parametrize(
    ("begin", "after", "words"),
    [
        (("--volume", "250 ml"), (), "50 ml too little; mix it fresh"),
        (("--volume", "1 l"), (), "find the clearing time first"),
        (
            ("--volume", "1 l", "--capacity-rolls", "10"),
            ("use", "--rolls", "9.5"),
            "good for 0.5 more rolls and this is 1.0; mix it fresh",
        ),
        (
            ("--volume", "1 l", "--capacity-rolls", "10"),
            ("use", "--rolls", "11"),
            "not to be used: its capacity of 0.516 m2 of film is used up; mix it fresh",
        ),
        (
            ("--volume", "1 l", "--born", "2001-01-01", "--keeps-days", "60"),
            (),
            "days old and keeps 60; mix it fresh",
        ),
    ],
)
def test_a_bath_that_is_not_good_enough_says_why(run, begin, after, words):
    run("baths", "begin", "plain fixer", *begin)
    if after:
        run("baths", after[0], "plain fixer", *after[1:])
    assert words in kept(run)


def test_the_last_roll_that_a_bath_takes_is_taken(run):
    run("baths", "begin", "plain fixer", "--volume", "1 l", "--capacity-rolls", "20")
    run("baths", "use", "plain fixer", "--rolls", "19")
    assert "good for 1.0 more rolls: use it" in kept(run)
    run("baths", "use", "plain fixer", "--rolls", "0.01")
    assert "this is 1.0; mix it fresh" in kept(run)


def test_a_bath_is_not_born_on_a_day_to_come(run):
    tomorrow = (date.today() + timedelta(days=1)).isoformat()
    begin = ("baths", "begin", "plain fixer", "--volume", "1 l", "--born")
    assert "is yet to come" in run(*begin, tomorrow).err
    assert run("baths").out.startswith("No bath in use")
    assert run(*begin, date.today().isoformat()).status == 0


def test_a_clearing_time_that_has_doubled(run):
    """P: throw the bath out when the clearing time has doubled (Navy training manual 14209)."""
    run("baths", "begin", "plain fixer", "--volume", "1 l", "--capacity-rolls", "10")
    run("baths", "clearing", "plain fixer", "1 min")
    run("baths", "clearing", "plain fixer", "1:59")
    assert "use it" in kept(run)
    run("baths", "clearing", "plain fixer", "2 min")
    assert "its clearing time has doubled, from 1:00 to 2:00; mix it fresh" in kept(run)
