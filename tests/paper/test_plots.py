"""Plots show the figures they were given, and nothing on them hides anything else."""

from functools import cache

import pytest
from matplotlib.figure import Figure

from darktimer.paper.page import settings, written
from darktimer.paper.plots import (
    Timed,
    plot_bath,
    plot_development,
    plot_real_against_planned,
)

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
def figures() -> dict[str, Figure]:
    with settings():
        return {
            "development": plot_development([*RUNS, Timed("15", 900_000, None)], 20.0),
            "many runs": plot_development(RUNS * 50, 20.0),
            "one run": plot_development(RUNS[:1], 20.0),
            "two runs": plot_development(RUNS[:2], 20.0),
            "twelve runs": plot_development([*RUNS[:11], Timed("12", 900_000, None)], 20.0),
            "sixty runs": plot_development((RUNS * 5)[:60], 20.0),
            "no run": plot_development([], 20.0),
            "real against planned": plot_real_against_planned("Open tub $5", STEPS),
            "bath": plot_bath("Fixer, 1 l", USES, 0.62),
            "unknown capacity": plot_bath("Fixer, 1 l", USES, None),
            "fresh bath": plot_bath("Fixer, 1 l", [], 0.62),
        }


@pytest.mark.parametrize("name", figures())
def test_labels_lie_on_the_page_and_apart(name: str) -> None:
    figure = figures()[name]
    width, height = figure.get_size_inches() * 72
    boxes = [box for _, box in plans.extents(figure)]
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
        with settings():
            return written(plot_bath("Fixer", USES, 0.62), kind, "a plot")

    assert drawn(1) == drawn(20_000)


def texts(figure: Figure) -> list[str]:
    return [text.get_text() for text, _ in plans.extents(figure)]


def test_each_run_has_its_dot_where_it_is_known() -> None:
    figure = figures()["development"]
    (dots,) = [line for line in figure.axes[0].lines if line.get_gid() == "delivered"]
    assert list(dots.get_ydata()) == [run.real_ms for run in RUNS]
    assert any("Not known: 1." in text for text in texts(figure))
    assert "run 15" in texts(figure)


def test_differences_are_told_in_words_beside_the_bars() -> None:
    told = texts(figures()["real against planned"])
    assert {"15:13  (+0:13)", "0:55  (−0:05)", "8:00  (0:00)", "never reached"} <= set(told)
    bars = figures()["real against planned"].axes[0].patches
    real = [bar.get_width() for bar in bars if (bar.get_gid() or "").startswith("real")]
    assert real == [912_640, 55_000, 480_400, 0]


def test_a_bath_adds_up_to_what_is_left() -> None:
    told = " ".join(texts(figures()["bath"]))
    # 80 square inches are 0.0516 square metres: 0.2064 / 0.0516 and 0.62 / 0.0516
    assert "4.0 of 12.0 rolls" in told
    assert "8.0 are left" in told
    assert "m²" not in told
    assert "not known" in " ".join(texts(figures()["unknown capacity"]))
    with settings():
        spent = plot_bath("Fixer", USES, 0.2)
    assert "nothing is left" in " ".join(texts(spent))


def test_one_run_is_told_by_number_and_time() -> None:
    told = texts(figures()["one run"])
    assert {"run 1", "14:45"} <= set(told)  # 885 s given
    assert "15:00" in told  # the scale has what was planned


def test_a_run_that_is_not_known_says_so() -> None:
    assert "not known" in texts(figures()["twelve runs"])


def test_sixty_runs_are_labelled_and_not_crowded() -> None:
    told = texts(figures()["sixty runs"])
    assert 4 <= sum(words.startswith("run ") for words in told) <= 8
