"""What is louder than any cue is noise: a voice, a drop, a lid.

Noise is told by quiet places beside the bands, where a voice may have little and much in a band.
But a cue is never much louder in a band than its notes are elsewhere in the recording, so that what
stands above that is none, and what lies under it is hidden.
"""

from typing import Final

import numpy as np

from darktimer.ear.bands import Reals
from darktimer.ear.spectrum import Matrix

#: So many times what a cue has at most, or the noise, is no cue: chance and echoes do that much.
_TOO_LOUD: Final = 2
#: Where this share of all power is too loud, there is more than steady noise and cues.
_MUCH: Final = 0.01


def most_of_cues(usual: Reals, loudest: Reals, shapes: Reals) -> Reals:
    """The most power that a cue has in each band (B,); infinite where one of its notes is unknown.

    ``usual`` (N, B) is what was heard of each note, 0 where nothing is known, ``loudest`` (N,) what
    it has at most, against one as loud as the set.
    """
    known = np.any(usual, axis=1, keepdims=True)
    most = np.where(known, usual * loudest[:, None], np.where(shapes > 0, np.inf, 0))
    return np.asarray(most.max(axis=0))


def beyond(power: Matrix, noise: Matrix, most: Reals) -> Matrix:
    """How far (bands, frames) of power are above all that a cue may have."""
    allowed = _TOO_LOUD * np.maximum(most[:, None].astype(np.float32), noise)
    return np.asarray(np.maximum(power - allowed, 0))


def is_much(power: Matrix, noise: Matrix, most: Reals) -> bool:
    """Whether so much is too loud that it is worth to hear again."""
    return bool(beyond(power, noise, most).sum() > _MUCH * power.sum())
