"""The command on paper: what it writes, what it says, what it refuses."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from darktimer.cli import main

PLAN = "open-tub-half-agitation"


def card(*args: str | Path) -> int:
    with pytest.raises(SystemExit) as left:
        main(["card", *map(str, args)])
    return int(left.value.code or 0)


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_paper_is_the_one_asked_for(tmp_path: Path, paper: str) -> None:
    assert card(PLAN, "-o", tmp_path / "card.pdf", "--paper", paper) == 0
    (page,) = PdfReader(tmp_path / "card.pdf").pages
    assert round(float(page.mediabox.height)) == {"A4": 842, "letter": 792}[paper]


def test_the_measures_are_those_asked_for(tmp_path: Path) -> None:
    assert card(PLAN, "-o", tmp_path / "card.pdf", "--measures", "US") == 0
    (page,) = PdfReader(tmp_path / "card.pdf").pages
    text = " ".join(page.extract_text().split())
    assert "baths at 68 °F" in text
    assert "US quart" in text


@pytest.mark.parametrize(("ending", "begins"), [("svg", b"<?xml"), ("PNG", b"\x89PNG")])
def test_the_timeline_alone(tmp_path: Path, ending: str, begins: bytes) -> None:
    target = tmp_path / f"timeline.{ending}"
    assert card(PLAN, "-o", target) == 0
    assert target.read_bytes().startswith(begins)


def test_what_is_there_is_kept_unless_forced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "timeline.svg"
    target.write_text("mine")
    assert card(PLAN, "-o", target) == 1
    assert "already there" in capsys.readouterr().err
    assert target.read_text() == "mine"
    assert card(PLAN, "-o", target, "--force") == 0
    assert target.read_text() != "mine"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("name", ["card", "card.txt", "card.pdf.wav"])
def test_another_kind_of_file_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    assert card(PLAN, "-o", tmp_path / name) == 1
    assert ".pdf for the card, .svg or .png for the timeline" in capsys.readouterr().err


def test_a_plan_that_says_too_little_for_amounts_still_has_a_card(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "plan.yaml"
    plan.write_text(
        "title: A short one\nvessel: {kind: tub, light: closed}\n"
        "steps: [{develop: 20 s, agitation: continuous}]\n"
    )
    assert card(plan, "-o", tmp_path / "card.pdf", "--json") == 0
    report = json.loads(capsys.readouterr().out)
    assert report["bytes"] == (tmp_path / "card.pdf").stat().st_size
    assert report["notes"] == [
        "No amounts are on it: the film is missing; add a line film: {format: 135-36, count: 1}."
    ]


def test_lights_out_moves_every_time_on_the_card(tmp_path: Path) -> None:
    assert card(PLAN, "-o", tmp_path / "card.pdf", "--lights-out-after", "2 min") == 0
    text = PdfReader(tmp_path / "card.pdf").pages[0].extract_text()
    assert "dark from 2:00 to 30:20" in text


def test_two_runs_of_the_program_write_the_same_bytes(tmp_path: Path) -> None:
    written = []
    for seed in ("1", "2"):
        target = tmp_path / f"{seed}.pdf"
        subprocess.run(
            [sys.executable, "-m", "darktimer", "card", PLAN, "-o", target],
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        written.append(target.read_bytes())
    assert written[0] == written[1]
