"""Every pair of sounds, by pulses alone: all numbers, all that a plan can ask for, no measure.

Two pulses are alike where neither length, nor rest after it, is 1.5 times the other's: some
sixteen differences just noticed, of 2.5 % (Friberg & Sundberg 1995).
"""

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import pairwise

import pytest

from darktimer import shipped
from darktimer.cues.cue_set import Pulse
from darktimer.cues.margins import can_meet, cue_pulses
from darktimer.cues.reader import load_cue_set
from darktimer.process import meanings

#: The length of a pulse and the rest after it; after the last any.
Tones = tuple[tuple[int, int | None], ...]
#: What is left of these may be the other by rhythm: a pulse alone, which asks for nothing, and a
#: place told among sheets, 10 dB above their tick and of another melody.
KNOWN = {("enter", "pip"), ("enter-1", "sheet")}


def tones(pulses: Sequence[Pulse]) -> Tones:
    rests = [b.at_ms - a.end_ms for a, b in pairwise(pulses)]
    return tuple(zip((pulse.length_ms for pulse in pulses), [*rests, None], strict=True))


@cache
def near(one: int | None, other: int | None) -> bool:
    return one is None or other is None or max(one, other) < 1.5 * min(one, other)


def alike(one: tuple[int, int | None], other: tuple[int, int | None]) -> bool:
    return near(one[0], other[0]) and near(one[1], other[1])


def changed(one: Tones, other: Tones) -> int:
    """How many pulses must be changed, added or taken out to make one of the other."""
    row = list(range(len(other) + 1))
    for k, tone in enumerate(one, 1):
        above, row = row, [k]
        for j, against in enumerate(other):
            row.append(min(above[j] + (not alike(tone, against)), above[j + 1] + 1, row[-1] + 1))
    return row[-1]


def left(whole: Tones, figure: int) -> Iterator[Tones]:
    """Without the first pulse, the first figure, and all before the first long rest."""
    row = next((k for k, (_, rest) in enumerate(whole, 1) if rest and rest > 200), 1)
    yield from (whole[lost:] for lost in {1, figure, row} if lost < len(whole))


@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_an_act_differs_from_company_in_more_than_one_pulse(name: str) -> None:
    sounds = {each: tones(pulses) for each, pulses in cue_pulses(load_cue_set(name)).items()}
    acts = {each: sounds[each] for each in sounds if meanings.asks(each)}
    company = {each: sounds[each] for each in sounds.keys() - acts}
    assert len(acts) > 30
    assert len(company) > 600
    for act, one in acts.items():
        for each, other in company.items():
            if abs(len(one) - len(other)) < 2 and can_meet(act, each):
                assert changed(one, other) > 1, (act, each)


@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_what_is_left_of_a_sound_is_no_other(name: str) -> None:
    cue_set = load_cue_set(name)
    sounds = {each: tones(pulses) for each, pulses in cue_pulses(cue_set).items()}
    by_count: dict[int, list[str]] = {}
    for each, whole in sounds.items():
        by_count.setdefault(len(whole), []).append(each)
    equal = {
        (each, other)
        for each, whole in sounds.items()
        for rest in left(whole, cue_set.first_figure(each))
        for other in by_count.get(len(rest), ())
        if all(map(alike, rest, sounds[other])) and other != each and can_meet(each, other)
    }
    assert equal == KNOWN
