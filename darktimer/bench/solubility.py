"""How much of a substance stays dissolved at the bath's temperature.

Knows sodium carbonate and bicarbonate and borax, which home-mixed baths come near the limit of. Of
others it knows no limit, and says so by None.
"""

from collections.abc import Mapping
from itertools import pairwise
from math import exp, log
from typing import Final

from darktimer.bench.substances import FORMS, Form, moles
from darktimer.bench.unit_system import METRIC, UnitSystem

#: Degrees Celsius and g/l of water, of the form named. The carbonate's are Wikipedia's, Sodium
#: carbonate. The others are from memory of the tables in the CRC Handbook of Chemistry and Physics;
#: the tests hold them at 25 C against Harvie, Moller & Weare 1984 (bicarbonate) and Felmy & Weare
#: 1986 (borax).
_LIMITS: Final[Mapping[str, tuple[str, tuple[tuple[float, float], ...]]]] = {
    "carbonate": (
        "sodium carbonate anhydrous",
        ((0.0, 70.0), (15.0, 164.0), (27.8, 341.0), (34.8, 487.0)),
    ),
    "bicarbonate": (
        "baking soda",
        ((0.0, 69.0), (10.0, 81.5), (20.0, 96.0), (30.0, 111.0), (40.0, 127.0)),
    ),
    "borate": (
        "borax decahydrate",
        ((0.0, 20.0), (10.0, 31.0), (20.0, 48.0), (30.0, 75.0), (40.0, 119.0)),
    ),
}


def limit_g_per_l(form: Form, celsius: float) -> float | None:
    """Grams of ``form`` that dissolve in a litre at ``celsius``; None where no limit is known.

    Within about 5 %, by straight lines in the logarithm between known points; above the last of
    them the last holds.
    """
    if form.acts not in _LIMITS or "potassium" in form.parts:
        return None
    name, points = _LIMITS[form.acts]
    return _between(points, celsius) * moles(FORMS[name], 1.0) / moles(form, 1.0)


def _between(points: tuple[tuple[float, float], ...], celsius: float) -> float:
    for (cold, less), (warm, more) in pairwise(points):
        if celsius <= warm:
            share = (celsius - cold) / (warm - cold)
            return exp(log(less) + share * (log(more) - log(less)))
    return points[-1][1]


def undissolved(form: Form, g_per_l: float, celsius: float, say: UnitSystem = METRIC) -> str:
    """What is wrong where more is asked for than dissolves, with the limit; empty where it does."""
    limit = limit_g_per_l(form, celsius)
    if limit is None or g_per_l <= limit:
        return ""
    return (
        f"{say.strength(g_per_l)} of {form.name} do not dissolve at {say.temperature(celsius)}: "
        f"about {say.strength(limit)} do"
    )
