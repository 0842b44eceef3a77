"""What a strip tells of its film, on curves drawn with a ruler, and what it cannot tell."""

from math import hypot, log10
from statistics import linear_regression

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer.sensitometry.curve import Curve, contrast_index
from darktimer.sensitometry.estimate import Estimate, propagated
from darktimer.sensitometry.line import fitted_line, interpolated, rising
from darktimer.sensitometry.measures import (
    base_fog,
    curve,
    measures,
    speed,
    stops_faster,
    straight,
)
from darktimer.sensitometry.refusal import SensitometryError
from darktimer.sensitometry.strip import Strip, lux_seconds, strip, tablet

TABLET = tablet("21 x 0.15")


def ruled(gamma: float, begins: float = 0.6, ends: float = 2.7, reading: float = 0.02) -> Strip:
    """Base + fog 0.25, straight from one lg H to another, level there."""
    read = [0.25 + gamma * (min(max(x, begins), ends) - begins) for x in TABLET.lg_h]
    return strip(TABLET, read, reading=reading)


@pytest.mark.parametrize("gamma", [0.45, 0.70, 1.20])
def test_a_curve_drawn_with_a_ruler(gamma: float) -> None:
    found = measures(ruled(gamma))
    assert found.base_fog == pytest.approx((0.25, 0.01))  # four readings of 0.02
    assert found.gamma is not None
    assert found.gamma.value == pytest.approx(gamma)
    assert found.straight is not None
    assert found.straight.from_lg_h == pytest.approx(0.6)
    assert found.straight.to_lg_h == pytest.approx(2.7)
    assert found.speed_point is not None
    assert found.speed_point.value == pytest.approx(0.6 + 0.1 / gamma)
    assert found.average_gradient is not None
    assert found.average_gradient.value == pytest.approx(gamma)
    assert found.contrast_index is not None
    assert found.contrast_index.value == pytest.approx(gamma, rel=1e-6)  # through its corner
    assert found.speed is None  # and nobody expects one of a tablet
    assert found.missing == {}


def test_the_uncertainty_of_gamma_is_that_of_the_steepest_stretch() -> None:
    """Six steps of 0.15: their spread is 17.5 * 0.15^2."""
    found = measures(ruled(0.7, reading=0.01)).gamma
    assert found is not None
    assert found.uncertainty == pytest.approx(0.01 / (17.5 * 0.15**2) ** 0.5)


def test_the_scatter_counts_where_it_is_more_than_a_reading_is_unsure() -> None:
    zigzag = [d + (0.03 if step % 2 else -0.03) for step, d in enumerate(ruled(0.7).densities)]
    sure, unsure = (
        straight(Strip(TABLET, tuple(zigzag), 0.25, reading)).gamma.uncertainty
        for reading in (0.001, 0.02)
    )
    assert sure > 0.025 / (17.5 * 0.15**2) ** 0.5
    assert unsure > 0.025 / (17.5 * 0.15**2) ** 0.5


def test_the_scatter_is_that_of_a_line_with_two_unknowns() -> None:
    """A strip of one stretch; its slope and scatter by the library's own regression."""
    lg_h = [step * 0.15 for step in range(6)]
    read = (0.20, 0.36, 0.37, 0.55, 0.61, 0.74)
    line = linear_regression(lg_h, read)
    squares = sum(
        (d - line.intercept - line.slope * x) ** 2 for x, d in zip(lg_h, read, strict=True)
    )
    found = straight(strip(tablet("6 x 0.15"), read, reading=0.01)).gamma
    assert found.value == pytest.approx(line.slope)
    assert found.uncertainty == pytest.approx((squares / 4 / (17.5 * 0.15**2)) ** 0.5)


def test_a_strip_may_be_straight_from_end_to_end_or_at_its_end() -> None:
    found = straight(ruled(0.7, begins=0.0, ends=3.0))
    assert (found.from_lg_h, found.to_lg_h) == pytest.approx((0.0, 3.0))
    found = straight(ruled(0.7, begins=2.25, ends=3.0))
    assert (found.from_lg_h, found.to_lg_h) == pytest.approx((2.25, 3.0))


