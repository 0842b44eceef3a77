"""Every shipped plan, whole, and a day of cues are searched for the patterns that empty a house.

Sources: ISO 8201 for three pulses of 0.5 s with 0.5 s between and 1.5 s after; UL 2034, from
memory, for four of 0.1 s with 0.1 s between and about 5 s after. The search is wider than either:
any spacing within the row, and pulses of 0.3 to 0.8 s or of 50 to 200 ms. It shares no code with
the rules of the package: it hears only samples. What it must find instead is light-safe, and that
only where a plan says so.
"""

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.plan.reader import read_plan
from darktimer.process.compiler import compile_plan
from darktimer.process.timeline import Cue, Timeline
from darktimer.shipped import names

RATE = 8_000
Wave = NDArray[np.float64]
Tone = tuple[float, float]


def tones(wave: Wave, floor: float = 0.002) -> list[Tone]:
    """(onset, length) in seconds of what lies above the floor, by peaks of 4 ms."""
    window = RATE // 250
    peaks = np.abs(wave[: len(wave) // window * window]).reshape(-1, window).max(axis=1)
    edges = np.flatnonzero(np.diff(np.concatenate(([0], peaks > floor, [0])).astype(int)))
    times = edges * window / RATE
    return [(on, off - on) for on, off in zip(times[::2], times[1::2], strict=True)]


def all_tones(score: Score) -> list[Tone]:
    """The tones of a whole score, read piece by piece: hours of it need not be in memory."""
    heard = []
    for start, end in pairwise(score.cuts()):
        for onset, length in tones(score.fill(start, end - start) / 32_768):
            heard.append((start / RATE + onset, length))
    return heard


def light_safe(heard: list[Tone]) -> list[float]:
    """Where slow tones begin, such as nothing else has: half of it may be lost."""
    return [at for at, length in heard if length >= 1.5]


def rows(heard: list[Tone], pause: float) -> list[list[float]]:
    """Lengths of the tones between pauses."""
    found: list[list[float]] = [[]]
    end = 0.0
    for at, length in heard:
        if at - end >= pause and found[-1]:
            found.append([])
        found[-1].append(length)
        end = at + length
    return found


def evacuation(heard: list[Tone]) -> bool:
    last_three = (row[-3:] for row in rows(heard, pause=1.0) if len(row) >= 3)
    return any(all(0.3 <= length <= 0.8 for length in row) for row in last_three)


def carbon_monoxide(heard: list[Tone]) -> bool:
    fours = (row for row in rows(heard, pause=2.0) if len(row) == 4)
    return any(all(0.05 <= length <= 0.2 for length in row) for row in fours)


def beeps(times: list[float], length: float, seconds: float) -> Wave:
    wave = np.zeros(int(seconds * RATE))
    for at in times:
        begin, end = int(at * RATE), int((at + length) * RATE)
        wave[begin:end] = 0.3 * np.sin(2 * np.pi * 1000 * np.arange(end - begin) / RATE)
    return wave


def rendered(cue_set: CueSet, cues: list[tuple[int, str]], speaker: str) -> Wave:
    placed = tuple(Cue(at, cue_set.length_ms(m), m, 0) for at, m in cues)
    duration_ms = max(at for at, _ in cues) + 20_000
    score = Score(Timeline("", duration_ms, (), (), placed, ()), cue_set, RATE, SPEAKERS[speaker])
    return score.fill(0, score.frames) / 32_768


def working_day(cue_set: CueSet) -> list[tuple[int, str]]:
    """Every cue followed by quiet, then the repeated ones in rows of one to five."""
    at, cues = 1000, []
    counted = ["tally-3", "tally-4", "tally-14", "tally-30", "tally-40", "left-40", "left-2440"]
    single = [m for m in cue_set.meanings() if not m.startswith(("tally", "left"))]
    for meaning in [*single, *counted]:
        cues.append((at, meaning))
        at += cue_set.length_ms(meaning) + 6000
    for meaning in ("turn", "sheet", "reverse", "round"):
        for times in range(1, 6):
            step = max(1000, cue_set.length_ms(meaning) + 200)
            cues += [(at + k * step, meaning) for k in range(times)]
            at += times * step + 6000
    for pips in range(1, 6):  # a countdown always runs into its change
        cues += [(at + k * 1000, "pip") for k in range(pips)]
        cues.append((at + pips * 1000, "enter-fix"))
        at += pips * 1000 + 8000
    cues += [(at + k * 5000, "heartbeat") for k in range(6)]
    return cues


def test_the_search_finds_the_patterns_it_looks_for() -> None:
    three = [k * 4.0 + i for k in range(3) for i in range(3)]
    four = [k * 5.8 + 0.2 * i for k in range(3) for i in range(4)]
    assert evacuation(tones(beeps(three, 0.5, 13.0)))
    assert carbon_monoxide(tones(beeps(four, 0.1, 20.0)))
    assert not evacuation(tones(beeps(four, 0.1, 20.0)))
    assert not carbon_monoxide(tones(beeps(three, 0.5, 13.0)))


@pytest.mark.parametrize("name", names("sounds"))
@pytest.mark.parametrize("speaker", sorted(SPEAKERS))
def test_no_cue_and_no_row_of_cues_sounds_like_either(speaker: str, name: str) -> None:
    cue_set = load_cue_set(name)
    cues = [cue for cue in working_day(cue_set) if cue[1] not in cue_set.unsaid]
    heard = tones(rendered(cue_set, cues, speaker), floor=0.004)
    assert len(heard) > 2 * len(cues)
    assert not evacuation(heard)
    assert not carbon_monoxide(heard)


@pytest.mark.parametrize("name", names("sounds"))
@pytest.mark.parametrize("plan", names("sequences"))
def test_no_shipped_plan_sounds_like_either_and_light_is_safe_but_once(
    plan: str, name: str
) -> None:
    cue_set = load_cue_set(name)
    timeline = compile_plan(read_plan(plan).plan, cue_set.length_ms)
    heard = all_tones(Score(timeline, cue_set, RATE, SPEAKERS["none"]))
    assert len(heard) == sum(len(cue_set.pulses(cue.meaning)) for cue in timeline.cues)
    assert not evacuation(heard)
    assert not carbon_monoxide(heard)
    planned = [cue.at_ms / 1000 for cue in timeline.cues if cue.meaning == "light-safe"]
    slow = light_safe(heard)
    assert len(slow) == 4 * len(planned)
    assert slow[::4] == pytest.approx(planned, abs=0.01)
