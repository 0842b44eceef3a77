"""The commands journal, next and baths, as they are typed."""

import json
import time

import pytest
import yaml
from click.testing import CliRunner

from darktimer.cli.root import root
from darktimer.errors import DarktimerError
from darktimer.journal.journal import Journal
from darktimer.journal.listing import forget
from tests.journal.samples import PLAN
from tests.journal.test_review import played


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def two_runs(home):
    with Journal.open() as journal:
        played(journal, home)
        played(journal, home, late={"fix": 7_000, "wash": 3_000}.items())
    return home


def typed(*words, status=0):
    done = CliRunner().invoke(root, words)
    assert done.exit_code == status, done.output
    return done.output


def refused(*words):
    done = CliRunner().invoke(root, words)
    assert isinstance(done.exception, DarktimerError), done.output
    return str(done.exception)


def test_an_empty_journal_says_how_it_is_filled(home):
    assert "darktimer run" in typed("journal")
    assert json.loads(typed("journal", "--json")) == []


def test_the_table_of_runs(two_runs):
    table = typed("journal")
    assert "Invented for tests" in table
    assert "nettle developer" in table
    assert max(map(len, table.splitlines())) <= 80
    assert [row["run"] for row in json.loads(typed("journal", "--json"))] == [2, 1]
    assert [row["run"] for row in json.loads(typed("journal", "--last", "1", "--json"))] == [2]


def test_one_run_in_full(two_runs):
    page = typed("journal", "2")
    assert "+7 s" in page
    found = json.loads(typed("journal", "2", "--json"))
    develop = next(step for step in found["steps"] if step["kind"] == "develop")
    assert develop["real_ms"] - develop["planned_ms"] == 7_000
    assert found["plan"].startswith("title: Invented")
    assert "run 9: there is none of that number" in refused("journal", "9")


def test_a_result_is_added_and_shown(two_runs):
    (two_runs / "strip.jpg").touch()
    said = typed("journal", "add-result", "1", "--density", "-1", "--evenness", "streaked",
                 "--temperature", "68 F", "--photograph", "strip.jpg")  # fmt: skip
    assert "density -1 (thin); evenness -2 (streaked)" in said
    typed("journal", "add-result", "1", "--notes", "better at the edges", "--good-for", "proofs")
    page = typed("journal", "1")
    assert "good for proofs" in page
    assert "Temperature" in page
    broken = [line for line in page.splitlines() if "strip.jpg" not in line]
    assert max(map(len, broken)) <= 80, "only a path, which is never torn, may be longer"
    assert "measured 20.0 °C; worth 10:00 at 20.0 °C" in " ".join(page.split())
    assert "better at the edges" in page
    assert "allowed" not in typed("journal", "add-result", "1", "--fog", "9", status=2)
    assert "no result was given" in refused("journal", "add-result", "1")


@pytest.mark.parametrize(("bare", "celsius"), [("19", 19), ("40", 40), ("68", 20), ("50°", 10)])
def test_a_bare_temperature_is_read_as_the_questions_of_new_read_it(two_runs, bare, celsius):
    words = "journal", "add-result", "1", "--temperature", bare
    stands = json.loads(typed(*words, "--json"))
    assert stands["celsius"] == pytest.approx(celsius)
    typed(*words)


def test_a_bare_temperature_that_may_be_either_is_asked_about(two_runs):
    said = typed("journal", "add-result", "1", "--temperature", "45", status=2)
    assert "'45' may be C or F; write 45 C or 45 F" in said


def test_search_and_compare(two_runs):
    assert [row["run"] for row in json.loads(typed("journal", "search", "NETTLE", "--json"))] == [
        2, 1,
    ]  # fmt: skip
    assert "No run matches: anchovy." in typed("journal", "search", "anchovy")
    differing = [row["what"] for row in json.loads(typed("journal", "compare", "1", "2", "--json"))]
    assert differing == ["Develop: real time", "Fix: real time"]
    typed("journal", "compare", "1", status=2)


def test_search_shows_the_latest_and_all_where_that_is_asked(two_runs):
    typed("journal", "add-result", "1", "--notes", 'streaks "near" the Edge, größer 50%')
    numbers = lambda *words: [  # noqa: E731
        row["run"] for row in json.loads(typed("journal", "search", *words, "--json"))
    ]
    assert numbers("nettle", "--last", "1") == [2]
    assert numbers("nettle", "--all") == [2, 1]
    assert numbers("STREAK") == numbers("nettle", "edge") == numbers("GRÖSSER", "135") == [1]
    assert numbers('"near"') == numbers("50%") == [1]
    for word in ("ettle", "NOT", "nettle OR x", "*", '"', "near edge"):
        assert numbers(word) == [], word


@pytest.mark.parametrize("trouble", ["no module", "damaged"])
def test_search_without_its_index_goes_through_the_texts(two_runs, monkeypatch, trouble):
    typed("journal", "add-result", "1", "--notes", "Streaks")
    typed("journal", "search", "nettle")
    with Journal.open() as journal:
        if trouble == "damaged":
            journal.store.read("DELETE FROM words_data WHERE id = 10")
        else:
            forget(journal.store)
            monkeypatch.setattr("darktimer.journal.listing._MODULE", "no_such_module")
    found = json.loads(typed("journal", "search", "NETTLE", "streak", "--json"))
    assert [row["run"] for row in found] == [1]


