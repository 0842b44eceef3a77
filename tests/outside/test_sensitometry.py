"""Densities and times against ISO 6, the Navy training manual and the fits of scipy.

Marks: P read in a published source or a public copy of it, C computed from it, T common practice
with no source, M from memory.
"""

from math import log, log10

import numpy as np
import pytest
from scipy import optimize, stats
from scipy.interpolate import PchipInterpolator

from darktimer import units
from darktimer.sensitometry.curve import Curve, average_gradient, contrast_index, speed_point
from darktimer.sensitometry.estimate import Estimate
from darktimer.sensitometry.line import rising
from darktimer.sensitometry.measures import measures, speed
from darktimer.sensitometry.strip import Strip, densities, lux_seconds, strip, tablet
from darktimer.sensitometry.time_law import Piece, fitted_law
from darktimer.sensitometry.wanted import PICTORIAL, time_curve, time_for

MINUTE = 60_000
STEPS = np.arange(21) * 0.15


def test_densities_of_light_let_through() -> None:
    """By definition, D = -lg T: C."""
    assert densities("50 %, 10 %, 1 %") == pytest.approx((0.301, 1.000, 2.000), abs=0.0005)


@pytest.mark.parametrize(
    ("lux_s", "arithmetic", "written"),
    [(0.0080, 100, "100/21°"), (0.0040, 200, "200/24°"), (0.0020, 400, "400/27°")],
)
def test_the_speed_of_a_standard_development(lux_s: float, arithmetic: int, written: str) -> None:
    """P, C: ISO 6:1993 as quoted; 0.10 over base + fog at Hm, 0.80 more 1.30 further on."""
    gradient = 0.80 / 1.30
    lg_h = log10(lux_s) - 0.9 + STEPS
    read = np.maximum(0.22, 0.32 + gradient * (lg_h - log10(lux_s)))
    made = strip(lux_seconds([10**x for x in lg_h]), [float(d) for d in read])
    found = speed(made)
    assert found.value == pytest.approx(arithmetic, rel=0.005)
    assert units.exposure_index(units.speed_degrees(found.value)) == written
    gradient_found = measures(made).average_gradient
    assert gradient_found is not None
    assert gradient_found.value == pytest.approx(0.615, abs=0.002)  # C


def test_two_strips_one_at_twice_the_time() -> None:
    """P: the law of Hardy & Perrin, The Principles of Optics, as cited publicly.

    C: 0.50 and 0.75 give kt = ln 2 = 0.693, and G = 0.50^2 / (2 * 0.50 - 0.75) = 1.00.
    """
    law = fitted_law(
        (Piece(8 * MINUTE, Estimate(0.5, 0.01)), Piece(16 * MINUTE, Estimate(0.75, 0.01)))
    )
    assert law.k_per_ms * 8 * MINUTE == pytest.approx(0.693, abs=0.001)
    assert law.greatest == pytest.approx(1.00, abs=0.001)


def test_a_usual_negative_has_both_its_gamma_and_its_contrast_index() -> None:
    """P: pictorial negatives, gamma 0.65 to 0.90, or contrast index 0.56 to 0.60 (Navy training
    manual, Photography (Advanced), chapter 2): a film with a long toe, developed into
    the middle of one range, lies in the other."""
    read = 0.25 + 0.71 * 0.3 * np.logaddexp(0, (STEPS - 0.9) / 0.3)
    found = measures(strip(tablet("21 x 0.15"), [float(d) for d in read], base_fog=0.25))
    assert found.gamma is not None
    assert found.contrast_index is not None
    assert 0.65 <= found.gamma.value <= 0.90
    assert 0.56 <= found.contrast_index.value <= 0.60
    assert PICTORIAL == {"contrast index": (0.56, 0.60), "gamma": (0.65, 0.90)}


@pytest.mark.parametrize("seed", range(5))
def test_gamma_is_the_slope_of_a_library(seed: int) -> None:
    """scipy.stats.linregress over the straight part that was found; its error where that rules."""
    noise = np.random.default_rng(seed).normal(0, 0.01, 21)
    read = 0.25 + 0.7 * np.clip(STEPS - 0.6, 0, 1.8) + noise
    found = measures(strip(tablet("21 x 0.15"), [float(d) for d in read], reading=0.01)).straight
    assert found is not None
    part = (found.from_lg_h - 1e-9 <= STEPS) & (found.to_lg_h + 1e-9 >= STEPS)
    fit = stats.linregress(STEPS[part], read[part])
    assert found.gamma.value == pytest.approx(fit.slope)
    assert found.gamma.uncertainty >= fit.stderr * 0.9
    assert found.gamma.value == pytest.approx(0.7, abs=2 * found.gamma.uncertainty)


