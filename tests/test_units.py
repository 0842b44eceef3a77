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
        ("0:59", 59_000),
        ("1:59:59.999", 7_199_999),
        ("48 h", 172_800_000),
        ("1/3 min", 20_000),
        ("1 h 2½ min", 3_750_000),
    ],
)
def test_durations(text: str, ms: int) -> None:
    assert units.duration_ms(text) == ms


@pytest.mark.parametrize(
    "text",
    [
        *("", " ", "15", "15 mins 2", "-5 min", "0 s", "0:00", "7:5", "7:60", "1:60:00", "1e3 s"),
        *("nan s", "inf", ".5 min", "5. min", "5 min 5 min", "5 s 1 min", "48 h 1 ms", "no"),
        *(
            "7,5 min",
            "0.0001 s",
            "٣ min",
            "1/7 min",
            "1/0 min",
            "9" * 5000 + " h",
            "7:30 min",
            "10000:00:00",
        ),
    ],
)
def test_what_is_no_duration(text: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        units.duration_ms(text)
    assert len(str(caught.value)) < 200


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "nothing is written"),
        ("  ", "nothing is written"),
        ("15", "'15' has no unit"),
        ("1", "'1' has no unit"),
        ("-5 min", "'-5 min' is negative"),
        ("0", "'0' is not above zero"),
        ("0 min", "'0 min' is not above zero"),
        ("0:00", "'0:00' is not above zero"),
        ("7,5 min", "'7,5 min' has a comma where a point is meant"),
        ("soon", "'soon' is not a duration"),
        ("7:60", "'7:60' counts past 59"),
        ("1:60:00", "'1:60:00' counts past 59"),
        ("48 h 1 ms", "'48 h 1 ms' is longer than 48 hours"),
        ("0.5 ms", "'0.5 ms' is finer than a millisecond"),
    ],
)
def test_an_odd_duration_is_told_what_is_odd_about_it(text: str, found: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        units.duration_ms(text)
    assert str(caught.value).startswith(f"{found}; write a duration such as")


def test_what_was_written_is_shown_on_one_line() -> None:
    longest = "a" * 37 + "bcd"
    assert units.shown(longest) == repr(longest)
    assert units.shown(longest + "e") == repr("a" * 37 + "...")


@pytest.mark.parametrize("text", ["none", "no", "off", "0", "0 s", " None ", "OFF"])
def test_what_is_switched_off_takes_no_time(text: str) -> None:
    assert units.duration_or_none_ms(text) == 0


def test_what_is_not_switched_off_takes_its_time() -> None:
    assert units.duration_or_none_ms("10 s") == 10_000
    with pytest.raises(UnreadableError, match="'0 min' is not above zero"):
        units.duration_or_none_ms("0 min")


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


@pytest.mark.parametrize(
    ("answer", "celsius"),
    [("20", 20), ("40", 40), ("50", 10), ("68 deg", 20), (" 19.5 ", 19.5), ("68 F", 20)],
)
def test_a_temperature_that_is_answered_may_do_without_its_scale(answer, celsius) -> None:
    assert units.answered_celsius(answer) == pytest.approx(celsius)


@pytest.mark.parametrize("answer", ["40.1", "45", "49.9"])
def test_between_warm_in_c_and_cold_in_f_the_scale_is_asked_for(answer) -> None:
    with pytest.raises(UnreadableError, match="may be C or F"):
        units.answered_celsius(answer)


@pytest.mark.parametrize("text", ["", "20", "293 K", "C", "20,5 C", "warm", "1 2 C", "nan C"])
def test_what_is_no_temperature(text: str) -> None:
    with pytest.raises(UnreadableError):
        units.temperature_celsius(text)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "nothing is written"),
        (" ", "nothing is written"),
        ("500", "'500' has no unit"),
        ("500 ", "'500 ' has no unit"),
        ("20,5 g", "'20,5 g' has a comma where a point is meant"),
        ("some", "'some' is not a quantity"),
        ("500 pinches", "'500 pinches' has no unit known here"),
        ("0 g", "'0 g' is not above zero"),
        ("-0.5 g", "'-0.5 g' is not above zero"),
        ("1e999 g", "'1e999' is not a number"),
        ("NaN kg", "'nan' is not a number"),
        ("1 000 g", "'1 000' is not a number"),
        ("2 x 5  avoirdupois oz", "'2 x 5' is not a number"),
        ("-½ g", "'-½ g' is not above zero"),
        ("½", "'½' has no unit"),
        ("g", "'g' has no number"),
        ("1e9 ml", "'1e9' is not a number"),
        ("330 ml", "'330 ml' is a volume, not a mass"),
        ("1.5 US fl. oz.", "'1.5 US fl. oz.' is a volume, not a mass"),
        ("30 cm", "'30 cm' is a length, not a mass"),
    ],
)
def test_an_odd_quantity_is_told_what_is_odd_about_it(text: str, found: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        units.mass_g(text)
    assert str(caught.value).startswith(f"{found}; write a mass such as 40 g")


def test_a_number_has_at_most_forty_digits_on_either_side_of_its_point() -> None:
    noughts = 38 * "0"
    assert units.temperature_celsius(f"{noughts}20.00{noughts} C") == 20
    for text in (f"{noughts}020 C", f"20.000{noughts} C"):
        with pytest.raises(UnreadableError):
            units.temperature_celsius(text)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2", 2),
        ("0.1", Fraction(1, 10)),
        ("1/2", Fraction(1, 2)),
        ("3 / 4", Fraction(3, 4)),
        ("1 1/2", Fraction(3, 2)),
        ("½", Fraction(1, 2)),
        ("1½", Fraction(3, 2)),
        (" 2 ⅔ ", Fraction(8, 3)),
        *(("¼", Fraction(1, 4)), ("¾", Fraction(3, 4)), ("⅓", Fraction(1, 3))),
        *(("⅛", Fraction(1, 8)), ("⅞", Fraction(7, 8)), ("⅕", Fraction(1, 5))),
    ],
)
def test_numbers_are_exact_with_fractions_as_cooks_write_them(text: str, value: Fraction) -> None:
    assert units.number(text) == value
    assert units.mass_g(f"{text} kg") == pytest.approx(1000 * float(value))
    assert units.volume_ml(f"{text}l") == pytest.approx(1000 * float(value))
    assert units.duration_ms(f"{text} h") == 3_600_000 * value
    assert units.has_unit_of_volume(f"{text} US fl. oz")


