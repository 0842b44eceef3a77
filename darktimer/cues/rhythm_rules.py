"""The rules of rhythm: numbers counted, pulses told apart, light-safe and the alarm like no other.

Hands tell cues apart by rhythm, for melody alone fails: 55-56 % were right, and 1 listener of 22
was perfect, after two sessions with a standard's melodies (Wee & Sanderson 2008).
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from darktimer.cues.confusion import SOURCE, clear_differences, perceived
from darktimer.cues.cue_set import Count, CueSet
from darktimer.cues.margins import (
    CLEAR_RATIO,
    CuePulses,
    gaps_ms,
    quick_run,
)
from darktimer.cues.public_alarms import resembled
from darktimer.cues.rule import Breach, rule
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS

_OURS: Final = "our own choice; no figure is published"
_LONGEST_MS: Final = {
    "enter": 1150,
    meanings.MOVE: 600,
    meanings.STAND: 600,
    meanings.LIFT: 1000,
    meanings.TURN: 900,
}
_LONGEST_SIGNATURE_MS: Final = 1200
#: Light-safe and the alarm are so many clear differences away from all else.
_ALONE: Final = 3
#: The soonest that each repeated cue can come again, 2 s where none is named.
_AGAIN_MS: Final = {
    meanings.PIP: 1000,
    meanings.TURN: 1000,
    meanings.SHEET: 1000,
    meanings.REVERSE: 2000,
    meanings.HEARTBEAT: 5000,
    meanings.ALARM: 5000,
    meanings.LIGHT_SAFE: 12_000,
}


@rule(
    "nobody counts more than three in a row",
    "only 2 or 3 sounds are counted reliably (doi 10.1037/xhp0000578)",
)
def _groups_are_small(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for family, count in cue_set.counts.items():
        if count.group > 3:
            yield (family,), f"groups of {count.group}"


@rule(
    "pulses that are counted begin 250 ms apart or more",
    "at 6 to 8 a second only 2 and 3 are counted (doi 10.1037/xhp0000578); 250 ms are 4 a second",
)
def _counts_are_slow(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for family, count in cue_set.counts.items():
        for units, rest_ms, unit_ms in _places(count):
            if units > 1 and unit_ms + rest_ms < 250:
                yield (family,), f"{unit_ms + rest_ms} ms"


@rule(
    "the rest between groups is twice the rest within them or more",
    "grouping helps counting (doi 10.3389/fnhum.2021.687321)",
)
def _groups_are_apart(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for family, count in cue_set.counts.items():
        for units, rest_ms, _ in _places(count):
            if units > count.group and count.group_rest_ms < 2 * rest_ms:
                yield (family,), f"{count.group_rest_ms} and {rest_ms} ms"


def _places(count: Count) -> Iterator[tuple[int, int, int]]:
    """Of each place: the most units that are told, the rest between them, a unit's length."""
    above = count.most + 1
    for place in count.places:
        units, above = (above - 1) // place.worth, place.worth
        yield units, place.rest_ms, place.unit.length_ms


@rule("what asks for an act is heard whole before the act is due to be over", _OURS)
def _cues_fit(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    lengths = {name: (cue_set.cues[name].length_ms, most) for name, most in _LONGEST_MS.items()}
    for kind, signature in cue_set.signatures.items():
        lengths[meanings.enter(kind)] = (signature.length_ms, _LONGEST_SIGNATURE_MS)
    for name, (length_ms, most_ms) in lengths.items():
        if length_ms > most_ms:
            yield (name,), f"{length_ms} ms, at most {most_ms} ms are allowed"


@rule(
    "no pulse is shorter than 100 ms",
    "events are separate from 80-90 ms on (Jurado et al. 2021)",
)
def _pulses_are_long(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for meaning, pulses in cues.items():
        shortest = min(pulse.length_ms for pulse in pulses)
        if shortest < 100:
            yield (meaning,), f"{shortest} ms"


@rule(
    "no gap is shorter than 90 ms",
    "events are separate from 80-90 ms on (Jurado et al. 2021)",
)
def _pulses_are_apart(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for meaning, pulses in cues.items():
        if (gap := min(gaps_ms(pulses), default=90)) < 90:
            yield (meaning,), f"{gap} ms"


@rule(
    f"no rest within a cue comes near the {CLEAR_MS} ms between two, which are {CLEAR_RATIO} times "
    "as long or more",
    "2.5 % more is just noticed (Friberg & Sundberg 1995); half as much again is far beyond it",
)
def _rests_hold_a_cue_together(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for meaning, pulses in cues.items():
        if (gap := max(gaps_ms(pulses), default=0)) * CLEAR_RATIO > CLEAR_MS:
            yield (meaning,), f"{gap} ms"


@rule(
    "its pulses are 3 times as long as any other, so that no two cues in a row make one",
    f"twice the clear ratio of {CLEAR_RATIO}; {_OURS}",
)
def _light_safe_is_slow(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    shortest = min(pulse.length_ms for pulse in cues[meanings.LIGHT_SAFE])
    for meaning in cues.keys() - {meanings.LIGHT_SAFE}:
        longest = max(pulse.length_ms for pulse in cues[meaning])
        if shortest < 2 * CLEAR_RATIO * longest:
            yield (meanings.LIGHT_SAFE, meaning), f"{shortest} and {longest} ms"


@rule("any half of it holds a whole pulse, so that the half may be lost", _OURS)
def _light_safe_outlasts_its_half(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    pulses = cues[meanings.LIGHT_SAFE]
    period = max((b.at_ms - a.at_ms for a, b in pairwise(pulses)), default=pulses[-1].end_ms)
    if pulses[-1].end_ms / 2 < period + max(pulse.length_ms for pulse in pulses):
        yield (meanings.LIGHT_SAFE,), f"{len(pulses)} pulses"


@rule("it rattles at least twice as many pulses in a row as any other cue", _OURS)
def _alarm_rattles(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    run = quick_run(cues[meanings.ALARM])
    for meaning in cues.keys() - {meanings.ALARM}:
        if run < 2 * (other := quick_run(cues[meaning])):
            yield (meanings.ALARM, meaning), f"{run} and {other}"


@rule(
    f"light-safe and the alarm are {_ALONE} clear differences or more from every other cue",
    f"{SOURCE}; {_OURS}",
)
def _the_two_are_alone(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for name in (meanings.LIGHT_SAFE, meanings.ALARM):
        alone = perceived(cues[name], cue_set.voice)
        for meaning, pulses in cues.items():
            if meaning == name:
                continue
            apart = clear_differences(alone, perceived(pulses, cue_set.voice))
            if apart < _ALONE:
                yield (name, meaning), f"{apart:.1f}"


@rule(
    "no cue, alone or again and again, sounds like an alarm that empties a house",
    "three pulses of 0.5 s and a pause (ISO 8201), four of 0.1 s and a pause (building codes)",
)
def _no_public_alarm(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for meaning, pulses in cues.items():
        again_ms = _AGAIN_MS.get(meaning, 2000)
        for times in (1, 2, 3, 4):
            tones = [
                (turn * again_ms + pulse.at_ms, pulse.length_ms)
                for turn in range(times)
                for pulse in pulses
            ]
            for pattern in resembled(tones):
                yield (meaning,), f"{times} times, it resembles the {pattern} pattern"
