"""A ladder of a hidden film, from its plan to the next, as it is typed: does the time lie right?

The films are those of `test_hidden_film`, which go by other models than the program. What is true
of them is reckoned there with scipy.
"""

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from scipy.optimize import brentq

from darktimer.cli.root import root
from darktimer.units import duration_ms
from tests.outside.test_hidden_film import (
    MINUTE,
    Film,
    of_grains,
    read,
    true_gamma,
    true_index,
    with_toe_and_shoulder,
)

PLAN = """\
title: Invented ladder
about: Invented; untested on film.
film: {format: 135-36, count: 1}
vessel: {kind: tub, light: open, volume: 1.5 l}
temperature: 20 C
steps:
  - load: by hand
  - soak: 2 min
  - develop: 17 min
    bath: nettle developer
    agitation: 1/2
    pieces: {times: [6 min, 8:30, 12 min, 17 min], WAY: one by one}
  - fix: 8 min
    bath: plain fixer
    clearing: 3 min
  - wash: 5 min
"""
TIMES = (6, 8.5, 12, 17)


@pytest.fixture(params=["in", "out"])
def entered(request, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A ladder that was carried out by hand, entered into an empty journal."""
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "ladder.yaml").write_text(PLAN.replace("WAY", request.param), "utf-8")
    typed("journal", "add", "ladder.yaml")
    return tmp_path


def typed(*words: str) -> str:
    done = CliRunner().invoke(root, words)
    assert done.exit_code == 0, (done.output, done.exception)
    return done.output


def proposed(*options: str) -> tuple[float, float, float]:
    """The least, the written and the greatest time of the next plan's develop, in minutes."""
    found = json.loads(typed("next", "1", *options, "-o", "next.yaml", "--force", "--json"))
    plan = Path("next.yaml").read_text("utf-8")
    assert "    pieces:" not in plan
    written = plan.partition("- develop: ")[2].partition("\n")[0]
    remedy = found["suggestions"][0]["remedy"].split()
    low, high = remedy[1], remedy[3]
    return duration_ms(low) / MINUTE, duration_ms(written) / MINUTE, duration_ms(high) / MINUTE


@pytest.mark.parametrize(
    ("film", "option", "true", "wanted"),
    [
        (of_grains, (), true_index, 0.58),
        (of_grains, ("--gamma", "0.7"), true_gamma, 0.7),
        (with_toe_and_shoulder, ("--contrast-index", "0.62"), true_index, 0.62),
    ],
)
def test_readings(entered: Path, film: Film, option: tuple[str, ...], true, wanted: float) -> None:
    rng = np.random.default_rng(4)
    for piece, minutes in enumerate(TIMES, 1):
        made = read(film, minutes, rng, 0.01)
        densities = ",".join(f"{each:.2f}" for each in made.densities)
        given = "--tablet", "21 x 0.15", "--densities", densities, "--base-fog", f"{made.base_fog}"
        typed("journal", "add-result", "1", "--piece", str(piece), *given, "--uncertainty", "0.01")
    time = brentq(lambda minutes: true(film, minutes) - wanted, 5, 22)
    low, written, high = proposed(*option)
    assert low <= time <= high
    assert low <= written <= high
    assert high / low < 1.4
    typed("check", "next.yaml")


@pytest.mark.parametrize("film", [of_grains, with_toe_and_shoulder])
def test_words(entered: Path, film: Film) -> None:
    """Who judges by eye says a word more for each 15 % of contrast more, roughly."""
    for piece, minutes in enumerate(TIMES, 1):
        word = round((true_index(film, minutes) / 0.58 - 1) / 0.15)
        contrast = str(max(-2, min(2, word)))
        typed("journal", "add-result", "1", "--piece", str(piece), "--contrast", contrast)
    time = brentq(lambda minutes: true_index(film, minutes) - 0.58, 5, 22)
    low, written, high = proposed()
    assert low <= time <= high
    assert low <= written <= high
    typed("check", "next.yaml")
