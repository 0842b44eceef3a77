"""An estimate of a bath's pH from what was dissolved in it, with its uncertainty.

Knows the equilibria of the common acids and the activity of their ions. Knows nothing of plants and
drinks, whose acids nobody has measured: with them in the bath the pH is a highest one. Nor does it
know what the air and the film do to a bath; so what it returns is an estimate, for warnings, and
never a measurement. Its uncertainty is held against an independent
solver, `tests/outside/pitzer.py`.
"""

from collections.abc import Callable, Mapping, Sequence
from math import ceil, sqrt
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from darktimer.bench.rate import ZERO_CELSIUS_K, kelvin

#: Davies' equation is trusted up to here, mol/l.
TRUSTED_IONIC_STRENGTH: Final = 0.5
#: Below each ionic strength, mol/l, the estimate holds within so much; beyond, within half a unit.
#: Carbonate alone keeps to 0.1 up to 0.2 mol/l, borax does not.
_UNCERTAINTIES: Final = ((0.1, 0.1), (TRUSTED_IONIC_STRENGTH, 0.2))
UNCERTAINTY_STRONG: Final = 0.5

#: Where a carbonate developer usually works; rules of thumb, with no source.
LOW_PH: Final = 9.5
HIGH_PH: Final = 11.0
FOGS_PH: Final = 12.5  # whatever the developer is made of; common practice, no source


class _Acid(NamedTuple):
    """``charge`` when it holds all its protons, and the pK of each it can lose, by kelvin."""

    charge: int
    pk: Callable[[float], tuple[float, ...]] = lambda _: ()


def _fixed(*pk: float) -> Callable[[float], tuple[float, ...]]:
    return lambda _: pk


def _carbonic(temperature_k: float) -> tuple[float, ...]:
    """Harned & Davis 1943 and Harned & Scholes 1941, from memory; checked against buffers."""
    first = 3404.71 / temperature_k - 14.8435 + 0.032786 * temperature_k
    second = 2902.39 / temperature_k - 6.4980 + 0.02379 * temperature_k
    return first, second


def _boric(temperature_k: float) -> tuple[float, ...]:
    """Owen 1934, from memory; checked against buffers."""
    return (2237.94 / temperature_k - 3.305 + 0.016883 * temperature_k,)


#: From memory, at 25 C and no ionic strength; only carbonic and boric ones follow temperature.
_ACIDS: Final[Mapping[str, _Acid]] = MappingProxyType(
    {
        "sodium": _Acid(1),
        "potassium": _Acid(1),
        "ammonium": _Acid(1, _fixed(9.25)),
        "carbonate": _Acid(0, _carbonic),
        "ascorbate": _Acid(0, _fixed(4.10, 11.7)),
        "citrate": _Acid(0, _fixed(3.13, 4.76, 6.40)),
        "acetate": _Acid(0, _fixed(4.76)),
        "borate": _Acid(0, _boric),
        "sulphite": _Acid(0, _fixed(1.86, 7.17)),
        "thiosulphate": _Acid(-2),
        "chloride": _Acid(-1),
        "bromide": _Acid(-1),
    }
)


def charge_of(ion: str, ph: float) -> int:
    """The charge that most of an ion carries at ``ph`` and 25 C."""
    acid = _ACIDS[ion]
    return acid.charge - sum(pk < ph for pk in acid.pk(kelvin(25.0)))


class Acidity(NamedTuple):
    """``ph`` within ``uncertainty``, estimated; ``ionic_strength`` in mol/l.

    ``unmeasured`` names what is in the bath besides, with acids nobody has measured: by them the pH
    is lower, so that ``ph`` is the highest that it can be. ``uncounted`` names what may shift it
    either way, such as whatever else is in tablets.
    """

    ph: float
    uncertainty: float
    ionic_strength: float
    unmeasured: tuple[str, ...] = ()
    uncounted: tuple[str, ...] = ()

    def text(self) -> str:
        """Always with the uncertainty, and always as an estimate."""
        most = "at most " if self.unmeasured else ""
        said = f"estimated pH {most}{self.ph:.1f} (within {self.uncertainty:g})"
        if self.unmeasured:
            said += f", lowered by unmeasured acids in {' and '.join(self.unmeasured)}"
        if self.uncounted:
            said += f", not counting what else is in the {' and '.join(self.uncounted)}"
        return said

    def warning(self, with_carbonate: bool) -> str:
        """What a developer at this pH would do to the film; empty where it is usual."""
        kind = "a carbonate developer" if with_carbonate else "a developer"
        if with_carbonate and self.ph < LOW_PH:
            return f"{self.text()}: too low for {kind}, expect underdevelopment"
        if self.ph > (HIGH_PH if with_carbonate else FOGS_PH):
            sure = "perhaps too high" if self.unmeasured else "too high"
            return f"{self.text()}: {sure} for {kind}, expect fog"
        return ""


