"""The timeline is to scale: measured in the SVG, as anybody could with a ruler."""

import re
from functools import cache
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.lines import Line2D

from darktimer.paper.timeline_picture import picture
from darktimer.units import clock

from . import plans

PLAN = "open-tub-half-agitation"
_G = "{http://www.w3.org/2000/svg}g"
_PATH = "{http://www.w3.org/2000/svg}path"


def svg(name: str) -> bytes:
    shown = plans.shown(name)
    return picture(shown.timeline, shown.rows).written("svg", "a timeline")


@cache
def shapes(name: str) -> dict[str, tuple[float, float, float]]:
    """Left edge, width and height of every shape with a name."""
    found = {}
    for group in ElementTree.fromstring(svg(name)).iter(_G):
        path = group.find(_PATH)
        if path is not None:
            numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", path.get("d", ""))]
            xs, ys = numbers[::2], numbers[1::2]
            found[group.get("id", "")] = (min(xs), max(xs) - min(xs), max(ys) - min(ys))
    return found


def bars(name: str) -> dict[str, tuple[float, float, float]]:
    """The shapes that stand on the line of time."""
    return {id_: box for id_, box in shapes(name).items() if re.fullmatch(r"[a-z]+-\d+", id_)}


@pytest.mark.parametrize("name", [PLAN, "sheets", "day", "sixty"])
def test_spans_are_to_scale(name: str) -> None:
    timeline, drawn = plans.shown(name).timeline, bars(name)
    first = drawn[f"{timeline.spans[0].kind}-0"]
    whole = max(x + width for x, width, _ in drawn.values()) - first[0]
    for index, span in enumerate(timeline.spans):
        left, width, _ = drawn[f"{span.kind}-{index}"]
        assert (left - first[0]) / whole == pytest.approx(
            span.start_ms / timeline.duration_ms, abs=1e-5
        )
        assert width / whole == pytest.approx(
            (span.end_ms - span.start_ms) / timeline.duration_ms, abs=1e-5
        )


def test_half_agitation_is_half_black() -> None:
    timeline, drawn = plans.shown(PLAN).timeline, bars(PLAN)
    develop = next(i for i, step in enumerate(timeline.steps) if step.kind == "develop")
    spans = [(i, s) for i, s in enumerate(timeline.spans) if s.step == develop]
    widths = dict.fromkeys(("agitate", "stand", "drain", "transfer"), 0.0)
    for index, span in spans:
        widths[span.kind] += drawn[f"{span.kind}-{index}"][1]
    own_time = widths["agitate"] + widths["stand"] + widths["drain"]  # the drain is inside
    assert widths["agitate"] / own_time == pytest.approx(0.5, abs=1e-4)


def test_moving_stands_tall_and_standing_low() -> None:
    heights = {id_.split("-")[0]: height for id_, (_, _, height) in bars(PLAN).items()}
    assert heights["agitate"] > 1.5 * heights["drain"] > 3 * heights["stand"]


def test_the_dark_is_as_long_as_it_is_dark() -> None:
    timeline, drawn = plans.shown(PLAN).timeline, bars(PLAN)
    dark_ms = sum(step.end_ms - step.start_ms for step in timeline.steps if step.dark)
    dark = sum(width for id_, (_, width, _) in drawn.items() if id_.startswith("dark"))
    light = sum(width for id_, (_, width, _) in drawn.items() if id_.startswith("light"))
    assert dark / (dark + light) == pytest.approx(dark_ms / timeline.duration_ms, abs=1e-5)


@pytest.mark.parametrize("name", plans.NAMES)
def test_labels_keep_clear_of_each_other(name: str) -> None:
    shown = plans.shown(name)
    page = picture(shown.timeline, shown.rows)
    boxes = [box for _, box in plans.extents(page.figure)]
    for index, box in enumerate(boxes):
        assert 0 < box.x0 < box.x1 < page.width
        assert 0 < box.y0 < box.y1 < page.height
        assert not any(box.covers(other) for other in boxes[:index])


def test_the_same_plan_gives_the_same_picture_on_another_day(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "0")
    first = svg(PLAN)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    assert svg(PLAN) == first


@pytest.mark.parametrize("name", [PLAN, "tray-six-sheets", "long-stand"])
def test_the_key_is_a_sample_of_the_drawing(name: str) -> None:
    drawn = shapes(name)
    heights = {id_.split("-")[0]: height for id_, (_, _, height) in bars(name).items()}
    assert drawn["key-stand"][2] == pytest.approx(heights["stand"])
    assert drawn["key-dark"][2] == pytest.approx(heights["dark"])
    assert drawn["key-agitate"][2] > 1.5 * drawn["key-transfer"][2] > 2.5 * drawn["key-stand"][2]


def test_the_key_tells_what_is_drawn_and_no_more() -> None:
    assert "key-hand" in shapes(PLAN)
    assert "key-hand" not in shapes("one")
    assert "key-stand" not in shapes("one")
    assert {"key-dark", "key-light"} & shapes("one").keys() == {"key-light"}  # never dark


@pytest.mark.parametrize("name", plans.NAMES)
def test_every_tick_has_its_time_and_the_end_too(name: str) -> None:
    shown = plans.shown(name)
    page = picture(shown.timeline, shown.rows)
    left, width = 36.0, page.width - 72.0
    ticks = [line.get_xdata()[0] for line in page.figure.artists if _is_tick(line)]
    told = {text.get_text() for text, _ in plans.extents(page.figure)}
    times = [round((x - left) / width * shown.timeline.duration_ms) for x in ticks]
    assert times[0] == 0
    assert times[-1] == shown.timeline.duration_ms
    assert len(times) >= 3
    assert {clock(at_ms) for at_ms in times} <= told


def _is_tick(artist: object) -> bool:
    return isinstance(artist, Line2D) and abs(np.diff(artist.get_ydata())[0] - 4) < 1e-6
