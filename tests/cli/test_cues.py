"""``darktimer cues``: its table on a narrow page, and the check of a set."""

import json
import re

import pytest

from darktimer.shipped import folder, names


@pytest.fixture
def harmed(tmp_path):
    path = tmp_path / "harmed.yaml"
    text = (folder("sounds") / "standard.yaml").read_text()
    text = text.replace("rhythm: long long\n", "rhythm: 3*short\n")
    path.write_text(text.replace("alarm: 4 dB", "alarm: 1 dB"))
    return path


@pytest.mark.parametrize("name", names("sounds"))
def test_a_shipped_set_keeps_all_rules(run, name):
    ran = run("cues", "--check", name)
    assert (ran.status, ran.err) == (0, "")
    assert f"{name} keeps all" in ran.out
    assert "By rhythm alone" in ran.out
    assert re.search(r"By rhythm alone, an act and .*: \S+, \S+, 1\.\d\d$", ran.out, re.DOTALL)


def test_a_broken_rule_is_named_with_its_pair_and_its_figure(run, harmed):
    ran = run("cues", "--check", harmed)
    assert ran.status == 1
    assert "  - move, stand: 0." in ran.out
    assert "  - alarm: +0.6 LU" in ran.out
    said = " ".join(ran.out.split())
    assert "published figures on counting, rhythm and melody" in said
    assert "confusion.py" not in said  # no reader has that file


def test_the_check_in_json(run, harmed):
    ran = run("cues", "--check", harmed, "--json")
    report = json.loads(ran.out)
    assert (ran.status, report["name"]) == (1, "harmed")
    assert ["move", "stand"] in [each["meanings"] for each in report["broken"]]
    assert all(each["rule"] and each["source"] and each["found"] for each in report["broken"])
    whole = run("cues", "--check", "standard", "--json")
    told = json.loads(whole.out)
    assert (whole.status, told["broken"]) == (0, [])
    closest = told["closest_by_rhythm"]
    assert closest["differences"] == pytest.approx(1.63, abs=0.005), closest


def test_the_check_writes_no_file(run, tmp_path):
    assert run("cues", "--check", "-o", tmp_path / "a.wav").status == 2


def test_a_rhythm_is_never_broken_over_lines_at_100_columns(run, monkeypatch):
    report = json.loads(run("cues", "--json").out)
    monkeypatch.setenv("COLUMNS", "100")
    out = run("cues").out
    assert max(map(len, out.splitlines())) <= 100
    for cue in report["cues"]:
        assert any(cue["meaning"] in line and cue["rhythm"] in line for line in out.splitlines())


def test_the_table_says_what_a_set_leaves_unsaid(run):
    assert "no sound for: heartbeat" in run("cues", "at-night").out
    assert "no sound for" not in run("cues").out


def test_numbers_are_told_as_what_they_mean(run):
    told = {cue["meaning"]: cue["says"] for cue in json.loads(run("cues", "--json").out)["cues"]}
    assert told["ready-1"] == "get ready: the last warning before the change"
    assert told["tally-7"] == "minutes gone in this step: 7"
    assert told["left-110"] == "left in this step: 1:50"


def test_a_file_that_was_written_is_named(run, tmp_path):
    ran = run("cues", "-o", tmp_path / "a.wav")
    assert (ran.status, (tmp_path / "a.wav").is_file()) == (0, True)
    assert "a.wav: plays each of these at its time." in " ".join(ran.out.split())
