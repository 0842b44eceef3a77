"""The edges of what fits, of what is too little, and of another place that a part fits as well."""

import pytest

from darktimer.ear.alignment import Alignment
from darktimer.ear.hearing import Detection
from darktimer.ear.verdict import Check, Verdict, _as_good_a_place, _elsewhere
from darktimer.process.timeline import Cue, Timeline

CUES = tuple(
    Cue(at_ms, 500, meaning, 0)
    for at_ms, meaning in [
        (1000, "move"),
        (9000, "stand"),
        (17_500, "tally-1"),
        (30_000, "lift"),
        (41_000, "enter-fix"),
        (60_000, "light-safe"),
    ]
)
PLAN = Timeline("test", 70_000, (), (), CUES, ())
TWICE = PLAN._replace(cues=(*CUES, *(cue._replace(at_ms=cue.at_ms + 70_000) for cue in CUES)))


def sound(at_ms: float, meaning: str = "marked") -> Detection:
    return Detection(at_ms, 500, meaning, 12.0, 0.9)


HEARD = [sound(cue.at_ms, cue.meaning) for cue in CUES]


def verdict(states: str, ppm: float = 0.0) -> Verdict:
    """Of acts alone, each by the first letter of its state."""
    names = {state[0]: state for state in ("heard", "damaged", "missed", "outside")}
    checks = (Check(CUES[0], names[letter], None, 0.0) for letter in states)
    return Verdict(Alignment(0, ppm), tuple(checks), ())


@pytest.mark.parametrize(("ppm", "fits"), [(10_000, True), (-10_000, True), (10_000.5, False)])
def test_a_clock_that_is_a_hundredth_off_fits_and_no_more(ppm: float, fits: bool) -> None:
    assert verdict("hhh", ppm).fits is fits


@pytest.mark.parametrize(
    ("states", "mostly"),
    [("hm", True), ("hmm", False), ("hmoooo", True), ("h", True), ("o", False), ("oooo", False)],
)
def test_half_of_what_it_should_hold_is_most_of_it(states: str, mostly: bool) -> None:
    assert verdict(states).mostly_heard is mostly


@pytest.mark.parametrize(("states", "few"), [("hhhho", True), ("hhhhho", False), ("hhhh", False)])
def test_a_part_with_fewer_than_five_acts_is_too_few(states: str, few: bool) -> None:
    assert verdict(states).too_few is few


@pytest.mark.parametrize(
    ("own_ms", "found_ms"), [(299.0, None), (-299.0, None), (300.0, 0.0), (-300.0, 0.0)]
)
def test_a_place_that_is_hardly_another_is_no_rival(own_ms: float, found_ms: float | None) -> None:
    """Two places are one where one sound could be the cue in both: within twice 150 ms."""
    found = _as_good_a_place(HEARD, PLAN, Alignment(own_ms, 0), True, 62_000)
    assert (found and found.offset_ms) == found_ms
    assert _as_good_a_place(HEARD, PLAN, Alignment(own_ms, 0), False, 62_000) == Alignment(0, 0)


@pytest.mark.parametrize(("own_ms", "found_ms"), [(0.0, -70_000.0), (-70_000.0, 0.0)])
def test_its_own_place_hides_no_rival_before_or_after_it(own_ms: float, found_ms: float) -> None:
    found = _as_good_a_place(HEARD, TWICE, Alignment(own_ms, 0), True, 62_000)
    assert found == Alignment(found_ms, 0)


@pytest.mark.parametrize(("at_ms", "found"), [((), True), ((500,), True), ((500, 5000), False)])
def test_a_rival_leaves_no_more_than_one_cue_unexplained(
    at_ms: tuple[int, ...], found: bool
) -> None:
    heard = sorted([*map(sound, at_ms), *HEARD])
    place = _as_good_a_place(heard, PLAN, Alignment(0, 0), False, 62_000)
    assert (place is not None) is found


def test_a_rival_asks_for_no_act_that_was_not_heard() -> None:
    more = PLAN._replace(cues=(*CUES, Cue(61_000, 500, "lift", 0)))
    assert _as_good_a_place(HEARD, more, Alignment(0, 0), False, 61_400)
    assert _as_good_a_place(HEARD, more, Alignment(0, 0), False, 61_500) is None


@pytest.mark.parametrize(
    ("cues", "others", "found"),
    [(5, 0, True), (4, 0, False), (5, 5, True), (5, 6, False), (6, 6, True), (6, 7, False)],
)
def test_what_was_not_planned_has_a_place_by_five_cues_and_half(
    cues: int, others: int, found: bool
) -> None:
    later = [sound(one.at_ms + 300_000, one.meaning) for one in HEARD[:cues]]
    nowhere = [sound(400_000 + 1000 * k) for k in range(others)]
    place = _elsewhere([*later, *nowhere], PLAN)
    assert (place and place.offset_ms) == (pytest.approx(300_000, abs=0.01) if found else None)
