"""A rehearsal that skips silence: the sounds as they are, less of the quiet between them."""

from itertools import pairwise

import numpy as np
import pytest

from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.live import planning
from darktimer.live.gates import Waits
from darktimer.process.timeline import Cue, Step, Timeline
from tests.live.plans import OPEN, OTHER, cue_set, timeline
from tests.live.studio import RATE, Studio

WHOLE_MS = 10**7
#: A session looks so often.
TICK_MS = 50


def skip_silence(line: Timeline | None = None, waits: Waits = Waits.NOWHERE) -> Studio:
    return Studio(waits=waits, dark=False, line=line, skip_silence=True)


def bursts(samples: np.ndarray) -> list[bytes]:
    """Every sound with at least a third of a second of quiet about it."""
    loud = np.flatnonzero(samples)
    cuts = np.flatnonzero(np.diff(loud) > RATE // 3) + 1
    return [samples[each[0] : each[-1] + 1].tobytes() for each in np.split(loud, cuts)]


def test_every_sound_is_there_untouched_and_most_quiet_is_not():
    studio = skip_silence()
    line = Score(timeline(OPEN), cue_set(), RATE, SPEAKERS["none"])
    studio.until(WHOLE_MS)
    played = studio.tape.recording.samples()
    assert bursts(played) == bursts(line.fill(0, line.frames))
    length = int(np.flatnonzero(played)[-1]) / RATE
    assert length < 0.4 * timeline(OPEN).duration_ms / 1000


def test_nothing_is_jumped_while_the_plan_waits():
    studio = skip_silence(waits=Waits.LOADING)
    studio.until(60_000)
    time_map = studio.conductor.state.time_map
    assert time_map.stops_ms < 58_000
    studio.until(90_000)
    assert studio.conductor.state.time_map == time_map


def test_a_key_is_answered_in_a_brisk_rehearsal_too():
    """It keeps the quiet that it is told in."""
    studio = skip_silence()
    for at_ms in range(20_000, 90_000, 12_000):
        studio.keys.press(at_ms, OTHER)
    studio.until(WHOLE_MS)
    told = [c.meaning for c in studio.conductor.state.cues]
    assert sum(each.startswith("here-") for each in told) >= 4
    planned = [c.meaning for c in timeline(OPEN).cues if c.meaning in ("move", "stand", "lift")]
    assert [each for each in told if each in ("move", "stand", "lift")] == planned


STEP = Step("Wash", "wash", 0, 60_000, False)
MARK = Cue(0, cue_set().length_ms("marked"), "marked", 0)


def apart_ms(quiet_ms: int) -> int:
    """What is left of a quiet between two sounds alone."""
    following = MARK._replace(at_ms=MARK.end_ms + quiet_ms)
    studio = skip_silence(Timeline("", 60_000, (STEP,), (), (MARK, following), ()))
    studio.until(WHOLE_MS)
    one, two = studio.conductor.state.cues
    return two.at_ms - one.end_ms


@pytest.mark.parametrize(("quiet_ms", "cut"), [(2_500, False), (2_501, True)])
def test_quiet_is_cut_short_where_it_is_longer_than_it_may_be(quiet_ms, cut):
    assert (apart_ms(quiet_ms) < quiet_ms) is cut


@pytest.mark.parametrize("quiet_ms", [2_501, 10_000])
def test_what_is_left_of_a_long_quiet_is_the_same_at_both_its_ends(quiet_ms):
    """Half a second after the sound before it, and 0.7 s before the next, to the tick."""
    assert 500 + 700 <= apart_ms(quiet_ms) <= 500 + 700 + TICK_MS


def places(studio: Studio) -> list[int]:
    """The plan's moment at each tenth of a second that was played."""
    studio.until(WHOLE_MS)
    return [
        studio.conductor.state.position(at).plan_ms
        for at in range(0, studio.tape.position_ms(), 100)
    ]


def test_brisk_time_never_runs_back_and_never_jumps_over_a_sound() -> None:
    times = places(skip_silence())
    jumps = [(a, b) for a, b in pairwise(times) if b - a > 100]
    assert len(jumps) > 10
    assert all(b > a for a, b in pairwise(times) if b < timeline(OPEN).duration_ms)
    for before_ms, after_ms in jumps:
        passed = [c for c in timeline(OPEN).cues if before_ms < c.end_ms and c.at_ms < after_ms]
        assert passed == []


@pytest.mark.parametrize("more_ms", [0, 1])
def test_the_edge_of_what_is_long(more_ms: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Quiet as long as the limit is played; a millisecond more is cut to what is left of it."""
    cues = sorted(timeline(OPEN).cues)
    gaps = sorted({b.at_ms - a.end_ms for a, b in pairwise(cues)})
    long_ms = next(gap for gap in gaps if gap > 5_000)
    monkeypatch.setattr(planning, "QUIET_MS", long_ms - more_ms)
    times = places(skip_silence())
    jumped = [(a, b) for a, b in pairwise(times) if b - a > 100]
    pairs = [(a, b) for a, b in pairwise(cues) if b.at_ms - a.end_ms == long_ms]
    for before, after in pairs:
        within = [j for j in jumped if before.end_ms <= j[0] <= after.at_ms]
        assert len(within) == more_ms
