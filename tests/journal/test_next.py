"""A changed plan: only what was suggested changes, and every comment stays."""

import re
from types import SimpleNamespace

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as some

from darktimer.document import read_document
from darktimer.journal import Journal, JournalError
from darktimer.journal.propose import propose
from darktimer.journal.results import Result, add_result
from darktimer.journal.revise import revise
from darktimer.journal.suggest import written
from darktimer.plan.reader import read_plan_file
from darktimer.units import LONGEST_MS, duration_ms
from tests.journal.samples import PLAN
from tests.journal.test_review import played


def after(tmp_path, result=None, text=PLAN, **how):
    """The suggestions after a run, and the new plan as it reads, None where nothing changes."""
    with Journal.open(tmp_path) as journal:
        run = played(journal, tmp_path, text, **how)
        if result:
            add_result(journal, run, result)
        proposal = propose(journal, run)
        assert journal.plan_text(run) == text
    new = yaml.load(proposal.text, yaml.BaseLoader) if proposal.text else None
    return SimpleNamespace(suggestions=proposal.suggestions, text=proposal.text, plan=new)


def develop(found):
    return next(step for step in found.plan["steps"] if "develop" in step)


@pytest.mark.parametrize(
    ("result", "time"),
    [
        (Result(density=1), "8 min 30 s"),
        (Result(density=2, contrast=1), "7 min"),
        (Result(density=-1, contrast=-1), "11 min 30 s"),
        (Result(density=-2), "13 min"),
    ],
)
def test_density_changes_the_time(tmp_path, result, time):
    found = after(tmp_path, result)
    assert develop(found)["develop"] == time
    assert develop(found)["agitation"] == "1/2"


@pytest.mark.parametrize(
    ("contrast", "old", "new"),
    [
        (1, "1/2", "1/3"),
        (-1, "1/2", "3/4"),
        (1, "continuous", "1/2"),
        (-1, "stand", "1/4"),
        (2, "{share: 50 %, cycle: 2 min}", {"share": "1/3", "cycle": "2 min"}),
        (1, "{inversions: 4, every: 1 min}", {"inversions": "4", "every": "2 min"}),
        (-1, "{inversions: 4, every: 1 min}", {"inversions": "4", "every": "30 s"}),
    ],
)
def test_contrast_alone_changes_the_agitation(tmp_path, contrast, old, new):
    text = PLAN.replace("agitation: 1/2", f"agitation: {old}")
    found = after(tmp_path, Result(contrast=contrast, density=0), text)
    assert develop(found)["agitation"] == new
    assert develop(found)["develop"] == "10 min"


@pytest.mark.parametrize("old", ["continuous", "{reverse every: 30 s}"])
def test_where_agitation_cannot_give_more_the_time_does(tmp_path, old):
    text = PLAN.replace("agitation: 1/2", f"agitation: {old}")
    found = after(tmp_path, Result(contrast=-1), text)
    assert develop(found)["develop"] == "11 min 30 s"


def test_density_and_contrast_at_odds_speak_of_exposure(tmp_path):
    found = after(tmp_path, Result(density=1, contrast=-1))
    assert "less exposure" in found.suggestions[0].mend
    assert develop(found)["agitation"] == "3/4"


def test_a_cold_bath_is_mended_before_the_plan(tmp_path):
    found = after(tmp_path, Result(density=-1, celsius=18.5))
    assert found.plan is None
    assert "1.5 C cold" in found.suggestions[0].found
    assert after(tmp_path, Result(density=1, celsius=18.5)).plan is not None


def test_unevenness_asks_for_a_better_opening(tmp_path):
    found = after(tmp_path, Result(evenness=-1), PLAN.replace("bath: nettle", "opening: 10 s\n    "
                                                              "bath: nettle"))  # fmt: skip
    assert develop(found)["opening"] == "30 s"
    # "30 s continuous" at the start: Navy training manual 14209.
    assert found.suggestions[0].source == "Navy training manual 14209"
    assert develop(after(tmp_path, Result(evenness=-1)))["opening"] == "1 min"
    short = after(tmp_path, Result(evenness=-1), PLAN.replace("10 min", "4 min"))
    assert any("weaker" in each.mend for each in short.suggestions)


