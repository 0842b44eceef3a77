"""Quantities as people write them, and the one rounding to frames."""

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer import units
from darktimer.errors import UnreadableError


@pytest.mark.parametrize(
    ("text", "ms"),
    [
        ("15 min", 900_000),
        ("15min", 900_000),
        ("7:30", 450_000),
        ("10m", 600_000),
        ("1h 5m 2s", 3_902_000),
        ("5'", 300_000),
        ("5' 30\"", 330_000),
        ("30″", 30_000),
        ("0:05", 5_000),
        ("90 s", 90_000),
        ("1 h 5 min", 3_900_000),
        ("1:05:00", 3_900_000),
        ("12.5 min", 750_000),
        ("0:12.5", 12_500),
        ("90:00", 5_400_000),
        ("1 Hour 2 Minutes 3 Seconds 4 ms", 3_723_004),
        (" 250 ms ", 250),
        ("48 h", units.LONGEST_MS),
    ],
)
def test_durations(text: str, ms: int) -> None:
    assert units.duration_ms(text) == ms


@pytest.mark.parametrize(
    "text",
    [
        *("", " ", "15", "15 mins 2", "-5 min", "0 s", "0:00", "7:5", "7:60", "1:60:00", "1e3 s"),
        *("nan s", "inf", ".5 min", "5. min", "5 min 5 min", "5 s 1 min", "48 h 1 ms", "no"),
        *("7,5 min", "0.0001 s", "٣ min", "1/2 min", "9" * 5000 + " h", "7:30 min", "10000:00:00"),
    ],
)
def test_what_is_no_duration(text: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        units.duration_ms(text)
    assert len(str(caught.value)) < 200


@given(st.integers(1, units.LONGEST_MS))
def test_a_clock_reads_back(ms: int) -> None:
    assert units.duration_ms(units.clock(ms)) == ms


@given(st.integers(0, 48), st.integers(0, 59), st.integers(0, 59), st.integers(0, 999))
def test_units_of_time_read_back(h: int, m: int, s: int, ms: int) -> None:
    total = ((h * 60 + m) * 60 + s) * 1000 + ms
    written = f"{h} h {m} min {s} s {ms} ms"
    if 0 < total <= units.LONGEST_MS:
        assert units.duration_ms(written) == total


@given(st.text() | st.from_regex(r"[0-9:. hmins-]{1,30}", fullmatch=True))
def test_any_text_is_a_duration_or_says_why_not(text: str) -> None:
    try:
        ms = units.duration_ms(text)
    except UnreadableError:
        return
    assert 0 < ms <= units.LONGEST_MS


@pytest.mark.parametrize(
    ("text", "celsius"),
    [("20 C", 20), ("20C", 20), ("20 °C", 20), ("68 F", 20), ("-40 F", -40), ("20.5 deg C", 20.5)],
)
def test_temperatures(text: str, celsius: float) -> None:
    assert units.temperature_celsius(text) == pytest.approx(celsius)


@pytest.mark.parametrize("text", ["", "20", "293 K", "C", "20,5 C", "warm", "1 2 C", "nan C"])
def test_what_is_no_temperature(text: str) -> None:
    with pytest.raises(UnreadableError):
        units.temperature_celsius(text)


@pytest.mark.parametrize("text", ["32 oz", "32 fl oz", "32 ounces", "32 fl. oz.", "2 ounce"])
def test_bare_ounces_are_refused(text: str) -> None:
    with pytest.raises(UnreadableError, match="ambiguous"):
        units.volume_ml(text)
    with pytest.raises(UnreadableError, match="ambiguous"):
        units.mass_g(text)


@pytest.mark.parametrize(
    ("text", "value"),
    [("1/2", Fraction(1, 2)), ("12.5 %", Fraction(1, 8)), ("0.1", Fraction(1, 10)), ("1", 1)],
)
def test_shares_are_exact(text: str, value: Fraction) -> None:
    assert units.share(text) == value


@pytest.mark.parametrize("text", ["", "0", "3/2", "101 %", "1/0", "-1/2", "half", "1/2/3", "٣/٤"])
def test_what_is_no_share(text: str) -> None:
    with pytest.raises(UnreadableError):
        units.share(text)


@given(st.integers(0, units.LONGEST_MS), st.sampled_from([8000, 22050, 44100, 48000, 96000]))
def test_frames_are_the_nearest(ms: int, rate: int) -> None:
    exact = Fraction(ms * rate, 1000)
    assert abs(units.frames(ms, rate) - exact) <= Fraction(1, 2)


def test_half_a_frame_goes_upward() -> None:
    assert units.frames(1, 500) == 1
    assert units.frames(3, 500) == 2


@pytest.mark.parametrize(
    ("read", "too_much", "too_little"),
    [
        (units.volume_ml, "1001 l", "0.009 ml"),
        (units.mass_g, "101 kg", "0.09 mg"),
        (units.length_m, "1100 m", "4 mm"),
    ],
)
def test_what_no_hand_could_work_with_is_a_slip_of_the_pen(
    read: Callable[[str], float], too_much: str, too_little: str
) -> None:
    with pytest.raises(UnreadableError, match="too much for work by hand; write from"):
        read(too_much)
    with pytest.raises(UnreadableError, match="too little for work by hand; write from"):
        read(too_little)
