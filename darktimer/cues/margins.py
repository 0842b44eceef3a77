"""What can be measured on the pulses of a cue set: how far its cues lie apart, how loud, how high.

The rules judge by these figures and the tables show them. Knows no rule, no file and no samples.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations, pairwise
from math import log, log10
from typing import Final, NamedTuple

from darktimer.cues.cue_set import CueSet, Pulse, Voice

#: The least ratio between two lengths or intervals that hands in the dark tell apart.
CLEAR_RATIO: Final = 1.5

CuePulses = Mapping[str, tuple[Pulse, ...]]
#: The (hertz, amplitude) of each harmonic of a tone.
Partials = Iterable[tuple[float, float]]


class Pair(NamedTuple):
    """Two meanings, and the largest ratio between a part of one and the same part of the other."""

    ratio: float
    one: str
    other: str


def cue_pulses(cue_set: CueSet) -> dict[str, tuple[Pulse, ...]]:
    """The pulses of every meaning."""
    return {each: cue_set.pulses(each) for each in cue_set.meanings()}


def pairs(cues: CuePulses) -> Iterator[Pair]:
    """Every two cues with equally many pulses: only their lengths and intervals differ."""
    of_size: dict[int, list[tuple[str, list[int]]]] = defaultdict(list)
    for meaning, pulses in cues.items():
        of_size[len(pulses)].append((meaning, rhythm(pulses)))
    for alike in of_size.values():
        for (one, first), (other, second) in combinations(alike, 2):
            if can_meet(one, other):
                yield Pair(_largest_ratio(first, second), one, other)


def can_meet(one: str, other: str) -> bool:
    """Whether one plan may play both: in one plan baths are told by place or by signature."""
    ways = {
        tail.isdecimal()
        for head, _, tail in (one.partition("-"), other.partition("-"))
        if tail and head in ("enter", "here")
    }
    return len(ways) < 2


def rhythm(pulses: Sequence[Pulse]) -> list[int]:
    """The lengths of the pulses, then the intervals from onset to onset, in milliseconds."""
    onsets = [pulse.at_ms for pulse in pulses]
    return [pulse.length_ms for pulse in pulses] + [b - a for a, b in pairwise(onsets)]


def _largest_ratio(first: Iterable[int], second: Iterable[int]) -> float:
    return max(max(a, b) / min(a, b) for a, b in zip(first, second, strict=True))


def steps_apart(first: Sequence[Pulse], second: Sequence[Pulse]) -> float:
    """How many clear changes turn one rhythm into the other, the cheapest way.

    A change is a pulse more or less, or one that is 1.5 times as long or as far from the next; a
    larger ratio counts as more, after its logarithm (the edit distance of Levenshtein).
    """
    one, other = _parts(first), _parts(second)
    row = [float(k) for k in range(len(other) + 1)]
    for part in one:
        above, row = row, [row[0] + 1]
        for k, against in enumerate(other):
            row.append(min(above[k] + _change(part, against), above[k + 1] + 1, row[k] + 1))
    return row[-1]


def _parts(pulses: Sequence[Pulse]) -> list[tuple[float, float]]:
    """Length and way to the next onset of each pulse, as logarithms in clear steps."""
    ways = [b.at_ms - a.at_ms for a, b in pairwise(pulses)]
    ways.append(pulses[-1].length_ms)
    step = log(CLEAR_RATIO)
    return [(log(p.length_ms) / step, log(w) / step) for p, w in zip(pulses, ways, strict=True)]


def _change(one: tuple[float, float], other: tuple[float, float]) -> float:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]))


def gaps_ms(pulses: Sequence[Pulse]) -> list[int]:
    """The silence between each pulse and the next."""
    return [b.at_ms - a.end_ms for a, b in pairwise(pulses)]


def quick_run(pulses: Sequence[Pulse]) -> int:
    """How many pulses follow each other within 250 ms at the most, from onset to onset."""
    longest = run = 1
    for a, b in pairwise(pulses):
        run = run + 1 if b.at_ms - a.at_ms <= 250 else 1
        longest = max(longest, run)
    return longest


def loudness_of_cue(voice: Voice, pulses: Sequence[Pulse]) -> float:
    """The loudness of a whole cue, rests included, over a block of 400 ms at the least."""
    energy = sum(
        float(10 ** (pulse.level / 10)) * voice.sounding_ms(pulse.length_ms) for pulse in pulses
    )
    return 10 * log10(energy / max(400, pulses[-1].end_ms))


def share(partials: Partials, low: float, high: float) -> float:
    """The part of a tone's power that lies from ``low`` to ``high`` hertz."""
    powers = [(hertz, amplitude**2) for hertz, amplitude in partials]
    return sum(p for hertz, p in powers if low <= hertz <= high) / sum(p for _, p in powers)


def notes(cues: CuePulses) -> dict[float, str]:
    """Every note of a set in hertz, and the first meaning that uses it."""
    users: dict[float, str] = {}
    for meaning, pulses in cues.items():
        for pulse in pulses:
            users.setdefault(pulse.frequency, meaning)
    return users
