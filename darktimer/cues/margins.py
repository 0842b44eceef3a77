"""What can be measured on the pulses of a cue set: their gaps, how loud they are, how high.

The rules judge by these figures and the tables show them. Knows no rule, no file and no samples.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from math import log10
from typing import Final

from darktimer.cues.cue_set import CueSet, Pulse, Voice

#: The least ratio between two lengths or intervals that hands in the dark tell apart.
CLEAR_RATIO: Final = 1.5

CuePulses = Mapping[str, tuple[Pulse, ...]]
#: The (hertz, amplitude) of each harmonic of a tone.
Partials = Iterable[tuple[float, float]]


def cue_pulses(cue_set: CueSet) -> dict[str, tuple[Pulse, ...]]:
    """The pulses of every meaning."""
    return {each: cue_set.pulses(each) for each in cue_set.meanings()}


def can_meet(one: str, other: str) -> bool:
    """Whether one plan may play both: in one plan baths are told by place or by signature."""
    ways = {
        tail.isdecimal()
        for head, _, tail in (one.partition("-"), other.partition("-"))
        if tail and head in ("enter", "here")
    }
    return len(ways) < 2


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
