"""The two patterns that empty a house, which nothing of ours may resemble.

Evacuation: three pulses of half a second and a pause (ISO 8201). Carbon monoxide: four pulses of a
tenth of a second and a pause of about five (UL 2034, from memory). Resemblance is judged more
widely than either is defined.
"""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

Tone = tuple[int, int]


class _Pattern(NamedTuple):
    name: str
    pulses: int
    shortest_ms: int
    longest_ms: int
    widest_gap_ms: int


_PATTERNS: Final = (
    _Pattern("evacuation", 3, 300, 800, 1000),
    _Pattern("carbon monoxide", 4, 50, 200, 750),
)


def resembled(tones: Sequence[Tone]) -> list[str]:
    """The names of the patterns that occur in tones (at_ms, length_ms), in order of time.

    A row of tones, closed by a gap wider than any of the pattern's own, resembles it when it has
    its number of pulses and all of them are of its kind.
    """
    return [pattern.name for pattern in _PATTERNS if any(_occurs(pattern, tones))]


def _occurs(pattern: _Pattern, tones: Sequence[Tone]) -> Iterator[bool]:
    for row in _rows(tones, pattern.widest_gap_ms):
        alike = [pattern.shortest_ms <= length <= pattern.longest_ms for _, length in row]
        yield len(row) == pattern.pulses and all(alike)


def _rows(tones: Sequence[Tone], widest_gap_ms: int) -> Iterator[list[Tone]]:
    row: list[Tone] = []
    for tone in tones:
        if row and tone[0] - sum(row[-1]) > widest_gap_ms:
            yield row
            row = []
        row.append(tone)
    yield row
