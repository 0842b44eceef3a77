"""How much of a substance stays dissolved at the bath's temperature.

Knows washing soda, the one that home-mixed baths come near the limit of. Of others it knows no
limit, and says so by None.
"""

from itertools import pairwise
from math import exp, log
from typing import Final

from darktimer.bench.refusal import BenchError
from darktimer.bench.substances import FORMS, Form, moles

#: Anhydrous sodium carbonate in water: degrees Celsius, g/l of water; figures of an encyclopaedia.
SODA_G_PER_L: Final = ((0.0, 70.0), (15.0, 164.0), (27.8, 341.0), (34.8, 487.0))


def soda_limit_g_per_l(celsius: float) -> float:
    """Anhydrous sodium carbonate that dissolves in a litre of water, g, within about 5 %.

    Straight lines in the logarithm between the known points; above the last of them the curve is
    flat, so the last holds. Raises `BenchError` below 0 C, where the water would be ice.
    """
    if not celsius >= SODA_G_PER_L[0][0]:
        raise BenchError("temperature", f"{celsius:g} C", "a bath is water: give 0 C or more")
    for (cold, less), (warm, more) in pairwise(SODA_G_PER_L):
        if celsius <= warm:
            share = (celsius - cold) / (warm - cold)
            return exp(log(less) + share * (log(more) - log(less)))
    return SODA_G_PER_L[-1][1]


def limit_g_per_l(form: Form, celsius: float) -> float | None:
    """Grams of ``form`` that dissolve in a litre at ``celsius``; None where no limit is known."""
    if form.acts != "carbonate" or "sodium" not in form.name:
        return None
    soda = FORMS["sodium carbonate anhydrous"]
    return soda_limit_g_per_l(celsius) * moles(soda, 1.0) / moles(form, 1.0)


def undissolved(form: Form, g_per_l: float, celsius: float) -> str:
    """What is wrong where more is asked for than dissolves, with the limit; empty where it does."""
    limit = limit_g_per_l(form, celsius)
    if limit is None or g_per_l <= limit:
        return ""
    return (
        f"{g_per_l:.0f} g/l of {form.name} do not dissolve at {celsius:g} C: about {limit:.0f} do"
    )
