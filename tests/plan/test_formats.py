"""Sizes of film: those with a name, sheets of any sides, and what is neither."""

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from darktimer.bench.film import load
from darktimer.errors import UnreadableError
from darktimer.plan.formats import FORMATS, format_called, format_name, measure_of
from darktimer.plan.reader import read_plan_file


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("120", "120"),
        ("18x24 cm", "18x24 cm"),
        ("18 x 24 cm", "18x24 cm"),
        ("7 by 17 IN", "7x17 in"),
        ("6.5×9cm", "6.5x9 cm"),
        ("2¼ x 3 1/4 in", "2.25x3.25 in"),
    ],
)
def test_a_format_has_one_name(written: str, name: str) -> None:
    assert format_name(written) == name


@pytest.mark.parametrize(
    ("written", "found", "remedy"),
    [
        ("13x18", "found '13x18'", "did you mean '13x18 cm'?"),
        ("8 mm", "found '8 mm'", "did you mean '8 mm type R'?"),
        ("tinplate", "found 'tinplate'", "or any other sheet by its sides, such as 7x17 in"),
        ("1.9x5 cm", "'1.9x5 cm' is not a size of sheet", "from 2 cm to 110 cm"),
        ("18x240 cm", "'18x240 cm' is not a size of sheet", "from 2 cm to 110 cm"),
        ("0x9 cm", "'0 cm' is not above zero", "write a length"),
    ],
)
def test_what_is_no_format_is_refused(written: str, found: str, remedy: str) -> None:
    with pytest.raises(UnreadableError) as refusal:
        format_name(written)
    assert found in refusal.value.found
    assert remedy in refusal.value.remedy


@pytest.mark.parametrize(
    ("name", "measure"),
    [("220", "count"), ("9.5 mm", "length"), ("7x17 in", "sheets"), ("nonsense", "count")],
)
def test_what_counts_a_format(name: str, measure: str) -> None:
    assert measure_of(name) == measure


def test_any_sheet_is_as_large_as_its_sides() -> None:
    """By hand: 7 x 17 in is 177.8 x 431.8 mm, and 119 square inches are 1.4875 rolls of 80."""
    assert format_called("7x17 in")[1:] == pytest.approx((177.8, 0.18, 431.8))
    assert load("7x17 in").rolls == pytest.approx(119 / 80)
    assert load("18x24 cm").area_m2 == pytest.approx(0.0432)
    assert load("2x110 cm").area_m2 == pytest.approx(0.022)


def test_long_and_wide_rolls() -> None:
    """Common practice: a 220 is twice a 120; widths of the rest as the formats are called."""
    assert load("220").area_m2 == pytest.approx(2 * load("120").area_m2)
    assert load("620") == load("120")
    assert load("127").area_m2 == pytest.approx(0.046 * 0.780)
    thin = {FORMATS[name].thickness_mm for name in ("120", "220", "620", "127")}
    assert thin == {0.11}
    widths = {"9.5 mm": 9.5, "65 mm": 64.97, "70 mm": 69.95}
    assert {name: FORMATS[name].width_mm for name in widths} == widths


def vessel_of(tmp_path: Path, **keys: str) -> Any:
    vessel = "".join(f", {key}: {value}" for key, value in keys.items())
    path = tmp_path / "plan.yaml"
    path.write_text(
        "title: T\nfilm: {format: 135-36, count: Two}\n"
        f"vessel: {{kind: tray, light: open{vessel}}}\n"
        "steps:\n  - load: ½ min\n  - develop: 10 1/2 min\n    agitation: ½\n    repeat: one\n"
    )
    return read_plan_file(path).plan


def test_numbers_are_read_as_cooks_and_callers_say_them(tmp_path: Path) -> None:
    """By hand: 8½ inches are 215.9 mm, and half of 10 1/2 min moves the film."""
    plan = vessel_of(tmp_path, size="8½ x 11 in", holds="two rolls")
    assert plan.films[0].pieces == 2
    assert [step.time_ms for step in plan.steps] == [30_000, 630_000]
    assert plan.steps[1].agitation.share == Fraction(1, 2)
    assert plan.vessel.size == pytest.approx((0.2159, 0.2794))
    assert plan.vessel.holds == (2, 0.0)


@pytest.mark.parametrize(
    ("written", "fill"),
    [
        ("1½ l", (1500, 1)),
        ("two of 1 1/2 l", (1500, 2)),
        ("Ten of ½ l", (500, 10)),
        ("3 x 500 ml", (500, 3)),
    ],
)
def test_a_vessel_may_be_several(tmp_path: Path, written: str, fill: tuple[float, int]) -> None:
    assert vessel_of(tmp_path, volume=written).vessel.volume == fill
