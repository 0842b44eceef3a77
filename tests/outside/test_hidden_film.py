"""A film that the program knows nothing of, exposed, developed and read: where is its time?

Two films, made by models other than the ones that are fitted. One is of grains: classes of them
that need more or less light, each with its own rate, each grain developed at the end of a start
that differs from grain to grain (a gamma distribution). The other has a toe and a shoulder, and a
gamma that grows as t^n / (t^n + tau^n). Readings have noise and are rounded to 0.01. What is true
of a film is reckoned from its model with scipy, apart from the program.
"""

from collections.abc import Callable

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import gamma as gamma_distribution
from scipy.stats import norm

from darktimer.sensitometry.curve import contrast_index
from darktimer.sensitometry.estimate import Estimate
from darktimer.sensitometry.measures import along, straight
from darktimer.sensitometry.refusal import SensitometryError
from darktimer.sensitometry.strip import Strip, strip, tablet
from darktimer.sensitometry.time_law import Piece
from darktimer.sensitometry.wanted import time_curve, time_for

MINUTE = 60_000
SEEDS = 40
STEPS = np.arange(21) * 0.15
FINE = np.linspace(-1.5, 5, 6501)
Film = Callable[[float, np.ndarray], np.ndarray]


def of_grains(minutes: float, lg_h: np.ndarray) -> np.ndarray:
    """Densities of a film with 60 classes of grain, the coarse ones quick to see and develop."""
    needed = np.linspace(0.75, 2.75, 60)
    rate = 0.16 * (0.55 + 0.45 * (2.75 - needed))
    developed = gamma_distribution.cdf(minutes * rate, 1.6)
    seen = norm.cdf((lg_h[:, None] - needed) / 0.13)
    return 0.22 + 0.006 * minutes**0.8 + 2.6 * (seen * developed).mean(axis=1)


def with_toe_and_shoulder(minutes: float, lg_h: np.ndarray) -> np.ndarray:
    """Densities of a film whose gamma goes towards 1.2, and whose speed grows meanwhile."""
    gamma = 1.2 * minutes**1.25 / (minutes**1.25 + 7.5**1.25)
    toe, shoulder, bend = 0.95 - 0.25 * np.log10(minutes / 8), 2.75, 0.14
    rise = np.logaddexp(0, (lg_h - toe) / bend) - np.logaddexp(0, (lg_h - shoulder) / bend)
    return 0.20 + 0.06 * (1 - np.exp(-minutes / 10)) + gamma * bend * rise


def true_gamma(film: Film, minutes: float) -> float:
    """The steepest of all stretches of 0.75."""
    curve = film(minutes, FINE)
    return float((np.interp(FINE + 0.75, FINE, curve) - curve).max() / 0.75)


def true_index(film: Film, minutes: float) -> float:
    curve = film(minutes, FINE)

    def beyond(angle: float) -> float:
        near, far = (np.interp(curve[0] + r * np.sin(angle), curve, FINE) for r in (0.2, 2.0))
        return float(far - near - 1.8 * np.cos(angle))

    most = np.arcsin(min(1.0, (curve[-1] - curve[0] - 0.02) / 2))
    return float(np.tan(brentq(beyond, 0.1, most)))


def read(film: Film, minutes: float, rng: np.random.Generator, noise: float) -> Strip:
    readings = np.round(film(minutes, STEPS) + rng.normal(0, noise, 21), 2)
    beside = round(float(film(minutes, FINE[:1])[0] + rng.normal(0, noise)), 2)
    return strip(tablet("21 x 0.15"), [float(d) for d in readings], beside, noise)


def gamma(made: Strip) -> Estimate:
    return straight(made).gamma


MEASURES = {
    "gamma": (gamma, true_gamma, 0.70),
    "contrast index": (along(contrast_index), true_index, 0.58),
}


@pytest.mark.parametrize("noise", [0.01, 0.02])
@pytest.mark.parametrize("measure", MEASURES)
@pytest.mark.parametrize("film", [of_grains, with_toe_and_shoulder])
@pytest.mark.parametrize("times", [(6, 8.5, 12, 17), (6, 12)])
def test_the_time_lies_in_its_width(
    film: Film, measure: str, noise: float, times: tuple[float, ...]
) -> None:
    """At least 90 of 100, and mostly answered, with a width that is of use."""
    measured, true, wanted = MEASURES[measure]
    time = brentq(lambda minutes: true(film, minutes) - wanted, 5, 22)
    assert times[0] < time < times[-1]
    hits, widths = 0, []
    for seed in range(SEEDS):
        rng = np.random.default_rng(seed)
        try:
            pieces = [Piece(round(t * MINUTE), measured(read(film, t, rng, noise))) for t in times]
            found = time_for(time_curve(measure, pieces), wanted)
        except SensitometryError:
            continue
        hits += found.low_ms <= time * MINUTE <= found.high_ms
        widths.append(found.high_ms / found.low_ms)
    assert len(widths) >= 0.9 * SEEDS
    assert hits >= 0.9 * len(widths)
    assert np.median(widths) < 1.4


@pytest.mark.parametrize("film", [of_grains, with_toe_and_shoulder])
def test_more_than_the_film_can_reach_is_refused(film: Film) -> None:
    for seed in range(10):
        rng = np.random.default_rng(seed)
        pieces = [
            Piece(round(t * MINUTE), gamma(read(film, t, rng, 0.01))) for t in (6, 8.5, 12, 17)
        ]
        assert true_gamma(film, 600) < 1.6
        with pytest.raises(SensitometryError, match=r"beyond|more than any piece"):
            time_for(time_curve("gamma", pieces), 1.6)