def test_a_long_note_is_cut_for_the_eye_and_whole_for_a_script(two_runs):
    typed("journal", "add-result", "1", "--notes", "word " * 20_000)
    table = typed("journal", "compare", "1", "2")
    assert "letters more" in table
    assert len(table) < 5_000
    rows = json.loads(typed("journal", "compare", "1", "2", "--json"))
    assert len(next(row["1"] for row in rows if row["what"] == "notes")) == 100_000


def test_people_read_local_time_and_scripts_utc(two_runs, monkeypatch):
    with Journal.open() as journal:
        journal.store.read("UPDATE runs SET started_utc_ms = started_utc_ms + 60000 * number")
    try:
        monkeypatch.setenv("TZ", "XXX-12")  # twelve hours ahead of UTC
        time.tzset()
        page = typed("journal", "compare", "1", "2")
        told = json.loads(typed("journal", "compare", "1", "2", "--json"))
    finally:
        monkeypatch.undo()
        time.tzset()
    assert "2030-03-18 05:47" in page
    assert told[0]["1"] == "2030-03-17T17:47:40.000Z"


@pytest.mark.parametrize("name", ["out.jsonl", "out"])
def test_out_and_into_an_empty_home(two_runs, monkeypatch, name):
    typed("journal", "export", name)
    typed("journal", "export", name, status=2)
    typed("journal", "export", name, "--force")
    before = typed("journal", "--json")
    monkeypatch.setenv("DARKTIMER_HOME", "elsewhere")
    assert "2 runs" in typed("journal", "import", name)
    assert typed("journal", "--json") == before
    assert "2 runs" in typed("journal", "import", name).splitlines()[1]


def test_a_name_that_is_neither_is_wrong_usage(home):
    assert ".jsonl" in typed("journal", "export", "out.csv", status=2)


def test_next_writes_a_new_plan_and_leaves_the_old(two_runs):
    old = (two_runs / "invented.yaml").read_bytes()
    assert "Fix 7 s late, Wash 3 s late" in typed("next", "2")
    assert "transfer: 15 s" in (two_runs / "after-run-2.yaml").read_text("utf-8")
    assert (two_runs / "invented.yaml").read_bytes() == old
    assert "already there" in refused("next", "2")
    (two_runs / "after-run-2.yaml").write_text("")
    typed("next", "2", "--force")
    assert "transfer: 15 s" in (two_runs / "after-run-2.yaml").read_text("utf-8")
    found = json.loads(typed("next", "2", "-o", "other.yaml", "--json"))
    assert found["suggestions"][0]["changes"] == {"habits.transfer": "15 s"}
    page = typed("next", "1")
    assert "Nothing in the plan" in page
    assert "Say how it turned out" in page
    typed("journal", "add-result", "1", "--density", "0")
    assert "Say how it turned out" not in typed("next", "1")
    typed("check", "after-run-2.yaml")


@pytest.mark.parametrize(
    ("written", "new"),
    [
        ("{share: 1/2, cycle: 3:50}", {"share": "1/2", "cycle": "2 min 40 s"}),
        ("{share: 2/3, cycle: 4 min}", {"share": "2/3", "cycle": "2 min 50 s"}),
        ("{share: 1/2, cycle: 2 min}", {"share": "1/2", "cycle": "2 min"}),
    ],
)
def test_next_shortens_a_cycle_that_a_shorter_time_cannot_hold(home, written, new):
    """As many bouts as before: 4:00 become 2:50, so that 3:50 become 2:42, written to 5 s."""
    text = PLAN.replace("develop: 10 min", "develop: 4 min")
    with Journal.open() as journal:
        played(journal, home, text.replace("agitation: 1/2", f"agitation: {written}"))
    typed("journal", "add-result", "1", "--density", "+2")
    said = " ".join(typed("next", "1").split())
    assert ("a shorter cycle" in said) == (new["cycle"] != "2 min")
    develop = yaml.load((home / "after-run-1.yaml").read_text(), yaml.BaseLoader)["steps"][1]
    assert (develop["develop"], develop["agitation"]) == ("2 min 50 s", new)
    typed("check", "after-run-1.yaml")


@pytest.mark.parametrize("in_habits", [False, True])
def test_next_leaves_out_turns_that_a_shorter_time_is_over_before(home, in_habits):
    """10:00 become 8:30, in which the turns at 9:00 have no room."""
    turns = "agitation: {inversions: 2, within: 5 s, at: [3 min, 9 min]}"
    text = PLAN.replace("agitation: 1/2", turns)
    if in_habits:
        text = text.replace(f"    {turns}\n", "").replace("steps:", f"habits: {{{turns}}}\nsteps:")
        text = text.replace("plain fixer", "plain fixer\n    agitation: continuous")
        text = text.replace("wash: 5 min", "wash: 5 min\n    agitation: none")
    with Journal.open() as journal:
        played(journal, home, text)
    typed("journal", "add-result", "1", "--density", "+1")
    assert "8:30 is over before the turns at 9:00: leave them out" in typed("next", "1")
    develop = yaml.load((home / "after-run-1.yaml").read_text(), yaml.BaseLoader)["steps"][1]
    assert develop["agitation"] == {"inversions": "2", "within": "5 s", "at": ["3 min"]}
    typed("check", "after-run-1.yaml")