def test_a_straight_part_rises_by_more_than_its_doubt() -> None:
    """Two uncertainties of a stretch of 0.75 read to 0.02: 0.0638."""
    rise = [0.25 + 0.066 * step * 0.15 for step in range(6)]
    assert straight(strip(tablet("6 x 0.15"), rise)).gamma.value == pytest.approx(0.066)
    rise = [0.25 + 0.062 * step * 0.15 for step in range(6)]
    with pytest.raises(SensitometryError, match="hardly rise"):
        straight(strip(tablet("6 x 0.15"), rise))


def test_the_straight_part_goes_on_within_two_uncertainties() -> None:
    """Past the ruler by 0.039 it goes on, by 0.041 it ends."""
    for bend, to in ((0.039, 2.4), (0.041, 2.25)):
        read = list(ruled(0.7, ends=2.25).densities)
        for step in range(16, 21):
            read[step] = 0.25 + 0.7 * 1.8 - bend
        assert straight(strip(TABLET, read)).to_lg_h == pytest.approx(to)


def test_the_point_on_base_and_fog_sees_both_arcs_along_one_line() -> None:
    """Whatever the curve: the two points lie 0.2 and 2.0 from one point on the line."""
    points = Curve((0.0, 0.5, 1.0, 2.0, 3.0), (0.2, 0.25, 0.5, 1.2, 2.1), 0.2)
    slope = contrast_index(points)
    sine = slope / hypot(1, slope)
    near, far = (points.lg_h_at(0.2 + radius * sine) for radius in (0.2, 2.0))
    centre = near - 0.2 * sine / slope
    assert hypot(far - centre, 2.0 * sine) == pytest.approx(2.0, abs=1e-6)


def test_a_speed_needs_absolute_exposures_and_a_standard_development() -> None:
    exposures = lux_seconds([10 ** (-3.0 + x) for x in TABLET.lg_h])
    hm = 10 ** (-3.0 + 0.6 + 0.1 / (0.80 / 1.30))
    found = speed(Strip(exposures, ruled(0.80 / 1.30).densities))
    assert found.value == pytest.approx(0.80 / hm)
    assert found.uncertainty / found.value == pytest.approx(
        measures(ruled(0.80 / 1.30)).speed_point[1] * 2.302585  # type: ignore[index]
    )
    for gamma in (0.80 / 1.30 - 0.038, 0.80 / 1.30 + 0.038):  # 0.05 off, over 1.30
        speed(Strip(exposures, ruled(gamma).densities))
    for gamma, words in (
        (0.80 / 1.30 - 0.039, r"the density is 0.75 more.*longer"),
        (0.80 / 1.30 + 0.039, r"the density is 0.85 more.*shorter"),
    ):
        with pytest.raises(SensitometryError, match=words):
            speed(Strip(exposures, ruled(gamma).densities))
    with pytest.raises(SensitometryError, match="relative"):
        speed(ruled(0.80 / 1.30))


def test_a_film_two_stops_faster() -> None:
    slow, fast = Estimate(1.0, 0.03), Estimate(1.0 - 2 * log10(2), 0.04)
    assert stops_faster(fast, slow) == pytest.approx((2.0, 0.05 / log10(2)))


def test_base_and_fog_is_read_where_the_strip_has_no_foot() -> None:
    short = ruled(0.7, begins=0.3)
    with pytest.raises(SensitometryError, match="is not flat; read the film beside the strip"):
        base_fog(short)
    found = measures(short)
    assert found.base_fog is None
    assert found.speed_point is None
    assert found.gamma is not None
    assert len(found.missing) == 4
    assert measures(short._replace(base_fog=0.25)).base_fog == (0.25, 0.02)
    assert curve(short._replace(base_fog=0.25)).base_fog == 0.25


def test_a_foot_has_three_readings() -> None:
    read = [0.25, 0.25, 0.25, 0.4, 0.7, 1.0, 1.3, 1.6]
    assert base_fog(strip(tablet("8 x 0.22"), read)).value == pytest.approx(0.25)
    with pytest.raises(SensitometryError, match="has fewer than 3 readings; read the film"):
        base_fog(strip(tablet("8 x 0.40"), read))