@pytest.mark.parametrize(
    "text", ["", "1e999", "nan", "-1", "1/0", "½½", "1 2", "1/2/3", "½ 1", "1.5/2", "٣", "1⁄2"]
)
def test_what_is_no_number(text: str) -> None:
    with pytest.raises(UnreadableError, match="is not a number; write one such as 2"):
        units.number(text)


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


def test_a_long_share_is_none() -> None:
    assert units.share("0." + "3" * 40) == Fraction(int("3" * 40), 10**40)
    for text in ("0." + "3" * 41, "1/" + "9" * 5000):
        with pytest.raises(UnreadableError, match="is not a share"):
            units.share(text)


@pytest.mark.parametrize("text", ["", "0", "3/2", "101 %", "1/0", "-1/2", "half", "1/2/3", "٣/٤"])
def test_what_is_no_share(text: str) -> None:
    with pytest.raises(UnreadableError):
        units.share(text)


@given(st.integers(0, units.LONGEST_MS), st.sampled_from([8000, 22050, 44100, 48000, 96000]))
def test_frames_are_the_nearest(ms: int, rate: int) -> None:
    exact = Fraction(ms * rate, 1000)
    assert abs(units.frames(ms, rate) - exact) <= Fraction(1, 2)


@given(st.integers(-(10**9), 10**9).map(lambda eighths: eighths / 8))
def test_whole_seconds_are_the_nearest_and_the_next(ms: float) -> None:
    nearest, following = units.whole_second(ms), units.next_second(ms)
    assert type(nearest) is type(following) is int
    assert nearest % 1000 == following % 1000 == 0
    assert abs(Fraction(nearest) - Fraction(ms)) <= 500
    assert 0 <= Fraction(following) - Fraction(ms) < 1000


def test_half_a_second_goes_upward() -> None:
    assert [units.whole_second(ms) for ms in (499, 499.5, 500, 1500)] == [0, 0, 1000, 2000]
    assert [units.next_second(ms) for ms in (0, 0.5, 1, 1000, 1001)] == [0, 1000, 1000, 1000, 2000]


def test_a_length_is_shown_to_the_nearest_second() -> None:
    lengths = (70_499, 70_500.0, 3_600_000, -300)
    assert [units.nearest_clock(ms) for ms in lengths] == ["1:10", "1:11", "1:00:00", "0:00"]


def test_a_clock_of_whole_seconds_shows_each_for_a_second_and_nothing_below_zero() -> None:
    shown = [(-60_000, "0:00"), (-1, "0:00"), (999, "0:00"), (1000, "0:01"), (12_999, "0:12")]
    shown += [(59_999, "0:59"), (60_000, "1:00"), (3_599_999, "59:59"), (3_600_000, "1:00:00")]
    assert [(ms, units.seconds_clock(ms)) for ms, _ in shown] == shown


def test_half_a_frame_goes_upward() -> None:
    assert units.frames(1, 500) == 1
    assert units.frames(3, 500) == 2
    assert units.frames(1, 499) == 0


def test_onsets_at_the_rate_of_a_disc() -> None:
    # 44,100 samples a second (IEC 60908, from memory): 10 ms are 441 of them.
    assert [units.frames(ms, 44_100) for ms in (0, 1, 2, 3, 5, 10)] == [0, 44, 88, 132, 221, 441]


