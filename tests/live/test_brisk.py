"""A brisk rehearsal: the sounds as they are, less of the quiet between them."""

import numpy as np
import pytest

from darktimer.cues.score import Score
from darktimer.cues.speaker import SPEAKERS
from darktimer.live.conductor import Conductor
from darktimer.live.gates import Waits
from darktimer.live.stream import BriskSound
from darktimer.process.timeline import Cue, Step, Timeline
from tests.live.plans import OPEN, cue_set, timeline

RATE = 8000
BLOCK = 800


def played(sound: BriskSound, seconds: int) -> np.ndarray:
    return np.concatenate([sound.fill(at, BLOCK) for at in range(0, seconds * RATE, BLOCK)])


def bursts(samples: np.ndarray) -> list[bytes]:
    """Every sound with at least a third of a second of quiet about it."""
    loud = np.flatnonzero(samples)
    cuts = np.flatnonzero(np.diff(loud) > RATE // 3) + 1
    return [samples[each[0] : each[-1] + 1].tobytes() for each in np.split(loud, cuts)]


def test_every_sound_is_there_untouched_and_most_quiet_is_not():
    line = Score(timeline(OPEN), cue_set(), RATE, SPEAKERS["none"])
    conductor = Conductor(timeline(OPEN), cue_set(), Waits.NOWHERE)
    sound = BriskSound(line, conductor, 0)
    whole = line.fill(0, line.frames)
    brisk = played(sound, 150)
    assert bursts(brisk) == bursts(whole)
    length = int(np.flatnonzero(brisk)[-1]) / RATE
    assert length < 0.4 * timeline(OPEN).duration_ms / 1000


def test_nothing_is_jumped_while_the_plan_waits():
    line = Score(timeline(OPEN), cue_set(), RATE, SPEAKERS["none"])
    conductor = Conductor(timeline(OPEN), cue_set(), Waits.LOADING)
    sound = BriskSound(line, conductor, 0)
    played(sound, 60)
    stops_ms = conductor.state.course.stops_ms
    one, two = (sound.line_frame(at * RATE) for at in (58, 59))
    assert one > stops_ms * RATE // 1000
    assert two - one == RATE


def sounding(*cues: Cue) -> tuple[Score, BriskSound]:
    """A line of these cues alone, briskly, from the first of them on."""
    line = Timeline("", 60_000, (STEP,), (), cues, ())
    score = Score(line, cue_set(), RATE, SPEAKERS["none"])
    return score, BriskSound(score, Conductor(line, cue_set(), Waits.NOWHERE), 0)


def cut_ms(sound: BriskSound, until_ms: int, block: int = BLOCK) -> int:
    """How much was left out until a moment of the speaker, asked for in blocks."""
    for at in range(0, until_ms * RATE // 1000, block):
        sound.fill(at, block)
    played = until_ms * RATE // 1000
    return (sound.line_frame(played) - played) * 1000 // RATE


STEP = Step("Wash", "wash", 0, 60_000, False)
MARK = Cue(0, cue_set().length_ms("marked"), "marked", 0)


@pytest.mark.parametrize(("quiet_ms", "cut"), [(2_500, False), (2_501, True)])
def test_quiet_is_cut_short_where_it_is_longer_than_it_may_be(quiet_ms, cut):
    following = MARK._replace(at_ms=MARK.end_ms + quiet_ms)
    _, sound = sounding(MARK, following)
    assert (cut_ms(sound, MARK.end_ms + 1_300, block=8) > 0) is cut


def test_what_is_left_of_a_long_quiet_is_the_same_at_both_its_ends():
    """Half a second after the sound before it, and 0.7 s before the next, to the block."""
    following = MARK._replace(at_ms=MARK.end_ms + 10_000)
    _, sound = sounding(MARK, following)
    assert cut_ms(sound, MARK.end_ms + 500, block=8) == 0
    assert cut_ms(sound, MARK.end_ms + 502, block=8) == 10_000 - 500 - 700


@pytest.mark.parametrize("block", [1, 7, 800, 4_001])
def test_a_cut_falls_between_two_blocks_however_long_they_are(block):
    following = MARK._replace(at_ms=MARK.end_ms + 10_000)
    score, sound = sounding(MARK, following)
    heard = np.concatenate([sound.fill(at, block) for at in range(0, 6 * RATE, block)])
    assert bursts(heard) == bursts(score.fill(0, score.frames))
