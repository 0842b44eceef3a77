"""Lays heard cues on a timeline whose offset and whose clock are unknown.

heard_ms = offset_ms + planned_ms * (1 + ppm / 1e6). Every pair of a heard and a planned cue of the
same meaning votes for an offset; a straight line is then fitted to the pairs that agree. Cues that
are out of place or mistaken move nothing. Clocks that no recorder should have are tried, coarsely
and then finely, only where the usual ones leave something unexplained.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from darktimer.ear.hearing import Detection
from darktimer.process.timeline import Cue

#: A clock that is in order is wrong by no more than this.
HIGHEST_PPM: Final = 300
_STEP_PPM: Final = 20
#: What goes by one of the two usual rates and is played or recorded by the other.
MIXED_UP_PPM: Final = (round((44_100 / 48_000 - 1) * 1e6), round((48_000 / 44_100 - 1) * 1e6))
#: How wrong a clock may be otherwise, and how coarsely all of these are tried.
_ANY_PPM: Final = 12_000
_COARSE: Final = 4
#: As far as so few pairs go, which are of the rarest meanings.
_COARSE_PAIRS: Final = 20_000
#: A clock out of order is believed when so many cues agree on it, so many of those heard, and so
#: many times as many as on any clock in order: the same few sounds fit a plan in many places.
_FEWEST: Final = 8
_ENOUGH: Final = 0.5
_CLEARLY_MORE: Final = 1.25
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


def aligned(
    heard: Sequence[Detection], planned: Sequence[Cue], any_clock: bool = True
) -> Alignment | None:
    """The line on which most heard cues lie, or None where no cue of the timeline was heard.

    ``any_clock`` allows for clocks that are out of order.
    """
    pairs = _pairs(heard, planned)
    if not len(pairs):
        return None
    line = _drawn(pairs, _voted(pairs, _around(0, HIGHEST_PPM), _BIN_MS), 0.0)
    cues = len(np.unique(pairs[:, 1]))
    agreeing = _agreeing(pairs, line) if abs(line.ppm) <= HIGHEST_PPM else 0
    enough = max(_FEWEST, _ENOUGH * cues, _CLEARLY_MORE * agreeing)
    if enough > cues or not any_clock:
        return line
    other = _of_any_clock(pairs)
    return other if _agreeing(pairs, other) >= enough else line


def places(first: Sequence[Detection], planned: Sequence[Cue], ppm: float) -> Iterator[Alignment]:
    """Every line of this clock on which one of ``first`` is a cue of its meaning."""
    for one in first:
        for cue in planned:
            if cue.meaning == one.meaning:
                yield Alignment(one.at_ms - cue.at_ms * (1 + ppm * 1e-6), ppm)


def _around(middle_ppm: int, most_ppm: int, step_ppm: int = _STEP_PPM) -> list[int]:
    """Clocks to try, the middle one first."""
    steps = range(-(most_ppm // step_ppm), most_ppm // step_ppm + 1)
    return [middle_ppm + step * step_ppm for step in sorted(steps, key=abs)]


def _of_any_clock(pairs: NDArray[np.float64]) -> Alignment:
    """The line on which most cues lie where the clock may be far out of order.

    Offsets vote together as far as a step moves the last cue, and no further: in a short recording
    that many clocks explain the finer search is to begin near the right one.
    """
    few = pairs[:_COARSE_PAIRS]
    step_ppm = _COARSE * _STEP_PPM
    moved_ms = round(step_ppm * 1e-6 * np.ptp(pairs[:, 1]))
    bin_ms = min(max(moved_ms, _BIN_MS), _COARSE * _BIN_MS)
    tried = _around(0, _ANY_PPM, step_ppm)
    for ppm in MIXED_UP_PPM:
        tried += _around(ppm, HIGHEST_PPM, step_ppm)
    ppm = round(_voted(few, tried, bin_ms).ppm)
    line = _drawn(pairs, _voted(few, _around(ppm, step_ppm), _BIN_MS), ppm)
    return _drawn(pairs, line, line.ppm)  # what is wrong by so much is drawn to nothing usual


def _drawn(pairs: NDArray[np.float64], line: Alignment, usual_ppm: float) -> Alignment:
    """The straight line through the pairs that are near."""
    planned_ms, heard_ms, _ = pairs.T
    for within_ms in (_NEAR_MS, 100.0, 50.0):
        near = np.abs(heard_ms - line.at(planned_ms)) < within_ms
        if near.any():
            line = _least_squares(planned_ms[near], heard_ms[near], usual_ppm)
    return line


def _agreeing(pairs: NDArray[np.float64], line: Alignment) -> int:
    """How many of the cues that were heard lie on the line."""
    planned_ms, heard_ms, _ = pairs.T
    return len(np.unique(heard_ms[np.abs(heard_ms - line.at(planned_ms)) < 100.0]))


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


def _voted(pairs: NDArray[np.float64], tried: Iterable[int], bin_ms: int) -> Alignment:
    """The offset and clock that most pairs agree on; of equals the clock that was tried first."""
    counted = (_counted(pairs, ppm, bin_ms) for ppm in tried)
    return max(counted, key=lambda votes_and_line: votes_and_line[0])[1]


def _counted(pairs: NDArray[np.float64], ppm: int, bin_ms: int) -> tuple[float, Alignment]:
    """The most votes for an offset by one clock, each meaning with one voice a cue, and where."""
    planned_ms, heard_ms, weight = pairs.T
    offsets = heard_ms - planned_ms * (1 + ppm * 1e-6)
    bins, places = np.unique(np.floor(offsets / bin_ms), return_inverse=True)
    votes = np.bincount(places, weight)
    pair = votes.copy()  # with the bin above, so that no edge splits a vote
    pair[:-1] += np.where(np.diff(bins) == 1, votes[1:], 0)
    offset_ms = (float(bins[pair.argmax()]) + 1) * bin_ms
    return round(float(pair.max()), 9), Alignment(offset_ms, float(ppm))


def _least_squares(
    planned_ms: NDArray[np.float64], heard_ms: NDArray[np.float64], usual_ppm: float
) -> Alignment:
    """The straight line, drawn to the usual clock as far as few or close cues leave it open."""
    middle = planned_ms.mean()
    lever = planned_ms - middle
    late = heard_ms - planned_ms
    stiffness = (_USUAL_MS / (_USUAL_PPM * 1e-6)) ** 2
    pull = stiffness * usual_ppm * 1e-6
    slope = float((lever @ late + pull) / (lever @ lever + stiffness))
    return Alignment(float(late.mean() - slope * middle), slope * 1e6)
