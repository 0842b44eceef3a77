"""A timeline is found in a recording at any offset and by any clock, whatever was lost."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from darktimer.ear.alignment import HIGHEST_PPM, MIXED_UP_PPM, aligned
from darktimer.ear.hearing import Detection
from darktimer.prepare.prepared import prepare
from darktimer.process.timeline import Cue

MEANINGS = ("move", "stand", "lift", "tally-1", "tally-2", "heartbeat")


def _planned(rng: np.random.Generator, count: int) -> list[Cue]:
    at_ms = np.cumsum(rng.integers(3000, 20_000, count))
    return [Cue(int(at), 400, str(rng.choice(MEANINGS)), 0) for at in at_ms]


def _heard(at_ms: float, meaning: str) -> Detection:
    return Detection(at_ms, 400, meaning, 10.0, 0.9)


def _played(
    rng: np.random.Generator, planned: list[Cue], offset_ms: int, ppm: int, kept: float
) -> list[Detection]:
    heard = [
        _heard(offset_ms + cue.at_ms * (1 + ppm * 1e-6) + rng.normal(0, 4), cue.meaning)
        for cue in planned
        if rng.random() < kept
    ]
    extra = rng.uniform(0, 2e6, len(planned) // 10)
    return sorted([*heard, *(_heard(at, str(rng.choice(MEANINGS))) for at in extra)])


@settings(deadline=None, max_examples=60)
@given(
    seed=st.integers(0, 10_000),
    offset_ms=st.integers(-600_000, 600_000),
    ppm=st.integers(-200, 200),
    kept=st.floats(0.4, 1.0),
)
def test_offset_and_clock_are_found(seed: int, offset_ms: int, ppm: int, kept: float) -> None:
    rng = np.random.default_rng(seed)
    planned = _planned(rng, 120)
    line = aligned(_played(rng, planned, offset_ms, ppm, kept), planned)
    assert line
    assert line.ppm == pytest.approx(ppm, abs=8)
    for cue in planned:
        true_ms = offset_ms + cue.at_ms * (1 + ppm * 1e-6)
        assert line.at(cue.at_ms) == pytest.approx(true_ms, abs=8)


@pytest.mark.parametrize("count", [20, 120])
@pytest.mark.parametrize(
    "ppm", [-12_000, -4000, -1030, -410, 390, 2570, 4000, 11_930, *MIXED_UP_PPM]
)
def test_a_clock_far_out_of_order_is_found(ppm: int, count: int) -> None:
    rng = np.random.default_rng(abs(ppm) + count)
    planned = _planned(rng, count)
    line = aligned(_played(rng, planned, 34_567, ppm, 0.8), planned)
    assert line
    assert line.ppm == pytest.approx(ppm, abs=80 if count == 20 else 8)


@pytest.mark.parametrize(
    ("name", "ppm", "until_s"),
    [
        ("bucket-motion-picture", -4000, 900),
        ("load-and-soak", 4000, 600),
        ("open-tub-half-agitation", -4000, 300),
        ("room-for-light", -1500, 600),
        ("tray-six-sheets", -11_000, 600),
    ],
)
def test_the_beginning_of_a_plan_is_no_later_part_of_it(name: str, ppm: int, until_s: int) -> None:
    """By a clock out of order: its few sounds fit elsewhere too, half of them or nearly all."""
    planned = prepare(name, "standard", None).timeline.cues
    early = [cue for cue in planned if cue.at_ms < until_s * 1000]
    heard = [_heard(5000 + cue.at_ms * (1 + ppm * 1e-6), cue.meaning) for cue in early]
    line = aligned(heard, planned)
    assert line
    assert line.ppm == pytest.approx(ppm, abs=60)
    assert line.at(early[0].at_ms) == pytest.approx(heard[0].at_ms, abs=50)


def test_a_clock_out_of_order_is_to_explain_clearly_more() -> None:
    """Twelve alike are heard: eight by a clock in order, nine elsewhere by one that is not."""
    heard = [_heard(10_000.0 * n * n, "move") for n in range(12)]
    at_ms = [10_000 * n * n for n in range(8)]
    at_ms += [20_000_000 + round(10_000 * n * n / 1.004) for n in range(3, 12)]
    line = aligned(heard, [Cue(each, 400, "move", 0) for each in at_ms])
    assert line
    assert abs(line.ppm) <= HIGHEST_PPM


def test_a_few_cues_that_agree_by_chance_are_no_clock_out_of_order() -> None:
    """Of each clock that could be tried some pairs of cues agree."""
    for seed in range(20):
        rng = np.random.default_rng(seed)
        planned = _planned(rng, 120)
        heard = [_heard(rng.uniform(0, 6e5), str(rng.choice(MEANINGS))) for _ in range(14)]
        line = aligned(sorted(heard), planned)
        assert line
        assert abs(line.ppm) <= 2 * HIGHEST_PPM


def test_a_single_cue_tells_the_offset_and_leaves_the_clock_alone() -> None:
    line = aligned([_heard(5000, "lift")], [Cue(2000, 400, "lift", 0), Cue(9000, 400, "move", 0)])
    assert line
    assert line.at(2000) == pytest.approx(5000)
    assert line.ppm == 0


def test_without_a_common_cue_there_is_no_line() -> None:
    assert aligned([_heard(5000, "stand")], [Cue(2000, 400, "lift", 0)]) is None
    assert aligned([], []) is None
