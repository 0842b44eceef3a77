"""``darktimer new``: whatever it accepts is a plan; whatever it refuses leaves no file."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from darktimer.bench.plan_inputs import film_of, vessel_of
from darktimer.bench.recipe_lookup import recipes_of
from darktimer.cli import main
from darktimer.cues.reader import load_cue_set
from darktimer.plan.agitation import WAYS, Continuous
from darktimer.plan.checks import warnings
from darktimer.plan.draft import BETWEEN, USUAL, complete
from darktimer.plan.reader import PlanFile, read_plan_file
from darktimer.prepare.questions import QUESTIONS
from darktimer.process.compiler import compile_plan
from darktimer.process.timeline import Timeline
from darktimer.units import duration_ms

Outcome = tuple[int, str, PlanFile | None]
END_OF_INPUT = b"\x04"
LENGTH_MS = load_cue_set("standard").length_ms


def plan_in(path: Path) -> tuple[PlanFile, Timeline]:
    """The plan in a file, read and compiled afresh; raises where either fails."""
    file = read_plan_file(path)
    recipes_of(file)
    return file, compile_plan(file.plan, LENGTH_MS)


def new(answers: dict[str, str]) -> Outcome:
    """The exit status, what was complained of, and the plan where one was written."""
    options = [f"--{key}={answer}" for key, answer in answers.items()]
    with TemporaryDirectory() as folder, redirect_stdout(StringIO()), StringIO() as err:
        path = Path(folder) / "plan.yaml"
        with redirect_stderr(err), pytest.raises(SystemExit) as left:
            main(["new", str(path), "--no-questions", *options])
        written = plan_in(path)[0] if path.exists() else None
        assert [path.name] * bool(written) == os.listdir(folder)
        return int(left.value.code or 0), err.getvalue(), written


def times(least_s: int, most_s: int) -> st.SearchStrategy[str]:
    seconds = st.integers(least_s, most_s)
    clock = seconds.map(lambda s: f"{s // 60}:{s % 60:02}")
    return clock | seconds.map(lambda s: f"{s} s") | seconds.map(lambda s: f"{s / 60:.2f} min")


ROLLS = st.fixed_dictionaries(
    {"film": st.sampled_from(["135-36", "135-24", "120"])},
    optional={
        "amount": st.integers(1, 9).map(str),
        "vessel": st.sampled_from(["spiral tank", "Spiral", "tub", "drum", "cylinder"]),
    },
)
CINE = st.fixed_dictionaries(
    {"film": st.sampled_from(["16 mm", "double-8", "35 mm", "8MM type s"])},
    optional={
        "amount": st.sampled_from(["25 ft", "10 m", "100 ft"]),
        "vessel": st.sampled_from(["bucket", "tub", "spiral tank"]),
    },
)
SHEETS = st.fixed_dictionaries(
    {"film": st.sampled_from(["4x5 in", "8x10", "9 x 12 cm"])},
    optional={
        "amount": st.integers(1, 9).map(str),
        "vessel": st.sampled_from(["tray", "drum", "tub"]),
    },
)
REST = st.fixed_dictionaries(
    {},
    optional={
        "light": st.sampled_from(["open", "closed", "Open"]),
        "volume": st.sampled_from(["unknown", "500 ml", "1.5 l", "16 US fl oz"]),
        "developer": st.sampled_from(["nettle leaf developer", "my: own, {odd} #1", "'", "Бак 7"]),
        "temperature": st.sampled_from(["20 C", "68 F", "24.5°C"]),
        "develop": times(180, 3600),
        "between": st.sampled_from([*BETWEEN, "ri"]),
        "clearing": times(20, 900) | st.just("unknown"),
        "fix": times(120, 1800),
        "wash": times(120, 900),
        "changes": st.integers(1, 6).map(str),
        "title": st.sampled_from(["Roll 7", "yes", "120", "a: b # c", "- x", "{", "\u0301é 🙂"]),
    },
)


@settings(max_examples=40)
@given(st.one_of(ROLLS, CINE, SHEETS), REST)
def test_sensible_answers_are_taken_and_stand_in_the_plan(
    film: dict[str, str], rest: dict[str, str]
) -> None:
    if {"clearing", "fix"} <= set(rest) and rest["clearing"] != "unknown":
        assume(duration_ms(rest["fix"]) >= duration_ms(rest["clearing"]))
    status, err, written = new({**film, **rest})
    assert (status, err) == (0, "")
    assert written is not None
    develop = next(step for step in written.plan.steps if step.kind == "develop")
    assert develop.bath == rest.get("developer", "developer")
    if "title" in rest:
        assert written.plan.title == rest["title"]


@settings(max_examples=60)
@given(
    st.dictionaries(
        st.sampled_from(list(QUESTIONS)),
        st.text(max_size=12)
        | st.sampled_from(["1 s", "5 s", "47 h", "999", "0", "none", "{", "a: b", "*x", "!!int 3"])
        | st.sampled_from([*WAYS, "1/100", "{inversions: 60, within: 31 s, every: 32 s}"])
        | st.sampled_from(["tray", "drum", "16 mm", "4x5 in", "open", "closed", "stop"]),
        max_size=4,
    )
)
def test_any_answers_at_all_give_a_plan_without_fault_or_no_file(answers: dict[str, str]) -> None:
    status, err, written = new(answers)  # which reads and compiles what was written
    assert (status, bool(err)) == ((2, True) if written is None else (0, False))


def test_every_question_is_an_option_and_has_what_is_usual() -> None:
    assert tuple(QUESTIONS) == tuple(USUAL)
    assert new(complete({}))[0] == 0


def test_open_means_the_same_in_a_question_and_in_what_is_drafted(tmp_path: Path) -> None:
    """Not until the fix alone: film that is reversed is in the light after bleach and rinse."""
    written = tmp_path / "plan.yaml"
    with redirect_stdout(StringIO()), pytest.raises(SystemExit):
        main(["new", str(written), "--no-questions"])
    for text in (QUESTIONS["light"].means, written.read_text()):
        assert "open: dark until the film is fixed, or bleached and rinsed." in text


@pytest.mark.parametrize("way", WAYS)
def test_every_way_of_agitation_can_be_asked_for(way: str) -> None:
    tray = {"film": "4x5 in", "vessel": "tray"} if way == "shuffle" else {}
    assert new({**tray, "agitation": way})[0] == 0


def test_inversions_are_the_manuals() -> None:
    """Navy training manual 14209: 30 s, then 5 s of each minute, so 75 s of 10 minutes."""
    status, _, written = new({"agitation": "inversions", "develop": "10 min", "light": "closed"})
    assert (status, bool(written)) == (0, True)
    assert written
    timeline = compile_plan(written.plan, LENGTH_MS)
    develop = next(i for i, step in enumerate(timeline.steps) if step.kind == "develop")
    bouts = [s for s in timeline.spans if s.step == develop and s.kind == "agitate"]
    assert [each.end_ms - each.start_ms for each in bouts] == [30_000, *[5_000] * 9]


@pytest.mark.parametrize(
    ("film", "length_ft", "cover_ml"),
    [("16 mm", 100, 4000), ("double-8", 50, 2000), ("8 mm type S", 50, 1000)],
)
def test_motion_picture_film_by_the_spool_in_what_covers_it(film, length_ft, cover_ml) -> None:
    """Common practice, no source: such spools, and about 4 l in a bucket for 100 ft of 16 mm."""
    status, _, written = new({"film": film})
    assert (status, bool(written)) == (0, True)
    assert written
    plan = written.plan
    assert plan.films
    assert plan.films[0].length == pytest.approx(length_ft * 0.3048)
    assert vessel_of(plan, film_of(plan)).cover_ml == pytest.approx(cover_ml, rel=0.01)


def test_agitation_as_a_plan_writes_it() -> None:
    status, _, written = new({"agitation": "{inversions: 3, within: 10 s, at: [2 min, 5 min]}"})
    assert status == 0
    assert written
    assert written.plan.steps[1].agitation.at == (120_000, 300_000)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ("--film=12", "'12' may be 135-12 or 120 or 127; write one of them"),
        ("--vessel=cauldron", "'cauldron' is none of these; allowed are tub, bucket"),
        ("--develop=100", "'100' has no unit; write a duration such as 15 min"),
        ("--agitation=all the time", "did you mean continuous?"),
        ("--agitation=shuffel", "; or a word: inversions, half, continuous, stand, rotation,"),
        ("--agitation={inversions: 4", "cannot be read; write it as a plan does"),
        ("--agitation=shuffle", "a shuffle is for sheets in a tray"),
        ("--volume=16 pints", "'16 pints' has no unit known here; write a volume such as 500 ml"),
        ("--developer=gone.yaml", "no such file"),
        ("--temperature=45", "'45' may be C or F; write 45 C or 45 F"),
        ("--fix=5 s", "leaves no time between transfer and drain"),
    ],
)
def test_an_answer_that_does_not_fit_is_named_with_its_remedy(run, tmp_path, answer, said):
    ran = run("new", tmp_path / "plan.yaml", "--no-questions", answer)
    assert ran.status == 2
    assert said in ran.err
    assert answer.split("=")[0] in ran.err
    assert "For example:" in ran.err
    assert os.listdir(tmp_path) == []


def test_fix_is_twice_the_clearing_time_and_common_at_least() -> None:
    # Twice the clearing time: Navy training manual 14209.
    assert complete({"clearing": "4 min"})["fix"] == "8 min"
    assert complete({"clearing": "3:15"})["fix"] == "390 s"
    assert complete({"clearing": "30 s"})["fix"] == "5 min"


def test_where_the_usual_agitation_has_no_room_it_is_continuous() -> None:
    status, err, written = new({"light": "open", "develop": "25 s"})
    assert (status, err) == (0, "")
    assert written
    assert isinstance(written.plan.steps[1].agitation, Continuous)


@pytest.mark.parametrize("sheets", [1, 6, 30, 60])
def test_baths_are_long_enough_for_many_sheets(sheets: int) -> None:
    status, err, written = new({"film": "4x5 in", "amount": str(sheets)})
    assert (status, err) == (0, "")
    assert written
    assert written.plan.sheets == sheets


def test_a_plan_that_stands_there_is_kept_unless_forced(run, tmp_path):
    path = tmp_path / "plan.yaml"
    path.write_text("mine")
    refused = run("new", path, "--no-questions")
    assert refused.status == 2
    assert "plan-2.yaml, or add --force" in refused.err
    assert path.read_text() == "mine"
    assert run("new", path, "--no-questions", "--force").status == 0
    assert plan_in(path)


def test_where_it_cannot_be_written_is_said_before_anything_is_asked(run, tmp_path):
    assert "make it first" in run("new", tmp_path / "no" / "plan.yaml").err
    assert "name a file in it" in run("new", tmp_path).err


def test_json_tells_a_script_what_was_written(run, tmp_path):
    report = json.loads(run("new", tmp_path / "short", "--develop", "4 min", "--json").out)
    file, timeline = plan_in(tmp_path / "short.yaml")
    assert report["file"] == str(tmp_path / "short.yaml")
    assert report["duration_ms"] == timeline.duration_ms
    told = [warning.found for warning in file.located(warnings(file.plan))]
    assert [each["found"] for each in report["warnings"]] == told
    assert "short time to develop" in report["warnings"][0]["found"]


def test_what_is_written_explains_itself(run, tmp_path):
    path = tmp_path / "plan.yaml"
    out = run("new", path, "--no-questions").out
    text = path.read_text()
    assert "untested on film" in text
    assert max(map(len, text.splitlines())) <= 80
    assert f"darktimer check {path}" in out


@pytest.fixture
def asked(tmp_path: Path) -> Callable[..., str]:
    """Answers the questions in a terminal of 60 columns, one a line; gives all that was shown."""
    if sys.platform == "win32":
        pytest.skip("needs a pseudo-terminal")
    import pty

    def converse(*answers: str) -> str:
        ours, theirs = pty.openpty()
        os.write(ours, "".join(f"{answer}\n" for answer in answers).encode() + END_OF_INPUT)
        with subprocess.Popen(
            [sys.executable, "-m", "darktimer", "new", "mine"],
            cwd=tmp_path,
            env={**os.environ, "COLUMNS": "60", "PYTHONPATH": str(Path(__file__).parents[2])},
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
        ):
            os.close(theirs)
            shown = b""
            while part := _read(ours):
                shown += part
        os.close(ours)
        return shown.decode().replace("\r\n", "\n")

    return converse


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 4096)
    except OSError:  # what a closed terminal raises on some systems
        return b""


def test_questions_in_a_terminal(asked: Callable[..., str], tmp_path: Path) -> None:
    usual = [""] * len(QUESTIONS)
    shown = asked("12", *usual[:10], "ages", "9:30", *usual[11:])
    assert "Film [135-36]: " in shown
    assert "'12' may be 135-12 or" in shown
    assert "Time in the developer [10 min]: " in shown
    assert "'ages' is not a duration" in shown
    assert "For example: 10 min." in " ".join(shown.split())
    assert "mine.yaml: written; no faults found." in shown
    _, timeline = plan_in(tmp_path / "mine.yaml")
    develop = next(step for step in timeline.steps if step.kind == "develop")
    assert develop.end_ms - develop.start_ms == 570_000 + 10_000  # with the transfer before it


@pytest.mark.parametrize(
    ("answers", "refused"),
    [
        (["banana"], "That cannot be used: 'banana' is none of these. For example: 135-36."),
        (
            ["135-35"],
            "That cannot be used: '135-35' is none of these; did you mean '135-36'? "
            "For example: 135-36.",
        ),
        (
            ["", "", "", "", "tup"],
            "'tup' is none of these; did you mean 'tub'? For example: spiral tank.",
        ),
        ([*[""] * 7, "lots"], "'lots' is not a quantity; write a volume such as 500 ml,"),
    ],
)
def test_a_refusal_says_nothing_that_the_question_said(asked, answers, refused):
    shown = " ".join(asked(*answers).split())
    assert refused in shown
    assert shown.count("13x18 cm") == 1


def test_an_option_that_cannot_be_used_names_what_can(run, tmp_path):
    refused = run("new", tmp_path / "mine.yaml", "--no-questions", "--film", "banana")
    assert refused.status == 2
    assert "allowed are 135-36, 135-24" in " ".join(refused.err.split())


def test_an_answer_that_holds_another_answers_both(asked: Callable[..., str]) -> None:
    shown = asked("two rolls of 120", "back", "3 rolls of 120", *[""] * len(QUESTIONS))
    assert "Taken as 2 of 120." in shown
    assert "How many rolls" not in shown
    assert "Taken as 3 of 120." in shown


def test_back_asks_the_last_question_again(asked: Callable[..., str], tmp_path: Path) -> None:
    shown = asked("back", "120", "3", "back", "2", *[""] * (len(QUESTIONS) - 2))
    assert "goes back one question" in " ".join(shown.split())
    assert shown.count("Film [135-36]: ") == 2
    assert shown.count("How many rolls [1]: ") == 2
    file, _ = plan_in(tmp_path / "mine.yaml")
    assert file.plan.films
    assert (file.plan.films[0].format, file.plan.films[0].count) == ("120", 2)


def test_a_roll_of_pictures_taken_for_motion_picture_film_is_told_of(
    asked: Callable[..., str],
) -> None:
    shown = " ".join(asked("35 mm", "back", "135-36", *[""] * (len(QUESTIONS) - 1)).split())
    assert "Is it a 35 mm roll of pictures? back, then 135-36. How long is the film" in shown
    assert "How many rolls [1]: " in shown


def test_ending_early_writes_nothing(asked: Callable[..., str], tmp_path: Path) -> None:
    shown = asked("", "")
    assert "Stopped." in shown
    assert os.listdir(tmp_path) == []


def test_the_washes_that_are_usual_are_as_many_as_practice_asks_for(run, tmp_path):
    """P: 10 to 12 changes of water, Navy training manual 14209; the bench says so of a plan."""
    answered = ("--no-questions", "--developer", "tea developer", "--volume", "500 ml")
    assert run("new", tmp_path / "new.yaml", *answered).status == 0
    wash = read_plan_file(tmp_path / "new.yaml").plan.steps[-1]
    assert (wash.kind, wash.time_ms, wash.repeat) == ("wash", 120_000, 10)


def test_the_recipes_at_hand_are_named_where_a_developer_is_asked_for(asked, tmp_path) -> None:
    (tmp_path / "recipes").mkdir()
    mine = "title: Mint tea\nbath: developer\nmakes: 1 l\n"
    (tmp_path / "recipes/mine.yaml").write_text(mine)
    (tmp_path / "recipes/stop.yaml").write_text("title: My stop\nbath: stop\nmakes: 1 l\n")
    shown = " ".join(asked(*[""] * len(QUESTIONS)).split())
    assert "At hand: Mint tea; " in shown
    assert "Tea developer" in shown
    assert "My stop" not in shown
    assert "At hand: Plain fixer." in shown


def test_both_baths_have_the_names_that_were_answered(run, tmp_path):
    baths = ("--developer", "tea developer", "--fixer", "plain fixer", "--volume", "500 ml")
    assert run("new", tmp_path / "mine.yaml", "--no-questions", *baths).status == 0
    sheet = json.loads(run("mix", tmp_path / "mine.yaml", "--json").out)
    assert {"Tea developer", "Plain fixer"} <= {bath["recipe"] for bath in sheet["baths"]}


def test_an_amount_that_differs_from_the_one_given_with_the_film_is_refused() -> None:
    status, said, written = new({"film": "2 rolls of 120", "amount": "3"})
    assert (status, written) == (2, None)
    assert "it is 3 here, and 2 was given with another answer" in said
    assert new({"film": "2 rolls of 120", "amount": "2 rolls"})[0] == 0
