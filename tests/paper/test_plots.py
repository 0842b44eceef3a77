"""Plots show the figures they were given, and nothing on them hides anything else."""

from functools import cache
from itertools import pairwise
from typing import Any

import pytest
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from darktimer.pages.review import off_by
from darktimer.paper.page import Page
from darktimer.paper.plots import Timed, plot_bath, plot_development, plot_times
from darktimer.units import nearest_clock

from . import plans

RUNS = [Timed(f"{day}", 900_000, 880_000 + 5000 * day) for day in range(1, 15)]
STEPS = [
    Timed("Develop", 900_000, 912_640),
    Timed("A rinse with a very long name indeed, in the garden", 60_000, 55_000),
    Timed("現像", 480_000, 480_400),
    Timed("Wash", 300_000, None),
]
USES = [("1 March", 0.0516), ("2 March", 0.1032), ("9 March", 0.0516)]


@cache
def plots() -> dict[str, Page]:
    return {
        "development": plot_development([*RUNS, Timed("15", 900_000, None)], 20.0),
        "many runs": plot_development(RUNS * 50, 20.0),
        "one run": plot_development(RUNS[:1], 20.0),
        "two runs": plot_development(RUNS[:2], 20.0),
        "twelve runs": plot_development([*RUNS[:11], Timed("12", 900_000, None)], 20.0),
        "sixty runs": plot_development((RUNS * 5)[:60], 20.0),
        "no run": plot_development([], 20.0),
        "real against planned": plot_times("Open tub $5", STEPS),
        "bath": plot_bath("Fixer, 1 l", USES, 0.62),
        "unknown capacity": plot_bath("Fixer, 1 l", USES, None),
        "fresh bath": plot_bath("Fixer, 1 l", [], 0.62),
    }


@pytest.mark.parametrize("name", plots())
def test_labels_lie_on_the_page_and_apart(name: str) -> None:
    page = plots()[name]
    width, height = page.width, page.height
    boxes = [box for _, box in plans.extents(page.figure)]
    for index, box in enumerate(boxes):
        assert box.x0 >= 0
        assert box.y0 >= 0
        assert box.x1 <= width
        assert box.y1 <= height
        assert not any(box.covers(other) for other in boxes[:index])


@pytest.mark.parametrize("kind", ["png", "svg", "pdf"])
def test_the_same_figures_give_the_same_bytes_on_another_day(
    kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def drawn(day: int) -> bytes:
        # What writers of files take for the time: https://reproducible-builds.org/specs
        monkeypatch.setenv("SOURCE_DATE_EPOCH", str(day * 86_400))
        return plot_bath("Fixer", USES, 0.62).written(kind, "a plot")

    assert drawn(1) == drawn(20_000)


def texts(page: Page) -> list[str]:
    return [text.get_text() for text, _ in plans.extents(page.figure)]


def drawn(page: Page, kind: str) -> list[Any]:
    """Everything on a page whose id begins so."""
    return [each for each in page.figure.artists if (each.get_gid() or "").startswith(kind)]


def test_each_run_has_its_dot_where_it_is_known() -> None:
    page = plots()["development"]
    ys = [dot.get_ydata()[0] for dot in drawn(page, "given")]
    assert len(ys) == len(RUNS)
    for (y, run), (after, next_run) in pairwise(zip(ys, RUNS, strict=True)):
        # 5 s more are as many points higher on all of the page
        assert (y - after) / (ys[0] - ys[-1]) == pytest.approx(
            (next_run.real_ms - run.real_ms) / (RUNS[-1].real_ms - RUNS[0].real_ms)
        )
    assert any("Not known: 1." in text for text in texts(page))
    assert "run 15" in texts(page)


@pytest.mark.parametrize("number", [1, 2, 3, 12])
def test_runs_have_the_whole_width_to_themselves(number: int) -> None:
    page = plot_development(RUNS[:number], 20.0)
    xs = [dot.get_xdata()[0] for dot in drawn(page, "given")]
    lines = [each for each in page.figure.artists if isinstance(each, Line2D)]
    axes = next(line for line in lines if len(line.get_xdata()) == 3)
    left, right = axes.get_xdata()[1:]
    assert xs[0] - left == pytest.approx(right - xs[-1])
    assert xs[0] - left == pytest.approx((right - left) / number / 2)


def test_differences_are_told_in_words_beside_the_bars() -> None:
    page = plots()["real against planned"]
    told = texts(page)
    assert {"15:13  (+0:13)", "0:55  (−0:05)", "8:00  (0:00)", "never reached"} <= set(told)
    bars = [bar for bar in drawn(page, "real") if isinstance(bar, Rectangle)]
    widths = [bar.get_width() / bars[0].get_width() for bar in bars]
    assert widths == pytest.approx([1, 55_000 / 912_640, 480_400 / 912_640, 0])


def test_a_day_is_told_once_and_rolls_are_counted_whole() -> None:
    uses = [("2026-03-01", 0.0516), ("2026-03-01", 0.0516), ("2026-03-02", 0.0516)]
    told = texts(plot_bath("Fixer", uses, 0.62))
    assert sorted(t for t in told if t.startswith("2026")) == ["2026-03-01", "2026-03-02"]
    scale = [t.split(" ")[0] for t in told if t.endswith((" rolls", " roll"))]
    assert scale
    assert all(number.isdecimal() for number in scale)


def test_a_bath_adds_up_to_what_is_left() -> None:
    told = " ".join(texts(plots()["bath"]))
    # 80 square inches are 0.0516 square metres: 0.2064 / 0.0516 and 0.62 / 0.0516
    assert "4.0 of 12.0 rolls" in told
    assert "8.0 are left" in told
    assert "m²" not in told
    assert "not known" in " ".join(texts(plots()["unknown capacity"]))
    spent = plot_bath("Fixer", USES, 0.2)
    assert "nothing is left" in " ".join(texts(spent))


def test_one_run_is_told_by_number_and_time() -> None:
    told = texts(plots()["one run"])
    assert {"run 1", "14:45"} <= set(told)  # 885 s given
    assert "15:00" in told  # the scale has what was planned


def test_a_run_that_is_not_known_says_so() -> None:
    assert "not known" in texts(plots()["twelve runs"])


def test_sixty_runs_are_labelled_and_not_crowded() -> None:
    told = texts(plots()["sixty runs"])
    assert 4 <= sum(words.startswith("run ") for words in told) <= 16


@pytest.mark.parametrize("real_ms", [70_499, 70_500, 70_999])
def test_a_plot_says_a_time_as_the_page_does(real_ms: int) -> None:
    told = texts(plot_times("Run 1", [Timed("Rinse", 65_000, real_ms)]))
    seconds = off_by(65_000, real_ms).removesuffix(" s")
    assert f"{nearest_clock(real_ms)}  ({seconds[0]}0:0{seconds[1:]})" in told