def test_late_changes_ask_for_a_longer_transfer(tmp_path):
    found = after(tmp_path, late={"fix": 7_000, "wash": 3_000}.items())
    # 5 s is the usual transfer of an open vessel; 7 s late asks for 10 s more.
    assert found.plan["habits"] == {"transfer": "15 s"}
    assert "Fix 7 s, Wash 3 s" in found.suggestions[0].found
    assert after(tmp_path, late={"fix": 1_000}.items()).plan is None


def test_fog_and_grain_change_nothing_in_the_plan(tmp_path):
    found = after(tmp_path, Result(fog=1, grain=2))
    assert (len(found.suggestions), found.plan) == (2, None)


def test_a_good_run_suggests_nothing(tmp_path):
    assert after(tmp_path, Result(density=0, contrast=0, evenness=1)).suggestions == ()


def test_comments_layout_and_all_other_values_stay(tmp_path):
    text = f"# my own words\n{PLAN}".replace("\n", "\r\n")
    found = after(tmp_path, Result(density=1, evenness=-1), text, late={"fix": 7_000}.items())
    assert "# as on the last roll" in found.text
    assert "# my own words" in found.text
    assert "\n" not in found.text.replace("\r\n", "")
    kept = [line for line in text.splitlines() if line in found.text.splitlines()]
    assert len(kept) == len(text.splitlines()) - 2  # all but the title and the time
    assert found.plan["title"] == "Invented for tests (after run 1)"
    for each in found.suggestions:
        assert f"Rule of thumb: {each.source}." in found.text


def test_a_plan_changed_again_is_called_after_the_last_run(tmp_path):
    first = after(tmp_path, Result(density=1))
    second = after(tmp_path, Result(density=1), first.text)
    assert second.plan["title"] == "Invented for tests (after run 2)"


def test_a_proposal_that_cannot_be_carried_out_is_refused(tmp_path):
    text = PLAN.replace("steps:", "clock starts: pour\nsteps:")
    with pytest.raises(JournalError, match="does not hold"):
        after(tmp_path, text=text, late={"wash": 600_000}.items())


@given(some.integers(1, LONGEST_MS // 5_000).map(lambda n: n * 5_000))
def test_times_are_written_as_plans_read_them(ms):
    assert duration_ms(written(ms)) == ms


LAYOUTS = {
    "blocks": "title: Ä 😀 # one\nhabits:\n  # two\n  drain: 5 s\nsteps:\n  - soak: 1 min # three\n"
    "    bath: x\n  - wash: 5 min",
    "braces": '{"title": "Ä 😀", habits: {drain: 5 s}, steps: [{soak: 1 min, bath: x}, '
    "{wash: 5 min}]} # one",
    "indented": "  title: 'Ä 😀'  # one\n  habits: {}\n  steps:\n  - soak: 1 min\n    bath: x\n"
    "  - wash: 5 min\n",
    "no habits": "title: >-\n  Ä 😀\n\n# one\nsteps:\n- {soak: 1 min, bath: x} # two\n"
    "- wash: 5 min",
}
places = some.sampled_from([
    ("title",), ("steps", 0, "soak"), ("steps", 0, "bath"), ("steps", 0, "drain"),
    ("steps", 1, "wash"), ("steps", 1, "drain"), ("steps", 1, "transfer"),
    ("habits", "drain"), ("habits", "transfer"), ("habits", "opening"),
])  # fmt: skip


@given(some.sampled_from(list(LAYOUTS)), some.dictionaries(places, some.sampled_from("abc")))
def test_a_revised_text_reads_as_the_content_with_the_changes(tmp_path_factory, layout, changes):
    text = LAYOUTS[layout]
    path = tmp_path_factory.mktemp("revise") / "plan.yaml"
    path.write_text(text, "utf-8")
    revised = revise(text, read_document(path), changes)
    wanted = yaml.load(text, yaml.BaseLoader)
    for (*parents, last), value in changes.items():
        block = wanted
        for part in parents:
            block = block.setdefault(part, {}) if isinstance(block, dict) else block[part]
        block[last] = value
    assert yaml.load(revised, yaml.BaseLoader) == wanted
    assert re.findall("# .*", revised) == re.findall("# .*", text)


def test_the_new_plan_is_a_plan(tmp_path):
    found = after(tmp_path, Result(density=1, evenness=-2), late={"fix": 7_000}.items())
    path = tmp_path / "new.yaml"
    path.write_text(found.text, "utf-8")
    assert read_plan_file(path).plan.steps[1].time_ms == 510_000