def test_next_counts_the_cycle_against_the_time_that_is_carried_out(home):
    """The time written would hold it; what is carried out at 29 C, about half of it, does not."""
    warm = "time is for: 20 C\n    adjust: for temperature\n    temperature: 29 C"
    text = PLAN.replace("agitation: 1/2", f"{warm}\n    agitation: {{share: 1/2, cycle: 3:50}}")
    with Journal.open() as journal:
        played(journal, home, text)
    typed("journal", "add-result", "1", "--density", "+2")
    assert "a shorter cycle" in " ".join(typed("next", "1").split())
    typed("check", "after-run-1.yaml")


def test_next_names_the_nearest_time_that_can_be_carried_out(home):
    turns = "{inversions: 3, within: 10 s, at: [4 min, 8 min 15 s]}"
    with Journal.open() as journal:
        played(journal, home, PLAN.replace("agitation: 1/2", f"agitation: {turns}"))
    typed("journal", "add-result", "1", "--density", "+1", "--contrast", "+1")
    assert "a develop of 8 min 35 s is the nearest time that can be carried out" in " ".join(
        typed("next", "1", status=1).split()
    )


@pytest.mark.parametrize(
    ("old", "new", "late", "words"),
    [
        ("wash: 5 min", "wash: 40 s\n    transfer: 5 s", 29_000, "no time between transfer and"),
    ],
)
def test_next_writes_no_plan_that_check_refuses(home, old, new, late, words):
    text = PLAN.replace(old, new).replace("steps:", "clock starts: pour\nsteps:")
    with Journal.open() as journal:
        played(journal, home, text, late={"fix": late, "wash": late}.items())
    typed("journal", "add-result", "1", "--density", "+2")
    told = typed("next", "1", status=1)
    assert "30 % less development" in told, "the advice is given all the same"
    assert "after-run-1.yaml is not written" in told
    assert words in " ".join(told.split())
    assert not (home / "after-run-1.yaml").exists()
    found = json.loads(CliRunner().invoke(root, ("next", "1", "--json")).stdout)
    assert (found["file"], len(found["suggestions"]) > 0) == (None, True)


def test_baths_from_birth_to_discard(home):
    assert "baths begin" in typed("baths")
    typed("baths", "begin", "plain fixer", "--volume", "1 l", "--capacity-rolls", "2",
          "--born", "2020-02-03", "--keeps-days", "30")  # fmt: skip
    with Journal.open() as journal:
        played(journal, home)
    typed("baths", "use", "plain fixer", "--rolls", "1")
    typed("baths", "clearing", "plain fixer", "1 min")
    page = typed("baths", "clearing", "plain fixer", "2:00")
    assert "doubled" in page
    assert "days old and keeps 30" in page
    (found,) = json.loads(typed("baths", "--json"))
    assert found["used_m2"] == pytest.approx(0.05 + 0.0516, abs=1e-4)
    assert len(found["discard_because"]) == 2
    typed("baths", "discard", "plain fixer")
    assert json.loads(typed("baths", "--json")) == []
    assert "discarded" in typed("baths", "--all")


@pytest.mark.parametrize(
    "words",
    [
        ("begin", "x", "--volume", "a lot"),
        ("begin", "x", "--volume", "1 l", "--born", "yesterday"),
        ("use", "x", "--rolls", "0"),
        ("clearing", "x", "none"),
    ],
)
def test_what_cannot_be_read_is_wrong_usage(home, words):
    typed("baths", *words, status=2)


def test_a_path_in_quotes_may_begin_at_home(two_runs, monkeypatch):
    monkeypatch.setenv("HOME", str(two_runs))
    typed("journal", "export", "~/out.jsonl")
    assert (two_runs / "out.jsonl").exists()
    typed("journal", "import", "~/out.jsonl")
    typed("next", "2", "-o", "~/next.yaml")
    typed("check", "~/next.yaml")
    assert not (two_runs / "~").exists()
    page = typed("journal", "add-result", "1", "--photograph", "~/out.jsonl")
    assert "not there now" not in page


def test_a_name_too_long_for_a_file_is_none(home):
    assert "there is no such file" in typed("check", "a" * 300, status=1)


def test_a_damaged_journal_is_told_of_on_the_error_stream(home):
    (home / "home").mkdir()
    (home / "home" / "journal.sqlite3").write_bytes(b"no journal at all".ljust(5000, b"."))
    done = CliRunner().invoke(root, ["journal", "--json"])
    assert json.loads(done.stdout) == []
    assert "was damaged; it is kept as journal-damaged-" in done.stderr
