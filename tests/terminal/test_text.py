"""How text is laid on the terminal."""

import json
import os
import re
import subprocess
import sys
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path

import pytest
from click.testing import CliRunner

from darktimer.cli.root import root
from darktimer.journal.baths import begin_bath
from darktimer.journal.journal import Journal
from darktimer.journal.results import Result, add_result
from darktimer.terminal.table import print_table
from darktimer.terminal.text import say
from tests.journal.samples import run_start


class Terminal(StringIO):
    """Keeps what is written to it, and says that it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_headings_are_bold_on_a_terminal_and_plain_elsewhere(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("TERM", "xterm-256color")
    for name in ("FORCE_COLOR", "TTY_COMPATIBLE", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)
    written = []
    for place in (Terminal(), StringIO()):
        with redirect_stdout(place):
            print_table([("Step", "left")], [["Soak"]])
        written.append(place.getvalue())
    assert "\x1b[1mStep" in written[0]
    assert written[1].split() == ["Step", "Soak"]


@pytest.fixture
def laid(monkeypatch: pytest.MonkeyPatch):
    def laid(columns, rows, width=80):
        monkeypatch.setenv("COLUMNS", str(width))
        with redirect_stdout(StringIO()) as written:
            print_table(columns, rows)
        return written.getvalue().splitlines()

    return laid


def test_columns_are_as_wide_as_their_widest_line_and_two_blanks_apart(laid):
    columns = [("Step", "left"), ("Time", "right"), ("Note", "left")]
    assert laid(columns, [["Soak", "3:00", "warm\nwater"], ["Develop", "10:00", ""]]) == [
        "Step      Time  Note",
        "Soak      3:00  warm",
        "                water",
        "Develop  10:00",
    ]


def test_a_table_keeps_to_the_width_and_tears_no_word_that_fits(laid):
    rows = [["nettle leaf developer", "a long note that has to be broken"], ["x", "y"]]
    lines = laid([("Bath", "left"), ("Note", "left")], rows, 30)
    assert max(map(len, lines)) <= 30
    assert " ".join(" ".join(lines).split()).count("developer") == 1
    torn = laid([("Bath", "left"), ("Note", "left")], [["x" * 50, "y" * 50]], 30)
    assert max(map(len, torn)) <= 30
    assert "".join("".join(torn).split()).count("x") == 50


def test_letters_that_take_two_places_count_for_two(laid):
    assert laid([("A", "left"), ("B", "left")], [["現像", "1"], ["xy", "2"]]) == [
        "A     B", "現像  1", "xy    2",
    ]  # fmt: skip


def test_points_are_under_each_other(laid):
    assert laid([("Weigh", "point")], [["1.25 g"], ["10 g"]]) == ["    Weigh", "   1.25 g", "10 g"]


CONTROLS = "\x1b[2J\x07\0\x9b1A\x7f\r"
CONTROL = re.compile(r"[\0-\x08\x0b-\x1f\x7f-\x9f]")


@pytest.fixture
def steering(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A journal in which every text would steer a terminal."""
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))
    with Journal.open(tmp_path) as journal:
        start = run_start(tmp_path)
        named = start.timeline._replace(
            title=f"a{CONTROLS}b",
            steps=tuple(step._replace(name=f"a{CONTROLS}b") for step in start.timeline.steps),
        )
        for cue_set in ("standard", f"a{CONTROLS}b"):
            baths = tuple(f"a{CONTROLS}b" for _ in named.steps)
            run = journal.begin_run(
                start._replace(timeline=named, film=CONTROLS, baths=baths, cue_set=cue_set)
            )
            add_result(journal, run, Result(notes=f"{run}{CONTROLS}", usable_for=CONTROLS))
        begin_bath(journal, f"a{CONTROLS}b", 1000.0, 0)


@pytest.mark.usefixtures("steering")
@pytest.mark.parametrize(
    "words",
    [
        ["journal"],
        ["journal", "1"],
        ["journal", "compare", "1", "2"],
        ["journal", "search", "a"],
        ["baths"],
        ["journal", "add-result", "1", "--photograph", "a\x07"],
        [],
    ],
)
def test_text_from_elsewhere_steers_no_terminal(words: list[str]):
    done = CliRunner().invoke(root, words)
    assert done.exit_code == 0, done.output
    assert "\\u0007" in done.output
    assert not CONTROL.search(done.output)


@pytest.mark.usefixtures("steering")
def test_json_says_them_as_json_does():
    done = CliRunner().invoke(root, ["journal", "1", "--json"])
    assert not CONTROL.search(done.output)
    assert json.loads(done.output)["title"] == f"a{CONTROLS}b"


def test_an_error_steers_no_terminal(tmp_path: Path):
    home = tmp_path / "a\x1b[2J\x07b"
    home.touch()
    done = subprocess.run(
        [sys.executable, "-m", "darktimer", "journal"],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "DARKTIMER_HOME": str(home)},
    )
    assert done.returncode == 1
    assert "\\u0007" in done.stderr
    assert not CONTROL.search(done.stderr + done.stdout)


def test_no_line_is_broken_between_a_figure_and_its_unit(monkeypatch, capsys):
    monkeypatch.setenv("COLUMNS", "20")
    say("Stir it well for 30 s, at 52.5 °C or so, until 98.5 % is gone.")
    assert capsys.readouterr().out.splitlines() == [
        "Stir it well for",
        "30 s, at 52.5 °C or",
        "so, until 98.5 % is",
        "gone.",
    ]
