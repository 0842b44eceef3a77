import itertools
import tracemalloc

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from darktimer.cues.cue_set import CueSet
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.cues.tone import BED_PEAK, CEILING, Samples, tone
from darktimer.process.timeline import Cue, Timeline
from darktimer.units import frames

RATE = 8000
MEANINGS = ["move", "stand", "pip", "alarm", "tally-4", "enter-fix", "heartbeat"]


def score(
    cue_set: CueSet,
    cues: list[tuple[int, str]],
    speaker: str = "none",
    rate: int = RATE,
    duration_ms: int = 12_000,
) -> Score:
    placed = tuple(Cue(at, cue_set.length_ms(m), m, 0) for at, m in cues)
    line = Timeline("", duration_ms, (), (), placed, ())
    return Score(line, cue_set, rate, SPEAKERS[speaker])


def whole(line: Score) -> Samples:
    return line.fill(0, line.frames)


def test_every_pulse_starts_at_its_own_millisecond(standard: CueSet) -> None:
    rate, at_ms = 44_100, 3_599_983
    line = score(standard, [(at_ms, "alarm")], rate=rate, duration_ms=3_600_000)
    for pulse in standard.pulses("alarm"):
        start = frames(at_ms + pulse.at_ms, rate)
        assert not line.fill(start - 5, 5).any()
        assert line.fill(start, frames(2, rate)).any()


@pytest.mark.parametrize("at_ms", [0, 1, 1003, 1005, 1007, 3_599_985, 3_599_999])
@pytest.mark.parametrize("rate", [44_100, 11_025])
def test_every_pulse_is_in_place_to_the_frame(standard: CueSet, rate: int, at_ms: int) -> None:
    """By whole numbers alone: a moment between two frames falls on the nearer, halves later."""
    meaning = "enter-develop"
    line = score(standard, [(at_ms, meaning)], rate=rate, duration_ms=3_600_000)
    for pulse in standard.pulses(meaning):
        start = (2 * (at_ms + pulse.at_ms) * rate + 1000) // 2000
        wave = tone(pulse, standard.voice, rate)
        assert (line.fill(start, len(wave)) == wave).all()
        assert not line.fill(start - 20, 20).any()


def test_the_last_frame_of_the_longest_sound_is_in_a_block_of_its_own(standard: CueSet) -> None:
    rate, pulse = 11_025, standard.pulses("alarm")[-1]
    for at_ms in range(1000, 1040):
        line = score(standard, [(at_ms, "alarm")], rate=rate)
        end = frames(at_ms + pulse.at_ms, rate) + frames(pulse.length_ms, rate)
        wave = tone(pulse, standard.voice, rate)
        assert line.fill(end - 1, 1)[0] == wave[-1]


@pytest.mark.parametrize("speaker", sorted(SPEAKERS))
@pytest.mark.parametrize("rate", [8000, 44_100])
def test_a_block_may_end_at_any_edge_of_a_sound(standard: CueSet, rate: int, speaker: str) -> None:
    line = score(standard, [(1003, "move"), (4001, "lift")], speaker, rate, 7_001)
    before = frames(3_000, rate)
    samples = line.fill(-before, before + line.frames)
    edges: set[int] = set()
    for at_ms, meaning in ((1003, "move"), (4001, "lift")):
        for pulse in standard.pulses(meaning):
            start = frames(at_ms + pulse.at_ms, rate)
            edges |= {start, start + frames(pulse.length_ms, rate)}
            edges.add(start - frames(SPEAKERS[speaker].lead_ms, rate))
    for edge in (e + off for e in edges for off in (-2, -1, 0, 1, 2)):
        at = edge + before
        assert (line.fill(edge - 3, 3) == samples[at - 3 : at]).all()
        assert (line.fill(edge, 3) == samples[at : at + 3]).all()
        assert (line.fill(edge, 1) == samples[at]).all()


@pytest.mark.parametrize("apart_ms", [100, 101])
@pytest.mark.parametrize("rate", [8000, 11_025, 44_100])
def test_cuts_fall_where_quiet_begins_and_ends(standard: CueSet, rate: int, apart_ms: int) -> None:
    """Between two cuts all is silent, or a sound is whole; a short silence is not worth a cut."""
    end_ms = 1003 + standard.length_ms("move")
    line = score(standard, [(1003, "move"), (end_ms + apart_ms, "lift")], rate=rate)
    samples, cuts = whole(line), list(line.cuts())
    assert (cuts[0], cuts[-1]) == (0, line.frames)
    assert cuts == sorted(cuts)
    worth_it = apart_ms > 100
    assert len(cuts) == 2 + 2 * worth_it
    if worth_it:
        assert cuts[1:3] == [frames(end_ms, rate) + 1, frames(end_ms + apart_ms, rate)]
        assert not samples[cuts[1] : cuts[2]].any()


