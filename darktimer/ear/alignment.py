"""Lays heard cues on a timeline whose offset and whose clock are unknown.

heard_ms = offset_ms + planned_ms * (1 + ppm / 1e6). Every pair of a heard and a planned cue of the
same meaning votes for an offset; a straight line is then fitted to the pairs that agree. Cues that
are out of place or mistaken move nothing.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from darktimer.ear.hearing import Detection
from darktimer.process.timeline import Cue

#: A recorder's clock is wrong by no more than this.
HIGHEST_PPM: Final = 300
_STEP_PPM: Final = 20
#: Offsets closer than this vote together.
_BIN_MS: Final = 60
#: Most pairs that may vote; the rarest meanings vote first, since they tell most.
_MOST_PAIRS: Final = 200_000
#: Pairs further from the line than this are no pairs; as wide as a step in ppm is over ten hours.
_NEAR_MS: Final = 400
#: What is believed before anything is heard: clocks are wrong by about this much, onsets by this.
_USUAL_PPM: Final = 100.0
_USUAL_MS: Final = 5.0


class Alignment(NamedTuple):
    """Where a timeline lies in a recording, and how much faster the recorder counts."""

    offset_ms: float
    ppm: float

    def at(self, planned_ms: float) -> float:
        """When a moment of the timeline comes in the recording, in ms."""
        return self.offset_ms + planned_ms * (1 + self.ppm * 1e-6)


def aligned(heard: Sequence[Detection], planned: Sequence[Cue]) -> Alignment | None:
    """The line on which most heard cues lie, or None where no cue of the timeline was heard."""
    pairs = _pairs(heard, planned)
    if not len(pairs):
        return None
    line = _voted(pairs)
    for within_ms in (_NEAR_MS, 100.0, 50.0):
        planned_ms, heard_ms, _ = pairs.T
        near = np.abs(heard_ms - line.at(planned_ms)) < within_ms
        if near.any():
            line = _least_squares(planned_ms[near], heard_ms[near])
    return line


def places(first: Sequence[Detection], planned: Sequence[Cue], ppm: float) -> Iterator[Alignment]:
    """Every line of this clock on which one of ``first`` is a cue of its meaning."""
    for one in first:
        for cue in planned:
            if cue.meaning == one.meaning:
                yield Alignment(one.at_ms - cue.at_ms * (1 + ppm * 1e-6), ppm)


def _pairs(heard: Sequence[Detection], planned: Sequence[Cue]) -> NDArray[np.float64]:
    """(planned ms, heard ms, weight) of every pair of one meaning, the rarest meanings first."""
    by_meaning: dict[str, tuple[list[float], list[float]]] = defaultdict(lambda: ([], []))
    for cue in planned:
        by_meaning[cue.meaning][0].append(cue.at_ms)
    for one in heard:
        by_meaning[one.meaning][1].append(one.at_ms)
    found = sorted((len(p) * len(h), p, h) for p, h in by_meaning.values() if p and h)
    rows, total = [np.zeros((0, 3))], 0
    for count, there, here in found:
        total += count
        if total > _MOST_PAIRS and len(rows) > 1:
            break
        weight = 1 / max(len(there), len(here))
        grid = np.array(np.meshgrid(there, here)).reshape(2, -1).T
        rows.append(np.column_stack((grid, np.full(len(grid), weight))))
    return np.concatenate(rows)


def _voted(pairs: NDArray[np.float64]) -> Alignment:
    """The offset and clock that most pairs agree on, each meaning with one voice a cue."""
    planned_ms, heard_ms, weight = pairs.T
    best, most = Alignment(0.0, 0.0), -1.0
    for ppm in sorted(range(-HIGHEST_PPM, HIGHEST_PPM + 1, _STEP_PPM), key=abs):
        offsets = heard_ms - planned_ms * (1 + ppm * 1e-6)
        bins = np.floor(offsets / _BIN_MS).astype(np.int64)
        kinds, places = np.unique(bins, return_inverse=True)
        votes = np.bincount(places, weight)
        pair = votes.copy()  # with the bin above, so that no edge splits a vote
        pair[:-1] += np.where(np.diff(kinds) == 1, votes[1:], 0)
        if pair.max() > most + 1e-9:
            most = float(pair.max())
            best = Alignment((float(kinds[pair.argmax()]) + 1) * _BIN_MS, float(ppm))
    return best


def _least_squares(planned_ms: NDArray[np.float64], heard_ms: NDArray[np.float64]) -> Alignment:
    """The straight line, drawn towards a right clock as far as few or close cues leave it open."""
    middle = planned_ms.mean()
    lever = planned_ms - middle
    late = heard_ms - planned_ms
    stiffness = (_USUAL_MS / (_USUAL_PPM * 1e-6)) ** 2
    slope = float(lever @ (late - late.mean()) / (lever @ lever + stiffness))
    return Alignment(float(late.mean() - slope * middle), slope * 1e6)
