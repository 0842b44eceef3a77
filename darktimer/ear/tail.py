"""What a room that rings adds to a tone: a tail, in which the next pulse begins unheard.

A tail falls evenly, so that what stood there a moment ago tells how much of what stands there now
is left of it (the late reverberation of Lebart et al. 2001). How much a room keeps is read off the
recording: where no tail is, nothing is taken out.
"""

from typing import Final

import numpy as np

from darktimer.ear.spectrum import FRAME_MS, Matrix

#: A moment, in frames: about the shortest rest between two pulses.
_MOMENT: Final = 90 // FRAME_MS
#: What falls to less than this share within a moment is at its end.
_FALLING: Final = 0.7
#: Partials fade and swell in a tail: what half of all ends keep is about half of what it holds.
_FADED: Final = 2
#: More is kept where sound takes longer than 1.5 s to fall by 60 dB.
_MOST_KEPT: Final = 0.44
#: So many times over the noise a tone is plain, and one that leaves a tail.
_PLAIN: Final = 30
_TAILED: Final = 3


def without_tail(power: Matrix, noise: Matrix) -> Matrix:
    """(bands, frames) of power less the tail of what came before it, and no less than ``noise``."""
    before, now, still = power[:, :-_MOMENT], power[:, _MOMENT:], noise[:, :-_MOMENT]
    tail = np.float32(kept(power, noise)) * np.maximum(before - _TAILED * still, 0)
    fresh = power.copy()
    fresh[:, _MOMENT:] = np.maximum(now - tail, np.minimum(now, still))
    return fresh


def kept(power: Matrix, noise: Matrix) -> float:
    """The share of a tone's power that the room holds a moment after its end."""
    before, now, still = power[:, :-_MOMENT], power[:, _MOMENT:], noise[:, :-_MOMENT]
    plain = before > _PLAIN * still
    shares = np.maximum(now - still, 0)[plain] / before[plain]
    ends = shares[shares < _FALLING]
    return min(_MOST_KEPT, _FADED * float(np.median(ends))) if len(ends) else 0.0
