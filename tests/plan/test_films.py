"""Which films a plan is for, exposed how, and several of them in one vessel."""

from pathlib import Path

import pytest

from darktimer.bench.fit import misfits
from darktimer.bench.plan_inputs import film_of, known_vessel
from darktimer.plan.model import Plan
from darktimer.plan.reader import read_plan_text
from darktimer.process.compiler import compile_plan
from darktimer.units import exposure_index

TANK = "kind: spiral tank, light: closed"
TRAY = "kind: tray, light: open"
ROLLS = "films: [{format: 135-36}, {format: 120, count: 2}]"
SHEETS = "films: [{format: 4x5 in, sheets: 4}, {format: 8x10 in, sheets: 2}]"
CINE = "films: [{format: 16 mm, length: 10 m}, {format: 8 mm type S, length: 5 m}]"


def plan(films: str, vessel: str = TANK, agitation: str = "continuous") -> Plan:
    text = f"title: A\n{films}\nvessel: {{{vessel}}}\nsteps:\n  - load: by hand\n"
    text += f"  - develop: 8 min\n    agitation: {agitation}\n  - fix: 8 min\n"
    return read_plan_text(text, Path("a.yaml")).plan


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("200", "200/24°"),
        ("24°", "200/24°"),
        ("200/24°", "200/24°"),
        ("250", "250/25°"),
    ],
)
def test_an_exposure_index_is_one_however_it_is_written(written: str, words: str) -> None:
    """S degrees = 1 + 10 lg S: ISO 6:1993 as quoted; 200 is 24 degrees there."""
    (film,) = plan(f"film: {{format: '120', exposed at: {written}}}").films
    assert exposure_index(film.exposed_at or 0) == words


def test_what_is_said_of_a_film() -> None:
    (film,) = plan(
        "film: {format: 135-36, stock: meadow 100, exposed at: 50, note: the fair}"
    ).films
    assert (film.words, film.stock, film.exposed_at) == ("1 x 135-36", "meadow 100", 18)
    assert film.note == "the fair"
    assert plan("").films == ()


def test_each_film_is_counted() -> None:
    """T: a 135-36 is a roll of 80 square inches; C: a 120 is 61 mm x 820 mm."""
    film, vessel = film_of(plan(ROLLS)), known_vessel(plan(ROLLS))
    assert film.pieces == 3
    assert film.area_m2 == pytest.approx(80 * 0.0254**2 + 2 * 0.061 * 0.820)
    assert vessel is not None
    assert vessel.cover_ml == 300 + 2 * 500  # M: a reel of 135 takes 300 ml, one of 120 500 ml
    four_reels = known_vessel(plan(ROLLS, f"{TANK}, reels: 4"))
    assert four_reels is not None
    assert four_reels.cover_ml == 300 + 3 * 500


def test_a_coil_is_covered_by_the_widest_of_them() -> None:
    """C: 16 mm film stands 15.95 mm high, with 10 mm of bath over it, on 400 cm2."""
    vessel = known_vessel(plan(CINE, "kind: tub, light: open, size: 20 x 20 cm"))
    assert vessel is not None
    assert vessel.cover_ml == pytest.approx(max(400 * 2.595, (0.1595 + 0.03988) * 4000 / 0.4862))


@pytest.mark.parametrize(
    ("films", "vessel", "words"),
    [
        (ROLLS, f"{TANK}, reels: 2, volume: 2 l", ["3 rolls, and 2 reels"]),
        (ROLLS, f"{TANK}, reels: 3, volume: 2 l", []),
        (ROLLS, f"{TANK}, holds: 2, volume: 2 l", ["the film is more than the vessel holds"]),
        (ROLLS, f"{TANK}, holds: 3, volume: 2 l", []),
        (CINE, f"{TANK}, holds: 14.9 m, volume: 2 l", ["the film is more than the vessel holds"]),
        (CINE, f"{TANK}, holds: 15 m, volume: 2 l", []),
        (CINE, f"{TANK}, holds: 3, volume: 2 l", ["16 mm film needs a length here"]),
        (SHEETS, f"{TRAY}, size: 20 x 25 cm", ["a sheet of 8x10 in is larger than the tray"]),
        (SHEETS, f"{TRAY}, size: 9 x 11 in", []),
        (ROLLS, f"{TANK}, volume: 900 ml", ["1.3 l are usual for this film (spiral tank)"]),
    ],
)
def test_what_fits_is_asked_of_all_of_them(films: str, vessel: str, words: list[str]) -> None:
    assert [each.found for each in misfits(plan(films, vessel))] == words


def test_sheets_of_two_kinds_go_through_a_tray_one_after_another() -> None:
    together = plan(SHEETS, TRAY, "{shuffle each: 5 s}")
    assert together.sheets == 6
    alone = plan("film: {format: 4x5 in, sheets: 6}", TRAY, "{shuffle each: 5 s}")
    assert compile_plan(together, lambda _: 500) == compile_plan(alone, lambda _: 500)
    assert plan(SHEETS, "kind: tub, light: open").sheets == 0