def test_counts_within_their_limits() -> None:
    assert [units.count(text, 1, 12) for text in ("1", " 12 ", "007")] == [1, 12, 7]
    assert [units.count(text, 1, 12) for text in ("one", " Two", "TEN", "twelve")] == [1, 2, 10, 12]
    for text in ("0", "13", "zero"):
        with pytest.raises(UnreadableError, match="is out of range; write a whole number from 1"):
            units.count(text, 1, 12)
    for text in ("", "-1", "1.5", "thirteen", "two and", "1" * 10, "٣"):
        with pytest.raises(UnreadableError, match="is not a whole number"):
            units.count(text, 1, 12)


@pytest.mark.parametrize(
    ("read", "least", "too_little", "most", "too_much"),
    [
        (units.volume_ml, "0.01 ml", "0.009 ml", "1000 l", "1000.001 l"),
        (units.mass_g, "0.1 mg", "0.09 mg", "100 kg", "100.001 kg"),
        (units.length_m, "5 mm", "4.9 mm", "1000 m", "1000.1 m"),
    ],
)
def test_what_no_hand_could_work_with_is_a_slip_of_the_pen(
    read: Callable[[str], float], least: str, too_little: str, most: str, too_much: str
) -> None:
    assert 0 < read(least) < read(most)
    with pytest.raises(UnreadableError, match="too much for work by hand; write from"):
        read(too_much)
    with pytest.raises(UnreadableError, match="too little for work by hand; write from"):
        read(too_little)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        *(("200", 24), ("200/24°", 24), ("200/24", 24), (" 200 / 24 ° ", 24), ("24°", 24)),
        *(("24", 15), ("180", 24), ("150", 23), ("12800", 42), ("0.8", 0), ("0°", 0)),
        *(("100000/51°", 51), ("51°", 51), ("0.75", 0), ("100000", 51)),
    ],
)
def test_exposure_indices(text: str, degrees: int) -> None:
    assert units.index_degrees(text) == degrees


@pytest.mark.parametrize(
    ("text", "words"),
    [
        *(("", "such as 200"), ("200/23°", "200 is 24°"), ("52°", "range"), ("0", "range")),
        *(("0.7", "range"), ("120000", "range"), ("-3", "not an"), ("24/", "not an")),
        *(("/24°", "not an"), ("°", "not an"), ("200°", "not an"), ("٢٠٠", "not an")),
        *(("1e3", "not an"), ("9" * 30, "not an"), ("2.", "not an"), ("200/24°°", "not an")),
    ],
)
def test_what_is_no_exposure_index(text: str, words: str) -> None:
    with pytest.raises(UnreadableError, match=words):
        units.index_degrees(text)


def test_an_index_may_be_written_with_room_around_it() -> None:
    longest = "200 / 24 °" + " " * 14
    assert units.index_degrees(longest) == 24
    with pytest.raises(UnreadableError, match="is not an exposure index"):
        units.index_degrees(longest + " ")


@pytest.mark.parametrize("degrees", range(52))
def test_an_exposure_index_reads_back(degrees: int) -> None:
    assert units.index_degrees(units.exposure_index(degrees)) == degrees


def test_exposure_indices_are_written_by_the_scale_in_use() -> None:
    """The series of film speeds in thirds of a stop (common practice)."""
    found = " ".join(units.exposure_index(degrees).split("/")[0] for degrees in range(2, 32))
    assert found == (
        "1.2 1.6 2 2.5 3 4 5 6 8 10 12 16 20 25 32 40 50 64 80 100 125 160 200 250 320 400 500 "
        "640 800 1000"
    )
    assert units.speed_degrees(0) == -19


@pytest.mark.parametrize(
    ("text", "is_one"),
    [("0 ml", True), (" 1.5  US  fl oz", True), ("-2 l", True), ("3 g", False), ("3", False)],
)
def test_a_unit_of_volume_is_told_whatever_its_number(text: str, is_one: bool) -> None:
    assert units.has_unit_of_volume(text) == is_one


@pytest.mark.parametrize("text", ["8.5", "8"])
def test_a_number_alone_has_no_unit(text: str) -> None:
    with pytest.raises(UnreadableError) as refusal:
        units.mass_g(text)
    assert refusal.value.found == f"{text!r} has no unit"


@pytest.mark.parametrize(
    ("number", "many", "said"),
    [(1, "", "1 run"), (2, "", "2 runs"), (0, "", "0 runs"), (2, "runnings", "2 runnings")],
)
def test_how_many_of_what(number: int, many: str, said: str) -> None:
    assert units.counted(number, "run", many) == said


def test_how_far_apart_two_times_are_as_they_are_shown() -> None:
    """By hand: 9:59.6 is shown as 10:00, and 10:02.4 as 10:02."""
    assert units.seconds_off(599_600, 602_400) == 2
    assert units.seconds_off(602_400, 599_600) == -2


def test_a_time_that_is_not_known_is_a_dash() -> None:
    assert (units.known_clock(None), units.known_clock(450_000)) == ("-", "7:30")


def test_a_temperature_without_its_scale_is_told_as_it_would_be_written() -> None:
    assert units.with_scale("20 deg") == "20 C"
    with pytest.raises(UnreadableError) as refusal:
        units.with_scale("45 deg")
    assert refusal.value.remedy == "write 45 C or 45 F"
