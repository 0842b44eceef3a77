"""Curves and times as they were read: figures where they belong, and nothing hides anything."""

import re
from collections.abc import Sequence
from functools import cache
from math import exp

import pytest

from darktimer.paper.page import Page
from darktimer.paper.sensitometry_plots import NamedStrip, plot_curves, plot_time
from darktimer.sensitometry.estimate import Estimate, TimeEstimate
from darktimer.sensitometry.strip import lux_seconds, strip, tablet
from darktimer.sensitometry.time_law import Piece
from darktimer.sensitometry.wanted import TimeCurve, time_curve, time_for

from . import plans

MINUTE = 60_000
TIMES = (4, 5, 6, 8, 11, 15, 21, 29)
FOUND = TimeEstimate(5 * MINUTE, round(4.6 * MINUTE), round(5.5 * MINUTE))


def strips(count: int, gamma: float = 0.4, absolute: bool = False) -> list[NamedStrip]:
    """Ruled curves, each steeper than the one before by a little."""
    lg_h = tablet("21 x 0.15").lg_h
    exposures = lux_seconds([10 ** (x - 3) for x in lg_h]) if absolute else tablet("21 x 0.15")
    return [
        NamedStrip(
            f"piece {at}, {at + 3}:00",
            strip(exposures, [0.2 + max(0, x - 0.6) * gamma * (1 + at / 20) for x in lg_h]),
        )
        for at in range(1, count + 1)
    ]


def curve(count: int, k: float = 0.12, unsure: float = 0.01) -> TimeCurve:
    return time_curve(
        "gamma",
        [Piece(t * MINUTE, Estimate(1 - exp(-k * (t - 1)), unsure)) for t in TIMES[:count]],
    )


@cache
def plots() -> dict[str, Page]:
    return {
        **{f"curves of {n}": plot_curves("Run 12: nettle", strips(n)) for n in (1, 4, 8)},
        "curves that end at one height": plot_curves("Run 12", strips(1) * 8),
        "a short strip": plot_curves(
            "Run 12", [NamedStrip("piece 1", strip(tablet("5 x 0.15"), [0.2, 0.4, 1.1, 1.9, 2.7]))]
        ),
        "absolute": plot_curves("Run 12", strips(2, absolute=True)),
        **{f"time of {n}": plot_time("Run 12: nettle", curve(n), 0.4, FOUND) for n in (3, 4, 8)},
        "time of 2, none wanted": plot_time("Run 12: nettle", curve(2)),
        "time that is not found": plot_time("Run 12: nettle", curve(3), 0.8),
    }


def test_a_ring_is_explained_where_there_is_one() -> None:
    for name, ringed in (("curves of 4", True), ("a short strip", False)):
        texts = [text.get_text() for text, _ in plans.extents(plots()[name].figure)]
        assert any("Ring" in text for text in texts) is ringed


@pytest.mark.parametrize("name", plots())
def test_labels_lie_on_the_page_and_apart(name: str) -> None:
    page = plots()[name]
    boxes = [box for _, box in plans.extents(page.figure)]
    for index, box in enumerate(boxes):
        assert box.x0 >= 0
        assert box.y0 >= 0
        assert box.x1 <= page.width
        assert box.y1 <= page.height
        assert not any(box.covers(other) for other in boxes[:index])


def texts(page: Page) -> list[str]:
    return [words.get_text() for words, _ in plans.extents(page.figure)]


def drawn(page: Page, name: str) -> list[tuple[float, float]]:
    """Where the marks of a name are, in points."""
    lines = [each for each in page.figure.findobj() if each.get_gid() == name]
    return [(float(line.get_xdata()[0]), float(line.get_ydata()[0])) for line in lines]


def test_every_reading_is_drawn_and_gamma_one_rises_by_45_degrees() -> None:
    page = plot_curves("Run 12", strips(1, gamma=1 / 1.05))
    marks = drawn(page, "reading")
    assert len(marks) == 21
    (x0, y0), (x1, y1) = marks[8], marks[-1]
    assert y0 - y1 == pytest.approx(x1 - x0)
    assert "piece 1, 4:00, gamma 1.00" in texts(page)


def test_the_speed_point_lies_on_its_curve() -> None:
    page = plot_curves("Run 12", strips(1, gamma=1 / 1.05))
    ((x, y),) = drawn(page, "speed point")
    (x0, y0), (x1, _) = drawn(page, "reading")[4:6]
    assert (x - x0) / (x1 - x0) == pytest.approx(0.10 / 0.15)  # 0.10 over fog, at gamma 1
    assert y0 - y == pytest.approx(x - x0)


def test_each_curve_is_named_in_the_order_of_its_end() -> None:
    found = [words for words in texts(plots()["curves of 8"]) if words.startswith("piece")]
    assert [int(re.findall(r"\d+", words)[0]) for words in found] == [*range(1, 9)]
    heights = [
        box.y0
        for words, box in plans.extents(plots()["curves of 8"].figure)
        if words.get_text().startswith("piece")
    ]
    assert heights == sorted(heights)  # upward on the page


def test_what_lg_h_counts_from_is_said() -> None:
    assert "lg H, H in lux seconds" in texts(plots()["absolute"])
    assert "−2.0" in texts(plots()["absolute"])
    assert "lg H, from the least exposure" in texts(plots()["curves of 1"])


@pytest.mark.parametrize("count", [2, 4, 8])
def test_the_wanted_value_is_told_with_its_time_and_width(count: int) -> None:
    fitted = curve(count, unsure=0.004)
    wanted = fitted.law.value_at(4.5 * MINUTE)
    page = plot_time("Run 12", fitted, wanted, time_for(fitted, wanted))
    says = " ".join(texts(page))
    assert re.search(rf"{wanted:.2f} at 4:30, between 4:\d\d and 4:\d\d\.", says)
    assert len(drawn(page, "piece")) == count


def test_a_greatest_value_far_above_the_pieces_does_not_press_them_flat() -> None:
    low = curve(8, k=0.02, unsure=0.001)
    assert low.greatest is not None
    assert low.greatest.value > 2 * low.pieces[-1].value.value
    marks = drawn(plot_time("Run 12", low), "piece")
    assert _height(marks) > 150


def _height(marks: Sequence[tuple[float, float]]) -> float:
    return max(y for _, y in marks) - min(y for _, y in marks)