def test_silence_is_digital_and_goes_on_past_the_end(standard: CueSet) -> None:
    line = score(standard, [(5000, "move")])
    assert not line.fill(0, frames(5000, RATE)).any()
    assert not line.fill(line.frames, 1000).any()


def test_a_cue_at_the_very_end_is_not_cut(standard: CueSet) -> None:
    line = score(standard, [(12_000, "end")])
    assert line.frames == frames(12_000 + standard.length_ms("end"), RATE)


def test_many_sounds_at_once_stay_below_the_ceiling(standard: CueSet) -> None:
    line = score(standard, [(1000, "alarm")] * 30)
    assert 25_000 < np.abs(whole(line).astype(int)).max() <= CEILING


def test_a_cue_alone_is_not_touched_by_what_is_elsewhere(standard: CueSet) -> None:
    alone = score(standard, [(1000, "move")])
    crowded = score(standard, [(1000, "move"), (5000, "alarm"), (5000, "alarm")])
    end = frames(2000, RATE)
    assert (alone.fill(0, end) == crowded.fill(0, end)).all()


@pytest.mark.parametrize(("speaker", "lead_ms"), [("wired", 500), ("sleepy", 1200)])
def test_a_lead_in_stands_before_a_cue_that_follows_quiet(
    standard: CueSet, speaker: str, lead_ms: int
) -> None:
    line = score(standard, [(2000, "move"), (4000, "stand"), (9000, "move")], speaker)
    bed = score(standard, [], speaker)
    added = whole(line).astype(int) - bed.fill(0, line.frames)
    led = [frames(at_ms, RATE) for at_ms in (2000, 9000)]
    for start in led:
        assert added[start - frames(lead_ms, RATE) // 2 : start].any()
        assert not added[start - frames(lead_ms, RATE) - 800 : start - frames(lead_ms, RATE)].any()
    assert not added[frames(3000, RATE) : frames(4000, RATE)].any()


@pytest.mark.parametrize("speaker", sorted(SPEAKERS))
def test_no_speaker_moves_a_cue(standard: CueSet, speaker: str) -> None:
    cues = [(100, "move"), (6000, "stand")]
    plain, played = whole(score(standard, cues)), whole(score(standard, cues, speaker))
    sounding = plain != 0
    difference = np.abs(played.astype(int) - plain)[sounding]
    assert difference.max() <= BED_PEAK


def test_the_bed_lies_below_minus_60_dbfs_and_never_stops(standard: CueSet) -> None:
    for name in ("wired", "sleepy"):
        bed = whole(score(standard, [], name))
        assert 0 < np.abs(bed).max() <= 32
        assert not (bed[:-8].reshape(-1, 8)[:1000] == 0).all(axis=1).any()


def test_a_day_of_cues_takes_a_few_hundred_kilobytes(standard: CueSet) -> None:
    cues = [(4000 * i, MEANINGS[i % 3]) for i in range(21_600)]
    placed = tuple(Cue(at, standard.length_ms(m), m, 0) for at, m in cues)
    line = Score(Timeline("", 86_400_000, (), (), (), ()), standard, RATE, SPEAKERS["wired"])
    line.prepare(MEANINGS)
    tracemalloc.start()
    line.exchange(placed)
    taken, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert taken < 400_000
    assert line.fill(line.frames - 8000, 8000).shape == (8000,)


placed_cues = st.lists(
    st.tuples(st.integers(0, 11_000), st.sampled_from(MEANINGS)), min_size=1, max_size=8
)
cuts = st.lists(st.integers(1, 40_000), min_size=1, max_size=20)


@settings(max_examples=40, deadline=None)
@given(placed_cues, cuts, st.sampled_from(sorted(SPEAKERS)), st.sampled_from([8000, 11_025]))
def test_any_way_of_cutting_gives_the_same_samples(
    standard: CueSet, cues: list[tuple[int, str]], sizes: list[int], speaker: str, rate: int
) -> None:
    line = score(standard, cues, speaker, rate)
    at, blocks = 0, []
    for size in itertools.cycle(sizes):
        if at >= line.frames:
            break
        blocks.append(line.fill(at, min(size, line.frames - at)).copy())
        at += size
    assert (np.concatenate(blocks) == whole(line)).all()


@settings(max_examples=30, deadline=None)
@given(placed_cues, st.sampled_from(sorted(SPEAKERS)))
def test_cues_added_later_sound_as_if_placed_at_once(
    standard: CueSet, cues: list[tuple[int, str]], speaker: str
) -> None:
    grown = score(standard, [], speaker)
    row: list[Cue] = []
    for at_ms, meaning in cues:
        row = [*row, Cue(at_ms, standard.length_ms(meaning), meaning, 0)]
        grown.exchange(row)
    together = score(standard, cues, speaker)
    assert grown.frames == together.frames
    assert (whole(grown) == whole(together)).all()
