"""Edges of what a plan asks of the bench: film in its vessel, baths, times, each worked by hand.

Marks: P read in a published source or a public copy of it, C computed, T common practice with no
source, M from memory.
"""

from pathlib import Path

import pytest

from darktimer.bench.develop_time import develop_times
from darktimer.bench.fit import misfits
from darktimer.bench.plan_inputs import bath_celsius, bath_uses, film_of, known_vessel, vessel_of
from darktimer.bench.unit_system import METRIC
from darktimer.errors import FindingsError
from darktimer.plan.model import Plan
from darktimer.plan.reader import read_plan_text

STEPS = "  - load: by hand\n  - soak: 1 min\n"
TANK = "kind: spiral tank, light: closed"
TRAY = "kind: tray, light: open, volume: 1 l"
ROLL = "format: 135-36, count: 1"
SHEETS = "format: 4x5 in, sheets: 2"


def plan(vessel: str = TANK, film: str = ROLL, steps: str = STEPS, more: str = "") -> Plan:
    text = f"title: A\n{more}vessel: {{{vessel}}}\n"
    text += f"film: {{{film}}}\n" if film else ""
    return read_plan_text(f"{text}steps:\n{steps}", Path("a.yaml")).plan


def doubts(vessel: str, film: str = ROLL) -> list[str]:
    return [f"{each.path[1]}: {each.found}; {each.remedy}" for each in misfits(plan(vessel, film))]


@pytest.mark.parametrize(
    ("vessel", "film"),
    [
        (f"{TRAY}, size: 4 x 5 in", SHEETS),
        (f"{TRAY}, size: 5 x 4 in", SHEETS),
        (f"{TRAY}, diameter: 16.27 cm", SHEETS),  # C: sqrt(101.6^2 + 127^2) is 162.64 mm
        ("kind: tub, light: open, size: 1 x 1 cm", SHEETS),  # how sheets stand in it is not known
        (f"{TANK}, reels: 2, holds: 2, volume: 600 ml", "format: 135-36, count: 2"),
        (f"{TANK}, reels: 1, volume: 1 l", "format: 16 mm, length: 10 m"),
        (f"{TANK}, holds: 10 m, volume: 1 l", "format: 16 mm, length: 10 m"),
        (f"{TANK}, volume: 240 ml", ROLL),  # T: four fifths of what is usual
        ("kind: drum, light: closed, volume: 68 ml", ROLL),  # C: a roll displaces 6.71 ml
        (f"{TANK}, holds: 1, volume: 1 ml", ""),
    ],
)
def test_what_just_fits(vessel: str, film: str) -> None:
    assert doubts(vessel, film) == []


@pytest.mark.parametrize(
    ("vessel", "film", "words"),
    [
        (f"{TRAY}, size: 3.99 x 5 in", SHEETS, "size: a sheet of 4x5 in is larger than the tray"),
        (f"{TRAY}, size: 4.99 x 4.5 in", SHEETS, "size: a sheet of 4x5 in is larger"),
        (f"{TRAY}, diameter: 16.26 cm", SHEETS, "diameter: a sheet of 4x5 in is 163 mm from"),
        (f"{TANK}, reels: 1, volume: 1 l", "format: 135-36, count: 2", "reels: 2 rolls, and 1"),
        (f"{TANK}, holds: 1, volume: 1 l", "format: 135-36, count: 2", "holds: the film is more"),
        (f"{TANK}, holds: 9.9 m, volume: 1 l", "format: 16 mm, length: 10 m", "holds: the film is"),
        (f"{TANK}, holds: 5 m, volume: 1 l", ROLL, "needs how many pieces here; write such as hol"),
        (
            f"{TANK}, holds: 2, volume: 1 l",
            "format: 16 mm, length: 1 m",
            "film needs a length here",
        ),
        (f"{TANK}, volume: 239 ml", ROLL, "volume: 300 ml are usual for this film (spiral tank)"),
        (f"{TANK}, volume: 239 ml", ROLL, "61 ml too small"),
        ("kind: drum, light: closed, volume: 67 ml", ROLL, "film alone takes up 6.71 ml of 67 ml"),
    ],
)
def test_what_just_does_not(vessel: str, film: str, words: str) -> None:
    (doubt,) = doubts(vessel, film)
    assert words in doubt


def test_the_largest_vessel_that_hands_fill() -> None:
    largest = plan(f"{TANK}, volume: 1000 l")
    assert vessel_of(largest, film_of(largest)).cover_ml == 1e6
    beyond = plan("kind: tray, light: open, size: 9.99 x 9.99 m, depth: 10.03 mm", SHEETS)
    with pytest.raises(FindingsError, match="takes 1000 l; look at them again: the most is 1000 l"):
        vessel_of(beyond, film_of(beyond))