def test_a_foot_rises_by_no_more_than_its_doubt() -> None:
    """Two uncertainties of four steps of 0.15 read to 0.02: 0.119 for each lg H."""
    for slope, flat in ((0.118, True), (0.121, False)):
        read = [0.2 + slope * x for x in TABLET.lg_h]
        assert (measures(strip(TABLET, read)).base_fog is not None) is flat


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (ruled(0.7, ends=1.2), "contrast index: the strip does not reach both arcs"),
        (ruled(0.7, begins=2.25, ends=3.0), "average gradient: the strip ends at lg H 3.00"),
        (ruled(0.0), "gamma: the densities hardly rise"),
        (ruled(0.05, ends=1.2), "speed point: the strip ends at density"),
        (strip(tablet("5 x 0.10"), [0.2, 0.3, 0.4, 0.5, 0.6]), "gamma: the strip is shorter"),
        (
            ruled(0.7)._replace(base_fog=0.10),
            "speed point: the strip begins at density 0.25, and 0.20",
        ),
        (ruled(0.7)._replace(base_fog=0.0), "contrast index: the strip does not reach both arcs"),
    ],
)
def test_what_a_strip_cannot_tell(made: Strip, words: str) -> None:
    name, _, why = words.partition(": ")
    assert measures(made).missing[name].startswith(why)


@given(st.lists(st.floats(0, 3), min_size=1, max_size=30))
def test_what_never_falls_keeps_its_sum(values: list[float]) -> None:
    found = rising(values)
    assert list(found) == sorted(found)
    assert sum(found) == pytest.approx(sum(values))
    assert rising(found) == pytest.approx(found)


@given(st.floats(-1, 4))
def test_between_points_lies_a_line_and_beyond_them_is_level(x: float) -> None:
    assert interpolated((0, 1, 3), (5, 6, 10), x) == pytest.approx(
        5 if x < 0 else 5 + x if x < 1 else min(10, 4 + 2 * x)
    )


def test_weights_draw_a_line() -> None:
    line = fitted_line((0, 1, 2), (0, 1, 5), (1, 1, 0))
    assert line == pytest.approx((0, 1))


def test_readings_enter_a_result_in_quadrature() -> None:
    found = propagated(lambda v: 3 * v[0] - 4 * v[1], (2.0, 1.0), (0.1, 0.1))
    assert found == pytest.approx((2.0, 0.5))


def test_a_curve_is_read_up_to_both_its_ends() -> None:
    made = Curve((0.0, 1.0, 2.0), (0.2, 0.5, 1.4), 0.2)
    assert (made.density_at(0.0), made.density_at(2.0)) == (0.2, 1.4)
    assert (made.lg_h_at(0.2), made.lg_h_at(1.4)) == (0.0, 2.0)
    with pytest.raises(SensitometryError, match=r"begins at density 0\.20, and 0\.19 is needed"):
        made.lg_h_at(0.19)
    with pytest.raises(SensitometryError, match=r"ends at lg H 2\.00, and 2\.01 is needed"):
        made.density_at(2.01)


def test_a_contrast_index_may_begin_at_the_very_foot() -> None:
    """A straight line from base + fog at its first reading on: it lies along the line."""
    lg_h = tuple(0.5 * step for step in range(6))
    made = Curve(lg_h, tuple(0.2 + 0.6 * x for x in lg_h), 0.2)
    assert contrast_index(made) == pytest.approx(0.6, rel=1e-6)


@pytest.mark.parametrize(
    ("increment", "read", "gamma"),
    [
        # four readings at the least; three of them would rise faster
        ("0.50", (0.2, 0.2, 0.3, 0.8, 0.9, 0.9, 0.9), 0.52),
        # four readings of 0.30 are long enough; a fifth would lie lower
        ("0.30", (0.2, 0.2, 0.5, 0.8, 1.1, 1.1, 1.1), 1.0),
    ],
)
def test_the_ruler_is_laid_along_four_readings(
    increment: str, read: tuple[float, ...], gamma: float
) -> None:
    found = straight(strip(tablet(f"{len(read)} x {increment}"), read, reading=0.001))
    assert found.gamma.value == pytest.approx(gamma, abs=0.001)