def estimate(parts: Mapping[str, float], celsius: float = 25.0) -> Acidity:
    """pH of a solution of ``parts``, mol/l of each ion or acid taken whole, at ``celsius``.

    Charge balance, activities after Davies (1962), Debye-Hueckel slope from the permittivity of
    water after Malmberg & Maryott (1956).
    """
    temperature_k = kelvin(celsius)
    strength = 0.1
    for _ in range(60):
        ph = _balanced_ph(parts, temperature_k, strength)
        found = _moments(parts, temperature_k, strength, ph)[1] / 2
        if abs(found - strength) < 1e-9:
            break
        strength = found
    within = (limit for beyond, limit in _UNCERTAINTIES if strength < beyond)
    return Acidity(ph, next(within, UNCERTAINTY_STRONG), strength)


def worst_off(ph: Callable[..., float], loose: Sequence[tuple[Any, float]]) -> float:
    """How far a pH may be off where amounts are: all of them so as to raise it, or to lower it.

    ``ph`` tells it with some of each pair of ``loose`` added, a substance and how much that may be
    off by either way. An amount may raise the pH or lower it, so each is tried by itself first.
    """
    if not loose:
        return 0.0
    middle = ph()
    raising = [(what, off if ph((what, off)) > middle else -off) for what, off in loose]
    lowering = [(what, -off) for what, off in raising]
    return max(ph(*raising) - middle, middle - ph(*lowering))


def tenths_up(uncertainty: float) -> float:
    """An uncertainty in tenths, never less than it is."""
    return ceil(10 * uncertainty - 1e-6) / 10


def _balanced_ph(parts: Mapping[str, float], temperature_k: float, strength: float) -> float:
    """The pH at which charges cancel: net charge falls with pH, so halving an interval finds it."""
    low, high = -2.0, 16.0
    while high - low > 1e-9:
        middle = (low + high) / 2
        if _moments(parts, temperature_k, strength, middle)[0] > 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _moments(
    parts: Mapping[str, float], temperature_k: float, strength: float, ph: float
) -> tuple[float, float]:
    """Sums of c z and of c z^2 over every ion, mol/l."""
    one = _log_activity(1, temperature_k, strength)
    hydrogen, hydroxide = 10 ** (-ph - one), 10 ** (ph - _pk_water(temperature_k) - one)
    charge, square = hydrogen - hydroxide, hydrogen + hydroxide
    for name, total in parts.items():
        acid = _ACIDS[name]
        for lost, share in enumerate(_shares(acid, temperature_k, strength, ph)):
            z = acid.charge - lost
            charge += total * share * z
            square += total * share * z * z
    return charge, square


def _shares(acid: _Acid, temperature_k: float, strength: float, ph: float) -> list[float]:
    """Shares of an acid that have lost 0, 1, 2... protons; they sum to 1."""
    logs = [0.0]
    for lost, pk in enumerate(acid.pk(temperature_k)):
        z = acid.charge - lost
        gained = _log_activity(z, temperature_k, strength) - _log_activity(
            z - 1, temperature_k, strength
        )
        logs.append(logs[-1] + ph - pk + gained)
    top = max(logs)
    weights = [10 ** (value - top) for value in logs]
    whole = sum(weights)
    return [weight / whole for weight in weights]


def _log_activity(charge: int, temperature_k: float, strength: float) -> float:
    """log10 of the activity coefficient after Davies (1962): -A z^2 (s/(1+s) - 0.3 I), s = sqrt I.

    The term in I is held at the end of the trusted range: left to grow, it turns the coefficients
    back towards 1 in the very baths where those of carbonate are known to go on falling.
    """
    root = sqrt(strength)
    held = min(strength, TRUSTED_IONIC_STRENGTH)
    return -_slope(temperature_k) * charge**2 * (root / (1 + root) - 0.3 * held)


def _slope(temperature_k: float) -> float:
    """The Debye-Hueckel slope A, l^0.5/mol^0.5: 0.51 at 25 C."""
    t = temperature_k - ZERO_CELSIUS_K
    permittivity = 87.740 - 0.40008 * t + 9.398e-4 * t**2 - 1.410e-6 * t**3
    return float(1.8246e6 / (permittivity * temperature_k) ** 1.5)


def _pk_water(temperature_k: float) -> float:
    """Harned & Owen, from memory; 14.00 at 25 C."""
    return 4470.99 / temperature_k - 6.0875 + 0.01706 * temperature_k
