"""Lines are broken and cut where they should be, and nothing is lost or wider than its room."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer.paper.phrases import some_phrases
from darktimer.paper.text_metrics import fitting_size, shortened, width_of, wrapped, wrapped_within

texts = st.text("abc iW.:0123456789é", max_size=60)


@given(texts, st.floats(12, 200))
def test_wrapping_loses_nothing_and_fits(text: str, width: float) -> None:
    lines = wrapped(text, width, 10)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(width_of(line, 10) <= width for line in lines)


@given(texts, st.floats(12, 200))
def test_cutting_fits_and_says_so(text: str, width: float) -> None:
    cut = shortened(text, width, 10)
    assert width_of(cut, 10) <= width
    assert cut == text or cut.endswith("…")
    assert len(wrapped_within(text, width, 10, 2)) <= 2


@given(texts.filter(str.strip), st.floats(12, 200))
def test_a_size_that_fits(text: str, width: float) -> None:
    size = fitting_size(text, width, 20, 0.1)
    assert size <= 20
    assert width_of(text, size) <= width + 1e-6 or size == 0.1


def test_widths_grow_with_size_and_weight() -> None:
    assert width_of("Develop", 20) == pytest.approx(2 * width_of("Develop", 10))
    assert width_of("Develop", 10, bold=True) > width_of("Develop", 10)
    # Figures of one width, so that times stand in columns.
    assert len({width_of(digit, 10) for digit in "0123456789"}) == 1


@pytest.mark.parametrize("width", range(60, 400, 10))
def test_a_phrase_is_never_cut_at_a_time(width: int) -> None:
    phrases = ["moving 7:30 of it, in cycles of 1 min", "tea", "Warm it 5 min before, then wait"]
    lines = some_phrases(phrases, width, 9, 1)
    for line in lines:
        assert width_of(line, 9) <= width
        if line.endswith("…"):
            last = line.removesuffix("…").split()[-2:]
            assert not any(letter.isdigit() for word in last for letter in word)


def test_phrases_are_told_whole_where_they_fit() -> None:
    assert some_phrases(["by hand", "Mind the edges"], 400, 9, 2) == ["by hand · Mind the edges"]
    assert some_phrases(["by hand", "Mind the edges"], 80, 9, 2) == ["by hand", "Mind the edges"]
    assert some_phrases([], 80, 9, 2) == []


@pytest.mark.parametrize("width", range(40, 200, 7))
def test_a_figure_keeps_its_unit(width: int) -> None:
    lines = wrapped("4 turns in 10 s every 1 min, at 20 °C in 500 ml of 24 g soda", width, 9)
    for line in lines[1:]:
        assert line.split()[0].rstrip(",") not in ("s", "min", "°C", "ml", "g")
