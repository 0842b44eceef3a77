"""Every factor of `darktimer.units`, held against pint, a general-purpose library of units."""

from collections.abc import Callable, Mapping

import pint
import pytest

from darktimer import units
from darktimer.bench.unit_system import IMPERIAL, US, UnitSystem, figures

PINT = pint.UnitRegistry()
VOLUMES = {
    **{name: name for name in ("ml", "cl", "dl", "l", "litre", "litres", "liter", "liters")},
    "us fl oz": "US_fluid_ounce",
    "us pint": "US_pint",
    "us quart": "US_liquid_quart",
    "us gallon": "US_liquid_gallon",
    "imperial fl oz": "imperial_fluid_ounce",
    "imperial pint": "imperial_pint",
    "imperial quart": "imperial_quart",
    "imperial gallon": "imperial_gallon",
}
MASSES = {"mg": "mg", "g": "g", "kg": "kg", "avoirdupois oz": "ounce", "lb": "pound"}
LENGTHS = {
    "mm": "mm",
    "cm": "cm",
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "metre"),
    **dict.fromkeys(("in", "inch", "inches"), "inch"),
    **dict.fromkeys(("ft", "foot", "feet"), "foot"),
}
TIMES = {
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), "hour"),
    **dict.fromkeys(("min", "mins", "minute", "minutes", "m", "'", "′"), "minute"),
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds", '"', "″"), "second"),
    "ms": "millisecond",
}
#: How each kind of quantity is read, into what, our names with pint's, and our factors.
KINDS: list[tuple[Callable[[str], float], str, Mapping[str, str], Mapping[str, float]]] = [
    (units.volume_ml, "ml", VOLUMES, units.ML),
    (units.mass_g, "g", MASSES, units.G),
    (units.length_m, "m", LENGTHS, units._M),
    (units.duration_ms, "ms", TIMES, units._MS),
]


@pytest.mark.parametrize(("read", "into", "names", "factors"), KINDS)
def test_factors_are_those_of_pint(
    read: Callable[[str], float],
    into: str,
    names: Mapping[str, str],
    factors: Mapping[str, float],
) -> None:
    assert names.keys() == factors.keys()
    for ours, theirs in names.items():
        expected = PINT.Quantity(7, theirs).to(into).magnitude
        assert read(f"7 {ours}") == pytest.approx(expected, rel=1e-9), ours


@pytest.mark.parametrize("fahrenheit", [-40, 32, 63, 68, 70, 80, 212])
def test_fahrenheit_is_that_of_pint(fahrenheit: int) -> None:
    expected = PINT.Quantity(fahrenheit, "degF").to("degC").magnitude
    assert units.temperature_celsius(f"{fahrenheit} F") == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("measures", "ml", "unit"),
    [
        (US, 500.0, "US_fluid_ounce"),
        (US, 3000.0, "US_liquid_quart"),
        (IMPERIAL, 500.0, "imperial_fluid_ounce"),
        (IMPERIAL, 3000.0, "imperial_pint"),
    ],
)
def test_what_is_shown_is_what_pint_says(measures: UnitSystem, ml: float, unit: str) -> None:
    expected = PINT.Quantity(ml, "ml").to(unit).magnitude
    assert measures.volume(ml).split()[0] == figures(expected)
    ounces = PINT.Quantity(ml, "g").to("ounce").magnitude
    assert measures.mass(ml) == f"{figures(ounces, 4)} avoirdupois oz"
    assert (
        US.temperature(ml / 10) == f"{PINT.Quantity(ml / 10, 'degC').to('degF').magnitude:.1f} °F"
    )


def test_seventy_fahrenheit_is_not_twenty_one_celsius() -> None:
    # 70 F = 21.1 C: computed, and a trap of nearly every published table.
    assert round(units.temperature_celsius("70 F"), 1) == 21.1