def test_film_as_a_plan_writes_it() -> None:
    """C: a roll is 80 square inches, four sheets of 4x5 in are another; 15.95 mm x 10 m."""
    assert film_of(plan(film="format: 135-36")).rolls == pytest.approx(1)
    assert film_of(plan(film="format: 135-36, count: 3")).rolls == pytest.approx(3)
    assert film_of(plan(film="format: 4x5 in, sheets: 4")).rolls == pytest.approx(1)
    assert film_of(plan(film="format: 16 mm, length: 10 m")).area_m2 == pytest.approx(0.1595)
    assert known_vessel(plan(film="")) is None
    with pytest.raises(FindingsError, match="the film is missing"):
        film_of(plan(film=""))


@pytest.mark.parametrize(
    ("vessel", "film", "cover_ml"),
    [
        (TANK, "format: 135-36, count: 2", 600),  # M: a reel of 135 takes 300 ml
        (f"{TANK}, reels: 3", "format: 135-36, count: 2", 900),
        (TANK, "format: 120", 500),  # M: and one of 120 half a litre
        ("kind: tray, light: open, size: 20 x 25 cm", SHEETS, 1000),  # T: 2 cm deep
        ("kind: tray, light: open, size: 20 x 25 cm, depth: 3 cm", SHEETS, 1500),
    ],
)
def test_what_a_vessel_asks_for(vessel: str, film: str, cover_ml: float) -> None:
    asked = known_vessel(plan(vessel, film))
    assert asked is not None
    assert asked.cover_ml == pytest.approx(cover_ml)


@pytest.mark.parametrize(
    ("vessel", "film"),
    [
        (TANK, SHEETS),
        ("kind: cylinder, light: open, diameter: 10 cm", ROLL),
        ("kind: tray, light: open", SHEETS),
        ("kind: drum, light: closed", ROLL),
    ],
)
def test_what_tells_no_volume(vessel: str, film: str) -> None:
    assert known_vessel(plan(vessel, film)) is None


TWICE = """\
  - load: by hand
  - develop: 10 min
    bath: brew
    agitation: 1/2
  - rinse: 1 min
    repeat: 3
  - develop: 5 min
    bath: Brew
    agitation: 1/2
"""


def test_steps_of_one_bath_come_together() -> None:
    brew, water = bath_uses(plan(steps=TWICE))
    assert (brew.name, brew.kind, brew.places, brew.fills) == ("brew", "develop", (1, 3), 2)
    assert (len(brew.steps), brew.is_water) == (2, False)
    assert (water.places, water.fills, water.is_water) == ((2,), 3, True)


def test_a_bath_without_a_temperature_has_twenty_degrees() -> None:
    none, cold = plan(steps=TWICE), plan(steps=TWICE, more="temperature: 1 C\n")
    assert bath_celsius(none, none.steps[1]) == 20
    assert bath_celsius(cold, cold.steps[1]) == 1


def develops(minutes: str, celsius: float, more: str = "") -> list:
    steps = f"  - load: by hand\n  - develop: {minutes}\n    agitation: continuous\n{more}"
    timed = plan(steps=steps, more=f"temperature: {celsius} C\n")
    return [*develop_times(timed, {}, None)]


@pytest.mark.parametrize(
    ("celsius", "told"),
    [
        (20, [16, 18, 22, 24]),
        (2, [0, 4, 6]),
        (1, [3, 5]),
        (98, [94, 96, 100]),
        (99, [95, 97]),
    ],
)
def test_the_temperatures_that_times_are_told_for(celsius: float, told: list[float]) -> None:
    (time,) = develops("10 min", celsius)
    assert [warm for warm, _ in time.elsewhere] == told
    assert (time.planned_ms, time.steady_ms, time.time_ms, time.alike_ms) == (600_000,) * 4
    assert (time.source, time.drifting, time.constant_ms, time.constant_from) == (1, None, 0, "")


def test_ten_seconds_is_the_least() -> None:
    """T: no film is put in and taken out again sooner; nor is a warmer bath told of then."""
    (time,) = develops("10 s", 20)
    assert [warm for warm, _ in time.elsewhere] == [16, 18]
    with pytest.raises(FindingsError, match="over in under 10 s; cool the bath"):
        develops("9.999 s", 20)


def test_two_days_are_the_most() -> None:
    (time,) = develops("48 h", 20)
    assert [warm for warm, _ in time.elsewhere] == [22, 24]


def test_a_time_for_another_temperature() -> None:
    """C: 60 kJ/mol between 20 and 24 C: exp(60/0.0083145 x (1/293.15 - 1/297.15)) is 1.393."""
    ask = "    time is for: 20 C\n    adjust: for temperature\n"
    (time,) = develops("10 min", 24, ask)
    assert time.time_ms == pytest.approx(600_000 / 1.393, abs=1000)
    assert time.time_ms % 1000 == 0
    assert [warm for warm, _ in time.elsewhere] == [22, 26, 28]
    assert (time.for_celsius, time.celsius, time.planned_ms) == (20, 24, 600_000)
    assert time.kj_per_mol == 60
    assert METRIC.temperature(time.celsius) == "24.0 °C"
