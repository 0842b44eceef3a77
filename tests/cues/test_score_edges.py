"""Where a lead-in begins to be needed, and where a score begins, ends and is cut, by hand."""

import numpy as np
import pytest

from darktimer.cues.cue_set import CueSet
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.process.timeline import Cue, Timeline

RATE = 8000  # eight frames a millisecond
MOVE_MS = 510


def score(
    cue_set: CueSet, cues: list[tuple[int, str]], speaker: str = "none", duration_ms: int = 12_000
) -> Score:
    placed = tuple(Cue(at, cue_set.length_ms(m), m, 0) for at, m in cues)
    line = Timeline("", duration_ms, (), (), placed, ())
    return Score(line, cue_set, RATE, SPEAKERS[speaker])


@pytest.mark.parametrize(("quiet_ms", "led"), [(3000, False), (3001, True)])
def test_a_speaker_may_sleep_after_more_than_3_s_of_quiet(
    standard: CueSet, quiet_ms: int, led: bool
) -> None:
    at_ms = MOVE_MS + quiet_ms
    line = score(standard, [(0, "move"), (at_ms, "move")], "wired")
    bed = score(standard, [], "wired")
    before = 8 * (at_ms - 400), 8 * 400
    assert (line.fill(*before) != bed.fill(*before)).any() == led


def test_a_cue_at_the_start_has_its_lead_in_before_it(standard: CueSet) -> None:
    line, bed = score(standard, [(0, "move")], "wired"), score(standard, [], "wired")
    added = line.fill(-4800, 4800).astype(int) - bed.fill(-4800, 4800)
    assert added[800:].tolist() == SPEAKERS["wired"].lead_in(RATE, -18).tolist()
    assert not added[:800].any()


def test_quiet_is_counted_from_the_end_of_the_longest(standard: CueSet) -> None:
    """A pip of 110 ms within the 11.3 s of light-safe does not end what sounds."""
    long_ms = 4 * 2600 + 3 * 300
    cues = [(0, "light-safe"), (500, "pip"), (long_ms + 3000, "move")]
    line, bed = score(standard, cues, "wired"), score(standard, [], "wired")
    assert list(line.cuts()) == [0, 8 * long_ms + 1, 8 * (long_ms + 3000), line.frames]
    before = 8 * (long_ms + 2600), 8 * 400
    assert (line.fill(*before) == bed.fill(*before)).all()


def test_a_cut_falls_before_the_lead_in(standard: CueSet) -> None:
    line = score(standard, [(1000, "move"), (9000, "move")], "wired")
    assert list(line.cuts()) == [0, 8 * (1000 + MOVE_MS) + 1, 8 * 8500, 8 * 12_000]


def test_nothing_at_all_takes_no_time(standard: CueSet) -> None:
    line = score(standard, [], duration_ms=0)
    assert (line.frames, list(line.cuts())) == (0, [0, 0])
    assert line.fill(0, 8).tolist() == [0] * 8


@pytest.mark.parametrize("count", [39_999, 40_000, 40_001, 90_000])
def test_the_bed_goes_round_every_five_seconds(standard: CueSet, count: int) -> None:
    line, bed = score(standard, [], "sleepy"), SPEAKERS["sleepy"].bed(RATE)
    expected = [bed[(123 + k) % 40_000] for k in range(count)]
    assert np.array_equal(line.fill(123, count), expected)


def test_a_block_of_mere_bed_cannot_be_written_to(standard: CueSet) -> None:
    """It is the bed itself, which every such block shares."""
    with pytest.raises(ValueError, match="read-only"):
        score(standard, [], "wired").fill(0, 8)[0] = 1
