"""How likely a person takes one sound for another, from what is published of hearing.

The measure is the cheapest way to turn one sound into the other (the edit distance of Levenshtein),
counted in clear differences. One of these is

- a pulse more or less: two or three are counted reliably (doi 10.1037/xhp0000578); in a longer row
  without a rest it counts for less, by three parts of the row's length;
- twice the length, or twice the way from onset to onset: 28 differences just noticed, which are
  2.5 %, or 6 ms where that is more (Friberg & Sundberg 1995). Four times is two, and no more is.

Melody helps little: by it alone 55 % were right (Wee & Sanderson 2008), so that each turn of the
contour is a quarter of a difference, and all of them half of one. Loudness depends on the room: 10
dB are half of one, and no more. A pulse counts for less that comes out softer than its neighbours
of a speaker that plays nothing below 800 Hz, to an ear of 80 (ISO 7029:2017, median of men).
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate, pairwise
from math import erfc, log, log10
from typing import Final, NamedTuple

from darktimer.cues.cue_set import Pulse, Voice

#: What this goes by, for who reads a rule that asks for it.
SOURCE: Final = "published figures on counting, rhythm and melody"
#: A difference just noticed: this share, or so many ms; how many are clear; how much one can count.
_JUST_NOTICED: Final = 0.025
_LEAST_NOTICED_MS: Final = 6.0
_CLEARLY: Final = 28.0
_MOST_CHANGE: Final = 2.0
#: Nobody counts more than three in a row, and a rest longer than this begins a new row.
_COUNTED: Final = 3
_ROW_REST_MS: Final = 200
_TURN, _MOST_CONTOUR = 0.25, 0.5
_PER_DB, _MOST_LEVEL = 0.05, 0.5
#: The weakest pulse counts for nothing when it is so much softer than the strongest.
_LOST_DB: Final = 20.0
_STEEP_HZ: Final = 800.0
#: Median loss of men of 80 in dB, by hertz.
_LOSS: Final = ((1000, 21.0), (2000, 32.0), (4000, 50.0), (8000, 75.0))
#: A clear difference is told 98 times of 100, by our own choice: that is 3 deviations.
_DEVIATIONS: Final = 3.0


class Percept(NamedTuple):
    """A sound as it is compared: of each pulse its length, the way to the next, and its weight.

    ``contour`` holds for each pulse but the first whether it is higher (1), as high, or lower (-1).
    """

    lengths_ms: tuple[int, ...]
    ways_ms: tuple[int, ...]
    weights: tuple[float, ...]
    contour: tuple[int, ...]
    level: float


def perceived(pulses: Sequence[Pulse], voice: Voice) -> Percept:
    """What an old ear makes of pulses that a small speaker plays."""
    ways = [b.at_ms - a.at_ms for a, b in pairwise(pulses)]
    there = [_carried_db(pulse.frequency, voice) + pulse.level for pulse in pulses]
    audible = [max(0.0, 1 - (max(there) - db) / _LOST_DB) for db in there]
    return Percept(
        tuple(pulse.length_ms for pulse in pulses),
        (*ways, 0),
        tuple(w / max(1.0, n / _COUNTED) for w, n in zip(audible, rows(pulses), strict=True)),
        tuple(_turn(a.frequency, b.frequency) for a, b in pairwise(pulses)),
        10 * log10(sum(10 ** (pulse.level / 10) for pulse in pulses) / len(pulses)),
    )


def clear_differences(one: Percept, other: Percept) -> float:
    """How many clear differences lie between two sounds."""
    more = abs(len(one.contour) - len(other.contour))  # a pulse more has been counted already
    contour = _TURN * (_edits(one.contour, other.contour) - more)
    level = _PER_DB * abs(one.level - other.level)
    return by_rhythm(one, other) + min(contour, _MOST_CONTOUR) + min(level, _MOST_LEVEL)


@lru_cache(8192)
def by_rhythm(one: Percept, other: Percept) -> float:
    """How many clear differences lie between the pulses of two sounds, lengths and ways alone."""
    others = [*zip(other.weights, other.lengths_ms, other.ways_ms, strict=True)]
    row = [*accumulate(other.weights, initial=0.0)]
    for weight, length_ms, way_ms in zip(one.weights, one.lengths_ms, one.ways_ms, strict=True):
        above, row = row, [row[0] + weight]
        for j, (against, its_length_ms, its_way_ms) in enumerate(others):
            changed = max(_apart(length_ms, its_length_ms), _apart(way_ms, its_way_ms))
            change = above[j] + min(weight, against) * changed
            row.append(min(change, above[j + 1] + weight, row[-1] + against))
    return row[-1]


def backwards(one: Percept) -> Percept:
    """The same sound from its end to its beginning: a rest lies then before what it followed."""
    rests = [way - length for way, length in zip(one.ways_ms, one.lengths_ms, strict=True)][-2::-1]
    lengths = one.lengths_ms[::-1]
    return Percept(
        lengths,
        (*(length + rest for length, rest in zip(lengths, rests, strict=False)), 0),
        one.weights[::-1],
        tuple(-turn for turn in one.contour[::-1]),
        one.level,
    )


def likelihood(differences: float) -> float:
    """How often a person who has to choose between two takes the wrong one."""
    return 0.5 * erfc(_DEVIATIONS * differences / 2)


@lru_cache(4096)
def _apart(one_ms: int, other_ms: int) -> float:
    """Two lengths, in clear differences; the last pulse has no way to a next."""
    if not one_ms or not other_ms:
        return 0.0
    longer, shorter = max(one_ms, other_ms), min(one_ms, other_ms)
    noticed = log(longer / shorter) / log(1 + max(_JUST_NOTICED, _LEAST_NOTICED_MS / longer))
    return min(_MOST_CHANGE, noticed / _CLEARLY)


def rows(pulses: Sequence[Pulse]) -> list[int]:
    """Of each pulse: how many there are in its row, between two rests."""
    rows = [[0]]
    for a, b in pairwise(pulses):
        if b.at_ms - a.end_ms > _ROW_REST_MS:
            rows.append([])
        rows[-1].append(0)
    return [len(row) for row in rows for _ in row]


def _turn(one: float, other: float) -> int:
    return (other > one) - (other < one)


def _edits(one: Sequence[int], other: Sequence[int]) -> int:
    row = list(range(len(other) + 1))
    for k, part in enumerate(one, 1):
        above, row = row, [k]
        for j, against in enumerate(other):
            row.append(min(above[j] + (part != against), above[j + 1] + 1, row[-1] + 1))
    return row[-1]


@lru_cache(512)
def _carried_db(frequency: float, voice: Voice) -> float:
    """What is left of a note's level."""
    powers = [
        amplitude**2 * 10 ** (-_loss_db(hertz) / 10)
        for hertz, amplitude in voice.partials(frequency)
        if hertz >= _STEEP_HZ
    ]
    whole = sum(amplitude**2 for _, amplitude in voice.partials(frequency))
    return 10 * log10(sum(powers) / whole) if powers else -100.0


def _loss_db(hertz: float) -> float:
    """Between the octaves on a straight line over their logarithm."""
    for (low, loss), (high, more) in pairwise(_LOSS):
        if hertz <= high:
            part = max(0.0, log(hertz / low) / log(high / low))
            return loss + part * (more - loss)
    return _LOSS[-1][1]
