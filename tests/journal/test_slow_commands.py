"""Commands of the journal that take a while: in processes of their own, and those that draw."""

import os
import subprocess
import sys

import pytest

from tests.journal.test_commands import home, refused, two_runs, typed

__all__ = ["home", "two_runs"]  # fixtures


@pytest.mark.parametrize("place", ["a" * 300, "file/home"])
@pytest.mark.parametrize("words", [["journal"], ["mix", "long-stand"], ["run", "--resume"]])
def test_a_home_that_cannot_be_entered_is_one_clear_line(tmp_path, place, words):
    (tmp_path / "file").touch()
    done = subprocess.run(
        [sys.executable, "-m", "darktimer", *words],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "DARKTIMER_HOME": str(tmp_path / place)},
    )
    if words[0] == "mix":  # it begins no journal, and one that cannot be read stops no sheet
        assert (done.returncode, done.stderr) == (0, "")
        unknown = "Which baths are kept is not known" in done.stdout
        assert unknown == (place != "file/home")  # where there is surely none
        return
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert str(tmp_path / place) in done.stderr
    assert done.stderr.strip().endswith("name another folder in DARKTIMER_HOME")


@pytest.mark.parametrize("ending", ["png", "svg"])
def test_plots_are_drawn(two_runs, ending):
    typed("baths", "begin", "plain fixer", "--volume", "1 l")
    typed("baths", "use", "plain fixer", "--rolls", "1")
    for words in (["development"], ["times", "2"], ["bath", "plain fixer"]):
        target = two_runs / f"{words[0]}.{ending}"
        assert str(target) in typed("journal", "plot", *words, "-o", str(target))
        assert target.stat().st_size > 5_000


def test_a_plot_of_nothing_is_refused(home):
    assert "nothing to draw yet" in refused("journal", "plot", "development", "-o", "a.png")
    assert "end it in .png" in refused("journal", "plot", "development", "-o", "a.jpg")
    assert not list(home.glob("a.*"))
