"""Film, vessels and measures against figures of standards, the trade and a unit library.

Marks: P read in a published source or a public copy of it, C computed from published constants,
T common practice with no source, M from memory.
"""

import pint
import pytest

from darktimer.bench.film import load
from darktimer.bench.unit_system import IMPERIAL, US
from darktimer.bench.vessel import rectangle, spiral_tank, standing, tub
from darktimer.plan.formats import FORMATS, ROLL_M2

FOOT_MM = 304.8
UNITS = pint.UnitRegistry()


def test_widths_as_quoted() -> None:
    """M: 0.628, 0.314 and 1.377 in, as the standards of motion-picture film give them in inches."""
    for name, inches in (("16 mm", 0.628), ("8 mm type S", 0.314), ("35 mm", 1.377)):
        metre = load(name, length_mm=1000)
        assert metre.area_m2 * 1000 == pytest.approx(inches * 25.4, abs=0.005), name
    assert FORMATS["135-36"].width_mm == FORMATS["35 mm"].width_mm


def test_frames_of_a_cassette() -> None:
    """C: eight perforations of 0.187 in (M) for a frame; twelve frames more are so much longer."""
    frame_mm = 8 * 0.187 * 25.4
    for more, less in (("135-36", "135-24"), ("135-24", "135-12")):
        longer = load(more).area_m2 - load(less).area_m2
        assert longer * 1e6 == pytest.approx(12 * frame_mm * 34.98, rel=1e-3)


@pytest.mark.parametrize("name", [name for name in FORMATS if "x" in name])
def test_a_sheet_is_as_large_as_it_is_called(name: str) -> None:
    sides, unit = name.split()
    metres = UNITS.Quantity(1.0, unit).to("m").magnitude
    short, long = (float(side) * metres for side in sides.split("x"))
    assert load(name, 3).area_m2 == pytest.approx(3 * short * long)


def test_100_ft_of_16_mm() -> None:
    """C: 0.4862 m2, 9.42 rolls, 63 ml displaced at 0.13 mm."""
    film = load("16 mm", length_mm=100 * FOOT_MM)
    assert film.area_m2 == pytest.approx(0.4862, abs=1e-4)
    assert film.rolls == pytest.approx(9.42, abs=0.01)
    assert film.displaced_ml == pytest.approx(63, abs=0.5)


def test_50_ft_of_8_mm() -> None:
    """C: 0.1216 m2, 2.36 rolls."""
    film = load("8 mm type S", length_mm=50 * FOOT_MM)
    assert film.area_m2 == pytest.approx(0.1216, abs=1e-4)
    assert film.rolls == pytest.approx(2.36, abs=0.01)


@pytest.mark.parametrize(
    ("name", "pieces", "within"),
    [("135-36", 1, 0.002), ("120", 1, 0.04), ("4x5 in", 4, 1e-9), ("8x10 in", 1, 1e-9)],
)
def test_80_square_inches_are_one_roll(name: str, pieces: int, within: float) -> None:
    """T: a rule of the trade; C: a 120 by its own measures comes out 3 % less."""
    assert pytest.approx(0.0516, abs=5e-5) == ROLL_M2
    assert load(name, pieces).area_m2 == pytest.approx(ROLL_M2, rel=within)


def test_double_8_keeps_its_area_when_it_is_slit() -> None:
    """T: 25 ft, 16 mm wide, become 50 ft, 8 mm wide."""
    before = load("double-8", length_mm=25 * FOOT_MM)
    after = load("8 mm type R", length_mm=50 * FOOT_MM)
    assert after.area_m2 == pytest.approx(before.area_m2)


def test_film_in_a_small_spiral_tank() -> None:
    """M: about 300 ml for a 135 reel, 500 ml for a 120 reel."""
    assert spiral_tank(["135"] * 2).cover_ml == 600
    assert spiral_tank(["120"]).cover_ml == 500


def test_a_litre_in_a_tray_for_8x10() -> None:
    """C: 2 cm deep."""
    assert standing(rectangle(203.2, 254), 20, "tray").cover_ml == pytest.approx(1000, rel=0.05)


def test_a_bucket_for_100_ft_of_16_mm() -> None:
    """T: about 4 l, and it may still not cover."""
    bucket = tub(load("16 mm", length_mm=100 * FOOT_MM), 400)
    assert bucket.cover_ml == pytest.approx(4000, rel=0.01)
    assert bucket.warning


@pytest.mark.parametrize(
    ("unit", "base", "quoted", "shown"),
    [
        ("fluid_ounce", "ml", 29.574, US.volume),  # P: the US fluid ounce
        ("imperial_fluid_ounce", "ml", 28.413, IMPERIAL.volume),  # P: the imperial one
        ("ounce", "g", 28.350, US.mass),  # P: the avoirdupois ounce
    ],
)
def test_ounces_of_three_kinds(unit: str, base: str, quoted: float, shown) -> None:
    """The quoted figure, the unit library, and what is shown of it agree on one ounce."""
    assert UNITS.Quantity(1, unit).to(base).magnitude == pytest.approx(quoted, abs=1e-3)
    assert shown(quoted).startswith("1 ")
