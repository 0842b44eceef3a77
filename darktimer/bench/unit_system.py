"""Volumes, masses and temperatures as a person reads them: metric, US or imperial.

Knows how to say a number in a unit that cannot be taken for another: never a bare ounce. Does not
read what people write.
"""

from math import floor, log10
from typing import Final, NamedTuple

from darktimer.bench.bench_error import BenchError
from darktimer.units import ML, G, degrees

#: The small and the large measure of a volume.
_FLUID: Final = {
    "US": ("US fl oz", "US quart"),
    "imperial": ("imperial fl oz", "imperial pint"),
}
_LEAST: Final = 0.001  # ml and g; no scale and no syringe of a bench shows less
_OUNCE: Final = "avoirdupois oz"
_FOOT_M: Final = 0.3048
_SQUARE_INCH_M2: Final = 0.0254**2


class UnitSystem(NamedTuple):
    """One way of saying amounts. ``system`` is "metric", "US" or "imperial"."""

    system: str

    def volume(self, volume_ml: float) -> str:
        """A volume given in ml, to three figures, or less than any kitchen measures."""
        if 0 < volume_ml < _LEAST:
            return f"less than {self._least('ml')}"
        if self.system == "metric":
            litres = round(abs(volume_ml)) >= 1000
            return f"{figures(volume_ml / 1000)} l" if litres else f"{figures(volume_ml)} ml"
        small, large = _FLUID[self.system]
        unit = large if volume_ml >= ML[large.lower()] else small
        return f"{figures(volume_ml / ML[unit.lower()])} {unit}"

    def mass(self, mass_g: float) -> str:
        """A mass given in g, to four figures, as finely as a scale shows it."""
        if 0 < mass_g < _LEAST:
            return f"less than {self._least('g')}"
        if self.system == "metric":
            return f"{figures(mass_g, 4)} g"
        return f"{figures(mass_g / G[_OUNCE], 4)} {_OUNCE}"

    def _least(self, unit: str) -> str:
        if self.system == "metric":
            return f"{_LEAST} {unit}"
        return f"0.0001 {_OUNCE if unit == 'g' else _FLUID[self.system][0]}"

    def temperature(self, celsius: float) -> str:
        """A temperature given in degrees Celsius; Fahrenheit in US measures only."""
        if self.system == "US":
            return f"{celsius * 1.8 + 32:.1f} °F"
        return degrees(celsius)

    def strength(self, g_per_l: float) -> str:
        """How much is dissolved in how much, given in g/l, to the whole gram in a litre."""
        if self.system == "metric":
            return f"{g_per_l:.0f} g/l"
        large = _FLUID[self.system][1]
        ounces = g_per_l / G[_OUNCE] * ML[large.lower()] / 1000
        return f"{figures(ounces)} {_OUNCE} in a {large}"

    def length(self, length_m: float) -> str:
        """A length given in m: in the small measure where it is under one of the large."""
        if self.system == "metric":
            return f"{length_m:.3g} m" if length_m >= 1 else f"{1000 * length_m:.0f} mm"
        feet = length_m / _FOOT_M
        return f"{figures(feet)} ft" if feet >= 1 else f"{figures(12 * feet)} in"

    def area(self, area_m2: float) -> str:
        """An area given in m2."""
        if self.system == "metric":
            return f"{area_m2:.4f} m2"
        return f"{figures(area_m2 / _SQUARE_INCH_M2)} sq in"

    def on_film(self, g_per_m2: float) -> str:
        """What lies on film, given in g/m2, to two figures."""
        if self.system == "metric":
            return f"{figures(g_per_m2, 2)} g/m2"
        return f"{figures(1000 * g_per_m2 * _SQUARE_INCH_M2, 2)} mg/sq in"


METRIC: Final = UnitSystem("metric")
US: Final = UnitSystem("US")
IMPERIAL: Final = UnitSystem("imperial")
_KNOWN: Final = {measures.system.lower(): measures for measures in (METRIC, US, IMPERIAL)}


def unit_system_named(name: str) -> UnitSystem:
    """The measures called ``name``, in any case. Raises `BenchError` for any other name."""
    try:
        return _KNOWN[name.lower()]
    except KeyError:
        allowed = ", ".join(measures.system for measures in _KNOWN.values())
        raise BenchError("measures", f"no {name!r}", f"write one of: {allowed}") from None


def figures(value: float, digits: int = 3) -> str:
    """``value`` to so many significant figures, never with an exponent: 1234.5 -> "1230"."""
    if value == 0:
        return "0"
    places = digits - 1 - floor(log10(abs(value)))
    rounded = round(value, places)
    shown = f"{rounded:.{max(places, 0)}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown
