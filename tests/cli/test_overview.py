"""What stands beside the commands: the overview, wrong usage, the manual page, plain text."""

import os
import re
import shutil
import subprocess
from pathlib import Path

import click
import pytest

from darktimer.cli.root import COMMANDS, root
from darktimer.journal.journal import Journal
from darktimer.journal.start import about_to_start
from darktimer.live.keyboard import Keyboard
from darktimer.pages.leading import machine_warnings
from darktimer.plan.reader import read_plan
from darktimer.process.timeline import Timeline

PLAN = "open-tub-half-agitation"


@pytest.fixture(autouse=True)
def kitchen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in, and a home where nothing was ever done."""
    folder = tmp_path / "kitchen"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    return folder


def begin_a_run(tmp_path: Path) -> int:
    timeline = Timeline("Cut off", 60_000, (), (), (), ())
    with Journal.open(tmp_path / "home") as journal:
        return journal.begin_run(about_to_start(read_plan(PLAN), "standard", timeline))


def test_with_nothing_here_it_says_how_to_begin(run, tmp_path):
    ran = run()
    assert ran.status == 0
    assert "no plan in this folder" in ran.out
    assert "darktimer new" in ran.out
    assert f"darktimer render {PLAN} -o develop.wav" in ran.out
    assert not (tmp_path / "home").exists()
    assert not os.listdir()


def test_with_a_plan_here_it_says_what_to_do_with_it(run):
    run("new", "--no-questions")
    run("new", "my roll.yaml", "--no-questions")
    os.utime("my-plan.yaml", (0, 0))
    Path("shopping.yaml").write_text("milk: 1 l\n")
    out = run().out
    assert "In this folder: my roll.yaml, and 1 more." in out
    assert "darktimer check 'my roll.yaml'" in out
    assert "darktimer learn 'my roll.yaml'" in out
    assert "-o 'my roll.pdf'" in out
    assert "-o 'my roll.wav'" in out


def test_a_plan_with_faults_is_to_be_mended_first(run):
    Path("bad.yaml").write_text("title: x\nvessel: {kind: tub, light: open}\nsteps: [{fix: 5}]\n")
    out = run().out
    assert "Faults in it: 1" in out
    assert "darktimer check bad.yaml" in out
    assert "render" not in out


def test_a_run_that_was_not_ended_comes_first(run, tmp_path):
    number = begin_a_run(tmp_path)
    assert f"Run {number}, Cut off, was begun and has not ended." in run().out
    assert "darktimer run --resume --give-up" in run().out
    (told,) = (each for each in machine_warnings("", Keyboard()) if "has not ended" in each)
    assert told.startswith(f"run {number}, Cut off, ")
    with Journal.open(tmp_path / "home") as journal:
        journal.finish_run(number)
    assert "not ended" not in run().out
    assert not any("not ended" in each for each in machine_warnings("", Keyboard()))


def test_a_damaged_journal_does_not_stop_the_overview(run, tmp_path):
    begin_a_run(tmp_path)
    for file in (tmp_path / "home").iterdir():
        file.write_bytes(b"damaged")
    assert run().status == 0


@pytest.mark.parametrize("command", ["check", "render", "next", "timeline"])
def test_wrong_usage_ends_with_a_line_that_would_do(run, command):
    ran = run(command)
    assert ran.status == 2
    assert "Missing" in ran.err
    assert "For example:\n  darktimer " in ran.err
    assert ran.err.endswith(f"More: darktimer {command} --help\n")


def test_a_group_without_a_command_shows_its_usage_once(run):
    ran = run("journal", "plot")
    assert ran.status == 2
    assert (ran.out, ran.err.count("Usage:")) == ("", 1)


def test_a_misspelt_command_names_the_nearest(run):
    assert "did you mean 'timeline'?" in run("timelines").err
    assert "darktimer --help lists" in run("xyz").err


def every_help() -> list[list[str]]:
    """The words that call each command there is, those under others included."""

    def under(ctx: click.Context) -> list[list[str]]:
        found = []
        group = ctx.command
        assert isinstance(group, click.Group)
        for name in group.list_commands(ctx):
            command = group.get_command(ctx, name)
            assert command
            inner = click.Context(command, info_name=name, parent=ctx)
            found.append(inner.command_path.split()[1:])
            found += under(inner) if isinstance(command, click.Group) else []
        return found

    return [[], *under(click.Context(root, info_name="darktimer"))]


@pytest.mark.parametrize("words", every_help(), ids=" ".join)
def test_help_fits_sixty_columns_whole_and_plain(run, monkeypatch, words):
    monkeypatch.setenv("COLUMNS", "60")
    assert plain_and_narrow(run(*words, "--help").out)
    assert "..." not in re.sub(r"Usage: .*|\S\.\.\.", "", run(*words, "--help").out)


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["check", PLAN],
        ["timeline", "tray-six-sheets"],
        ["mix", PLAN],
        ["cues", "-o", "cues.wav"],
        ["render", "load-and-soak", "-o", "a.flac"],
        ["new", "--no-questions"],
        ["journal"],
        ["journal", "1"],
        ["journal", "compare", "1", "2"],
        ["journal", "search", "tub"],
        ["journal", "add-result", "1", "--density", "dense"],
        ["baths"],
        ["baths", "begin", "plain fixer", "--volume", "1 l"],
    ],
    ids=" ".join,
)
def test_output_fits_sixty_columns_and_is_plain(run, monkeypatch, tmp_path, words):
    monkeypatch.setenv("COLUMNS", "60")
    begin_a_run(tmp_path)
    begin_a_run(tmp_path)
    ran = run(*words)
    assert (ran.status, ran.err) == (0, "")
    assert plain_and_narrow(ran.out)


def plain_and_narrow(text: str) -> bool:
    """No line too long, no colour or other command to the terminal, nothing drawn with boxes."""
    assert max(map(len, text.splitlines())) <= 60
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f\u2500-\u259f]", text)
    return True


@pytest.fixture
def page(run) -> str:
    return run("manual").out


def test_the_manual_page_holds_every_command_and_option(page):
    shown = page.replace(r"\-", "-")
    for words in every_help():
        assert words == [] or f"\n.SS darktimer {' '.join(words)}\n" in shown
    for option in ("--agitation ANSWER", "-o, --output FILE", "--lights-out-after DURATION"):
        assert f".B {option}\n" in shown
    for line in COMMANDS:
        assert f"darktimer {line}" in shown


def test_the_manual_page_has_only_requests_that_man_knows(page):
    requests = {line.split()[0] for line in page.splitlines() if line.startswith((".", "'"))}
    assert requests <= {".TH", ".SH", ".SS", ".PP", ".TP", ".B", ".nf", ".fi", ".nh", ".ad"}
    assert page.count(".nf") == page.count(".fi")
    assert set(re.findall(r"\\.", page)) <= {r"\-", r"\e", r"\&"}
    assert "\b" not in page


@pytest.mark.skipif(not shutil.which("groff"), reason="groff is not here")
def test_groff_sets_the_manual_page_without_a_complaint(page):
    done = subprocess.run(
        ["groff", "-man", "-ww", "-Tascii", "-P-c"],
        input=page,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    assert "darktimer render open-tub-half-agitation -o develop.wav" in done.stdout
