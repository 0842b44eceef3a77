"""The rules of what may be taken for what: of whole sounds, of what is left of one, of mirrors.

Every pair is judged that can meet in one plan. Of numbers only the first few are looked at: beyond
them only more of the same follows.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

from darktimer.cues.confusion import (
    SOURCE,
    Percept,
    backwards,
    by_rhythm,
    clear_differences,
    perceived,
    rows,
)
from darktimer.cues.cue_set import CueSet, Pulse
from darktimer.cues.margins import CuePulses, can_meet
from darktimer.cues.rule import Breach, rule
from darktimer.process import meanings

#: How far apart sounds lie, in clear differences: an act from anything else, and any other two.
_ACT_APART: Final = 1.5
_APART: Final = 1.25
#: What is left of a sound whose head was swallowed is as far from any other, and a mirror too.
_BEHEADED_APART: Final = 0.75
_FEW: Final = 12
_HEARING: Final = f"{SOURCE}; how far is our choice"


class Apart(NamedTuple):
    """How many clear differences lie between two sounds."""

    differences: float
    one: str
    other: str


def closest(cue_set: CueSet, cues: CuePulses, least: float) -> list[Apart]:
    """The pairs of sounds less than ``least`` apart that can meet in one plan, the closest first.

    Numbers of one family are told apart by counting, and all that begin with enter are one act.
    """
    known = _compared(cue_set, cues)
    items = list(known.items())
    return sorted(
        Apart(differences, one, other)
        for k, (one, first) in enumerate(items)
        for other, second in items[k + 1 :]
        if _are_two(one, other)
        if (differences := _differences(first, second, least)) < least
    )


def closest_by_rhythm(cue_set: CueSet, cues: CuePulses) -> Apart:
    """The act and the sound of company that lie closest where melody and loudness are not heard."""
    known = _compared(cue_set, cues)
    acts = set(filter(meanings.asks, known))
    return min(
        Apart(by_rhythm(known[act], known[other]), act, other)
        for act in acts
        for other in known.keys() - acts
        if can_meet(act, other)
    )


@rule(
    f"an act is {_ACT_APART} clear differences or more from every other sound, which is more than "
    f"a pulse, and any two others are {_APART}",
    _HEARING,
)
def _sounds_are_apart(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for differences, one, other in closest(cue_set, cues, _ACT_APART):
        acts = any(map(meanings.asks, (one, other)))
        same = meanings.family(one) == meanings.family(other)
        if differences < (_ACT_APART if acts and not same else _APART):
            yield (one, other), f"{differences:.2f}"


@rule(
    f"a sound without its first pulse, figure or row is {_BEHEADED_APART} clear differences or "
    "more from every other",
    "speakers that were asleep swallow the first 50 to 1000 ms (public bug threads); how far is "
    "our choice",
)
def _heads_may_be_lost(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    known = _compared(cue_set, cues)
    for meaning in known:
        for left in _beheaded(cue_set, cues, meaning):
            rest = perceived(left, cue_set.voice)
            for other, whole in known.items():
                if other != meaning and can_meet(meaning, other):
                    apart = _differences(rest, whole, _BEHEADED_APART)
                    if apart < _BEHEADED_APART:
                        yield (meaning, other), f"{apart:.2f}"


@rule(
    f"an act played backwards is {_BEHEADED_APART} clear differences or more from any other sound",
    "direction alone is melody: 55-56 % were right by it (Wee & Sanderson 2008)",
)
def _acts_have_no_mirror(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    known = _compared(cue_set, cues)
    for act in filter(meanings.asks, known):
        mirror = backwards(known[act])
        for other, whole in known.items():
            if _are_two(act, other):
                apart = _differences(mirror, whole, _BEHEADED_APART)
                if apart < _BEHEADED_APART:
                    yield (act, other), f"{apart:.2f}"


def _compared(cue_set: CueSet, cues: CuePulses) -> dict[str, Percept]:
    """Every sound but the larger numbers."""
    return {
        meaning: perceived(pulses, cue_set.voice)
        for meaning, pulses in cues.items()
        if not _is_number(meaning) or _is_few(cue_set, meaning)
    }


def _is_few(cue_set: CueSet, meaning: str) -> bool:
    """The first dozen numbers of a family, and the first two that reach a higher place."""
    family, _, number = meaning.rpartition("-")
    count = cue_set.counts["here" if family == "enter" else family]
    worths = {place.worth + more for place in count.places for more in (0, count.numbers.step)}
    return int(number) in count.numbers[:_FEW] or int(number) in worths


def _beheaded(cue_set: CueSet, cues: CuePulses, meaning: str) -> Iterator[tuple[Pulse, ...]]:
    """What is left of a sound without its first pulse, its first figure, its first row.

    A pulse alone behind the first row is a pip at most, which asks for nothing.
    """
    pulses = cues[meaning]
    row = rows(pulses)[0]
    for lost in {1, cue_set.first_figure(meaning), row if row + 1 < len(pulses) else 1}:
        if lost < len(pulses):
            yield pulses[lost:]


def _differences(one: Percept, other: Percept, least: float) -> float:
    """Not reckoned where the pulses alone say that there are more than ``least``."""
    if abs(sum(one.weights) - sum(other.weights)) >= least:
        return least
    return clear_differences(one, other)


def _are_two(one: str, other: str) -> bool:
    """Whether it matters which of the two was heard: all that enter are one act, the rest of a
    number is counted.
    """
    family = meanings.family(one)
    alike = family == meanings.family(other) and (_is_number(one) or family in (one, other))
    return one != other and not alike and can_meet(one, other)


def _is_number(meaning: str) -> bool:
    return meaning.rpartition("-")[2].isdecimal()