def test_what_is_measured_along_a_curve_is_what_a_spline_gives() -> None:
    """scipy's monotone cubic through the same readings, its crossings by brentq."""
    read = 0.25 + 2.2 / (1 + np.exp(-1.9 * (STEPS - 1.9)))
    made = Curve(tuple(STEPS), tuple(read), 0.25)
    spline = PchipInterpolator(STEPS, read)

    def at(density: float) -> float:
        return optimize.brentq(lambda x: spline(x) - density, 0, 3)

    start = at(0.35)
    assert speed_point(made) == pytest.approx(start, abs=0.01)
    assert average_gradient(made) == pytest.approx((spline(start + 1.3) - 0.35) / 1.3, abs=0.005)

    def beyond(slope: float) -> float:
        sine, cosine = np.sin(np.arctan(slope)), np.cos(np.arctan(slope))
        return at(0.25 + 2.0 * sine) - at(0.25 + 0.2 * sine) - 1.8 * cosine

    assert contrast_index(made) == pytest.approx(optimize.brentq(beyond, 0.4, 1.2), abs=0.005)


def test_readings_that_fall_are_pooled_as_a_library_pools_them() -> None:
    values = np.random.default_rng(1).normal(0, 1, 60) + np.arange(60) / 20
    assert rising(list(values)) == pytest.approx(optimize.isotonic_regression(values).x)


@pytest.mark.parametrize("seed", range(8))
def test_the_law_of_time_is_that_of_a_library(seed: int) -> None:
    """scipy.optimize.curve_fit, weighted; its covariance gives the greatest its uncertainty."""
    rng = np.random.default_rng(seed)
    times, unsure = np.array([5.0, 8.0, 12.0, 18.0, 27.0]), rng.uniform(0.004, 0.008, 5)
    read = 1.1 * (1 - np.exp(-0.14 * (times - 1.0))) + rng.normal(0, unsure)
    pieces = [
        Piece(round(t * MINUTE), Estimate(float(g), float(u)))
        for t, g, u in zip(times, read, unsure, strict=True)
    ]

    def law(t: np.ndarray, greatest: float, k: float, lag: float) -> np.ndarray:
        return greatest * (1 - np.exp(-k * (t - lag)))

    fit, covariance = optimize.curve_fit(
        law, times, read, (1.0, 0.1, 0.0), unsure, absolute_sigma=True
    )
    curve = time_curve("gamma", pieces)
    assert curve.law.greatest == pytest.approx(fit[0], rel=1e-4)
    assert curve.law.k_per_ms * MINUTE == pytest.approx(fit[1], rel=1e-3)
    assert curve.law.lag_ms / MINUTE == pytest.approx(fit[2], abs=2e-3)
    chi = ((law(times, *fit) - read) / unsure) @ ((law(times, *fit) - read) / unsure)
    assert curve.law.misfit == pytest.approx((chi / 2) ** 0.5, rel=1e-3)
    widened = max(1.0, curve.law.misfit)
    assert curve.greatest is not None
    assert curve.greatest.uncertainty == pytest.approx(widened * covariance[0, 0] ** 0.5, rel=0.1)
    wanted = optimize.brentq(lambda t: law(t, *fit) - 0.75, 5, 27)
    assert time_for(curve, 0.75).time_ms / MINUTE == pytest.approx(wanted, rel=1e-3)


def test_the_stated_uncertainties_are_those_of_many_readings() -> None:
    """200 readings of one strip: their spread, against what each states of itself."""
    rng = np.random.default_rng(3)
    true = 0.25 + 0.6 * 0.15 * np.logaddexp(0, (STEPS - 0.8) / 0.15)
    found = [
        measures(
            Strip(
                tablet("21 x 0.15"), tuple(map(float, true + rng.normal(0, 0.01, 21))), 0.25, 0.01
            )
        )
        for _ in range(200)
    ]
    for name in ("average_gradient", "contrast_index", "speed_point"):
        values = np.array([getattr(each, name).value for each in found])
        stated = np.array([getattr(each, name).uncertainty for each in found])
        # base + fog, which states 0.01 too, was the same each time
        assert 0.6 * stated.mean() < values.std() < 1.1 * stated.mean(), name


@pytest.mark.parametrize(
    ("arithmetic", "degrees"), [(100, 21), (200, 24), (400, 27), (50, 18), (125, 22), (3200, 36)]
)
def test_degrees_of_an_index(arithmetic: int, degrees: int) -> None:
    """P: S° = 1 + 10 lg S, ISO 6:1993 as quoted."""
    assert units.index_degrees(str(arithmetic)) == degrees
    assert units.exposure_index(degrees) == f"{arithmetic}/{degrees}°"
    assert 10 * log(arithmetic, 10) + 1 == pytest.approx(degrees, abs=0.06)
