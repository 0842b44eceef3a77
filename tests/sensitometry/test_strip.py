"""Strips: tablets, exposures and densities as people write them, and what does not fit."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer.sensitometry.refusal import SensitometryError
from darktimer.sensitometry.strip import densities, exposures, lux_seconds, strip, tablet


def test_a_tablet_has_its_steps_and_its_increment() -> None:
    found = tablet("21 x 0.15")
    assert len(found.lg_h) == 21
    assert found.lg_h[:2] == (0.0, 0.15)
    assert found.lg_h[-1] == pytest.approx(3.0)
    assert not found.absolute


def test_tablets_at_the_ends_of_what_is_taken() -> None:
    assert len(tablet("99 x 0.01").lg_h) == 99
    assert tablet("5×1").lg_h == (0, 1, 2, 3, 4)


def test_lux_seconds_are_absolute() -> None:
    found = lux_seconds([0.01, 0.1, 1.0])
    assert found.lg_h == pytest.approx((-2, -1, 0))
    assert found.absolute


@given(st.lists(st.integers(0, 600), min_size=1, max_size=40))
def test_densities_read_back(hundredths: list[int]) -> None:
    written = ", ".join(f"{each / 100:.2f}" for each in hundredths)
    assert densities(written) == tuple(each / 100 for each in hundredths)


def test_a_tablet_may_be_read_from_either_end() -> None:
    read = (0.2, 0.3, 0.5, 0.8, 1.1)
    assert strip(tablet("5 x 0.30"), read[::-1]) == strip(tablet("5 x 0.30"), read)


FIVE = tablet("5 x 0.30")


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: tablet("21"), "such as 21 x 0.15"),
        (lambda: tablet("21 x 0,15"), "not a step tablet"),
        (lambda: tablet("4 x 0.15"), "5 to 99 steps"),
        (lambda: tablet("100 x 0.15"), "5 to 99 steps"),
        (lambda: tablet("21 x 1.5"), "0.01 to 1.00"),
        (lambda: tablet("21 x 0"), "0.01 to 1.00"),
        (lambda: lux_seconds([0.01, 0.0]), "give more than 0"),
        (lambda: lux_seconds([0.02, 0.01]), "from the least on"),
        (lambda: lux_seconds([0.01, 0.01]), "do not rise"),
        (lambda: densities(""), "is not a density"),
        (lambda: densities("0.1, -0.2"), "'-0.2' is not a density"),
        (lambda: densities("0.1 0.2"), "commas between"),
        (lambda: densities("0,18"), "not a density that film has"),
        (lambda: densities("6.01"), "not a density that film has"),
        (lambda: densities("0 %"), "not a density that film has"),
        (lambda: densities("101 %"), "not a density that film has"),
        (lambda: densities("nan"), "is not a density"),
        (lambda: densities("0.18, 0.12345678901"), "figure 2 of 2: '0.12345678901' is not a d"),
        (lambda: exposures("0.001, x"), "figure 2 of 2: 'x' is not an exposure"),
        (lambda: exposures("0.12345678901"), "figure 1 of 1: '0.12345678901' is not an exp"),
        (lambda: exposures("1, 0"), "figure 2 of 2: an exposure 0 is not above zero"),
        (lambda: strip(FIVE, (0.2, 0.3, 0.5, 0.8, 6.1)), "6.1 is not a density that film has"),
        (lambda: strip(FIVE, (-0.1, 0.3, 0.5, 0.8, 1.1)), "-0.1 is not a density that film has"),
        (
            lambda: strip(FIVE, (0.2, 0.3, 0.5, 0.8, 1.1), -0.1),
            "-0.1 is not a density that film has",
        ),
        (lambda: strip(lux_seconds([*range(1, 101)]), [0.2] * 100), "read 5 to 99 steps"),
        (lambda: lux_seconds([0.1, float("inf")]), "an exposure inf is not above zero"),
        (lambda: strip(FIVE, (0.2, 0.3)), "2 densities for 5 exposures"),
        (lambda: strip(lux_seconds([1, 2, 3, 4]), (0.2, 0.3, 0.4, 0.5)), "do not make a curve"),
        (lambda: strip(FIVE, (0.2, 0.3, 0.65, 0.52, 0.9)), "readings 3 and 4"),
        (lambda: strip(FIVE, (0.2, 0.3, 0.5, 0.8, 1.1), 0.33), "denser than the thinnest"),
        (
            lambda: strip(FIVE, (0.2, 0.3, 0.5, 0.8, 1.1), reading=0),
            "uncertainty of 0 is out of range",
        ),
        (lambda: strip(FIVE, (0.2, 0.3, 0.5, 0.8, 1.1), reading=0.51), "give 0.001 to 0.5"),
        (lambda: strip(FIVE, (0.2, 0.3, 0.5, 0.8, 1.1), reading=float("nan")), "of nan is"),
        (lambda: strip(lux_seconds([1, 2, 3, 4, 5]), (1.1, 0.8, 0.5, 0.3, 0.2)), "falls from 1.10"),
        (
            lambda: strip(tablet("6 x 0.30"), (0.2, 0.5, 0.42, 0.37, 0.6, 0.8)),  # little by little
            "falls from 0.50 to 0.37, at readings 2 and 4 from the thin end",
        ),
    ],
)
def test_what_makes_no_strip(call: Callable[[], object], words: str) -> None:
    with pytest.raises(SensitometryError, match=words.replace("+", r"\+")) as caught:
        call()
    assert caught.value.found
    assert caught.value.remedy


def test_readings_may_fall_by_their_noise() -> None:
    """Six uncertainties of a reading: 0.12 of the usual 0.02."""
    strip(FIVE, (0.2, 0.3, 0.65, 0.54, 0.9))
    strip(FIVE, (0.2, 0.3, 0.5, 0.8, 1.1), 0.31)


def test_figures_of_twelve_letters_are_read() -> None:
    assert densities("0.1234567890") == (0.1234567890,)
    assert densities("6.0, 0") == (6.0, 0.0)
    assert exposures("0.1234567890, 2") == (0.1234567890, 2.0)


@pytest.mark.parametrize(
    "read",
    [
        (0.20, 0.26, 0.25, 0.24, 0.25),
        (0.20, 0.22, 0.21, 0.19, 0.25),
        (0.20, 0.28, 0.24, 0.22, 0.20),
        (0.25, 0.24, 0.25, 0.26, 0.25),
    ],
)
def test_noise_turns_no_strip_about(read: tuple[float, ...]) -> None:
    """It was read from its dense end only where its first reading is denser than its last."""
    assert strip(FIVE, read).densities == read


def test_the_surest_and_the_least_sure_readings() -> None:
    for reading in (0.001, 0.5):
        assert strip(FIVE, (0.2, 0.3, 0.5, 0.8, 1.1), reading=reading).reading == reading


def test_the_most_steps_make_a_strip() -> None:
    assert len(strip(tablet("99 x 0.03"), [0.2] * 99).densities) == 99
