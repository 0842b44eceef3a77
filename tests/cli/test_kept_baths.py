"""A bath kept from another evening is told of on the sheet, and used where it is good enough."""

import json
import re
import sqlite3
from contextlib import closing
from datetime import date, timedelta

import pypdf
import pytest

from darktimer import shipped
from darktimer.bench.bath_at_hand import BathAtHand
from darktimer.bench.film import load
from darktimer.bench.unit_system import METRIC
from darktimer.journal.folder import FILE_NAME

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


OPEN = "open-tub-half-agitation"  # eight minutes in plain fixer, which it says clears in three


def said(run, *args) -> str:
    ran = run(*args)
    return " ".join(f"{ran.out} {ran.err}".split())


def cleared(run, *times: str) -> None:
    run("baths", "begin", "Plain-Fixer", "--volume", "4 l")
    for time in times:
        assert run("baths", "clearing", "plain fixer", time).status == 0


@pytest.mark.parametrize("asking", [("check",), ("mix",), ("render", "--rate", "8000")])
def test_a_kept_fixer_speaks_against_the_plan(run, tmp_path, asking):
    """P: fix for twice the clearing time, Navy training manual 14209; the last one noted rules."""
    output = ("-o", tmp_path / "a.wav") if asking[0] == "render" else ()
    cleared(run, "3 min", "4 min")
    assert "under twice" not in said(run, *asking, OPEN, *output, *(("--force",) if output else ()))
    run("baths", "clearing", "plain fixer", "4:01")
    again = said(run, *asking, OPEN, *output, *(("--force",) if output else ()))
    assert "8:00 is under twice the clearing time of 4:01" in again
    run("baths", "clearing", "plain fixer", "4 min")
    assert "under twice" not in said(run, *asking, OPEN, *output, *(("--force",) if output else ()))


def test_check_says_where_the_clearing_time_is_from(run):
    assert "clears in" not in said(run, "check", OPEN)
    cleared(run, "3:30")
    note = "Fix clears in 3:30, as last noted for its bath; the plan says 3:00."
    assert note in said(run, "check", OPEN)
    assert "1 l of it are kept" not in said(run, "mix", OPEN)
    assert "4 l of it are kept, last cleared in 3:30" in said(run, "mix", OPEN)
    run("baths", "clearing", "plain fixer", "2:30")
    assert "Fix clears in 2:30, as last noted" in said(run, "check", OPEN)


@pytest.mark.parametrize("command", ["check", "run", "timeline"])
def test_no_light_before_a_kept_fixer_has_cleared(run, command):
    cleared(run, "5 min", "8 min")
    assert run("check", OPEN).status == 0
    run("baths", "clearing", "plain fixer", "8:01")
    refused = run(command, OPEN)
    assert refused.status == 1
    told = "by the clearing time last noted for its bath, light comes after 8:00 of fixing"
    assert told in " ".join(refused.err.split())
    sheet = said(run, "mix", OPEN)
    assert "light comes after 8:00 of fixing, and the film clears in 8:01" in sheet
    run("baths", "discard", "plain fixer")
    assert run("check", OPEN).status == 0


def test_check_says_that_a_kept_bath_is_not_to_be_used(run):
    cleared(run, "2 min", "4 min", "2 min")
    told = "Plain-Fixer is kept, but not to be used: its clearing time has doubled"
    assert told in said(run, "check", OPEN)
    warnings = json.loads(run("check", OPEN, "--json").out)[0]["warnings"]
    (fault,) = (each for each in warnings if "not to be used" in each["found"])
    assert fault["key"].endswith(".fix")
    assert 'darktimer baths discard "Plain-Fixer"' in fault["remedy"]
    assert "not to be used" in kept(run)


def test_a_bath_of_unknown_capacity_is_tried_first():
    words = "find the clearing time first, and mix it fresh if that has doubled"
    assert words in BathAtHand("fixer", 1000, None).text(500, load("135-36"), METRIC)
    assert not BathAtHand("fixer", 1000, None).serves(500, load("135-36"))


def test_a_journal_that_cannot_be_read_stops_no_check(run, home):
    cleared(run, "8:01")
    assert run("check", OPEN).status == 1
    with closing(sqlite3.connect(home / FILE_NAME)) as journal:
        journal.execute("PRAGMA user_version = 999")
    ran = run("check", OPEN)
    assert ran.status == 0
    assert "Which baths are kept is not known" in ran.out


def test_a_bath_begins_with_what_its_recipe_knows(run, tmp_path):
    """By the shipped recipe: ten rolls a litre, two weeks."""
    begun = json.loads(run("baths", "begin", "Plain fixer", "--volume", "1.5 l", "--json").out)
    assert begun["capacity_m2"] == pytest.approx(15 * 80 * 0.0254**2)
    assert begun["keeps_days"] == 14
    run("baths", "discard", "plain fixer")
    own = ("--capacity-rolls", "3", "--keeps-days", "5", "--json")
    begun = json.loads(run("baths", "begin", "plain fixer", "--volume", "1 l", *own).out)
    assert begun["capacity_m2"] == pytest.approx(3 * 80 * 0.0254**2)
    assert begun["keeps_days"] == 5
    begun = json.loads(run("baths", "begin", "mystery", "--volume", "1 l", "--json").out)
    assert (begun["capacity_m2"], begun["keeps_days"]) == (None, None)


def test_a_bath_of_a_plan_begins_with_the_recipe_that_the_plan_carries(run, tmp_path):
    plan = tmp_path / "mine.yaml"
    text = (shipped.folder("sequences") / f"{OPEN}.yaml").read_text()
    recipe = "recipes:\n  plain fixer:\n    title: Mine\n    bath: fixer\n    keeps: 3 days\n"
    plan.write_text(text + recipe + "    rolls per litre: 4\n")
    begin = ("baths", "begin", "plain fixer", "--volume", "1 l", "--plan", plan)
    assert "Mine (in the plan itself)" in " ".join(run(*begin).out.split())
    (bath,) = json.loads(run("baths", "--json").out)
    assert bath["keeps_days"] == 3
    assert bath["capacity_m2"] == pytest.approx(4 * 80 * 0.0254**2)


def test_the_sheet_refuses_what_check_refuses_whatever_becomes_of_the_bath(run):
    """A bath to be thrown out rules until it is: who keeps it may still use it."""
    cleared(run, "2:00", "8:01")
    for command in ("check", "mix"):
        ran = run(command, OPEN)
        told = " ".join(ran.err.split())
        assert ran.status == 1
        assert "by the clearing time last noted for its bath" in told
        assert 'or mix it fresh, and write: darktimer baths discard "plain fixer"' in told


def test_the_card_has_nothing_to_weigh_for_a_bath_that_is_kept(run, tmp_path):
    run("baths", "begin", "plain fixer", "--volume", "1 l", "--capacity-rolls", "10")
    run("card", PLAN, "-o", tmp_path / "card.pdf")
    text = pypdf.PdfReader(tmp_path / "card.pdf").pages[0].extract_text()
    assert "sodium thiosulphate" not in text
    assert "use what is kept" in text
