"""Cues are told apart by their envelopes alone, through a speaker that plays nothing below 800 Hz.

Samples are rendered, filtered (scipy), and cut into tones by a threshold; no pitch is looked at.
The figures: a temporal pattern of its own for each warning, and about six that ask for an act
(Patterson & Mayfield 1990); telephones roll off at 500-800 Hz (from memory); a difference of 2.5 %
in rhythm is just noticed (Friberg & Sundberg 1995), and half as much again is asked for here, less
what a threshold makes of ramps.
"""

from itertools import combinations, pairwise

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

from darktimer.cues.cue_set import CueSet
from darktimer.cues.margins import can_meet
from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Timeline
from darktimer.shipped import names

RATE = 16_000
STEEP = butter(8, 800, "highpass", fs=RATE, output="sos")
WINDOW = RATE // 250
Tone = tuple[float, float]


def tones(cue_set: CueSet, meaning: str) -> list[Tone]:
    """(onset, length) in ms of what a thin speaker plays, down to 20 dB below its peak."""
    cue = Cue(0, cue_set.length_ms(meaning), meaning, 0)
    score = Score(Timeline("", 500, (), (), (cue,), ()), cue_set, RATE, SPEAKERS["none"])
    played = np.abs(sosfilt(STEEP, score.fill(0, score.frames + WINDOW) / 32_768))
    peaks = played[: len(played) // WINDOW * WINDOW].reshape(-1, WINDOW).max(axis=1)
    loud = np.concatenate(([0], peaks > 0.1 * peaks.max(), [0])).astype(int)
    edges = np.flatnonzero(np.diff(loud)) * 1000 * WINDOW / RATE
    return list(zip(edges[::2], edges[1::2] - edges[::2], strict=True))


def largest_ratio(one: list[Tone], other: list[Tone]) -> float:
    """Between lengths or intervals of two rows of as many tones."""
    pairs = [(a[1], b[1]) for a, b in zip(one, other, strict=True)]
    ways = [[b[0] - a[0] for a, b in pairwise(row)] for row in (one, other)]
    pairs += zip(*ways, strict=True)
    return max(max(a, b) / min(a, b) for a, b in pairs)


def told(cue_set: CueSet) -> list[str]:
    """Every cue and entry, and numbers up to where only more of the same follows."""
    few = [*map(meanings.tally, range(1, 24)), *map(meanings.left, range(0, 700, 10))]
    return [m for m in cue_set.meanings() if not m.startswith(("tally", "left"))] + few


@pytest.fixture(scope="module", params=names("sounds"))
def heard(request: pytest.FixtureRequest) -> dict[str, list[Tone]]:
    cue_set = load_cue_set(request.param)
    return {meaning: tones(cue_set, meaning) for meaning in told(cue_set)}


def test_no_two_envelopes_are_one(heard: dict[str, list[Tone]]) -> None:
    for (one, first), (other, second) in combinations(heard.items(), 2):
        if len(first) == len(second) and can_meet(one, other):
            assert largest_ratio(first, second) > 1.4, (one, other)


def test_every_pulse_comes_through(heard: dict[str, list[Tone]]) -> None:
    assert len(heard["alarm"]) == 18
    assert len(heard["light-safe"]) == 4
    assert all(length >= 90 for row in heard.values() for _, length in row)


def test_nothing_in_a_row_is_light_safe(heard: dict[str, list[Tone]]) -> None:
    """Two cues, or one again and again, with so little between them that the gap is not heard."""
    half = heard["light-safe"][0][1] / 2
    last = {m: row[-1][1] for m, row in heard.items() if m != "light-safe"}
    first = {m: row[0][1] for m, row in heard.items() if m != "light-safe"}
    longest = max(length for m, row in heard.items() if m != "light-safe" for _, length in row)
    assert longest < half
    joined = sorted((last[a] + 300 + first[b], a, b) for a in last for b in first)
    assert joined[-1][0] < heard["light-safe"][0][1], joined[-1]


def test_six_cues_ask_for_an_act() -> None:
    assert len(meanings.ACT_NOW) == 6
