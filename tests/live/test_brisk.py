"""A brisk rehearsal: the sounds as they are, less of the quiet between them."""

import numpy as np

from darktimer.cues.score import Score
from darktimer.cues.speaker import SPEAKERS
from darktimer.live.conductor import Conductor
from darktimer.live.gates import Waits
from darktimer.live.stream import BriskSound
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
