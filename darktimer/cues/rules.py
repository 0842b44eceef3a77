"""What a cue set must keep to so that hands in the dark can rely on it.

Every rule is judged on the pulses alone, so a changed set can be checked before it is heard. The
figures come from the literature on warning sounds and from what small speakers and older ears
let through; each rule's text says what it asks for.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import combinations, pairwise
from math import log10
from typing import Final, NamedTuple

from darktimer.cues.cue_set import Count, CueSet, Pulse
from darktimer.cues.public_alarms import resembled
from darktimer.process import meanings


class Broken(NamedTuple):
    """A rule that is not kept, the meanings it is about, and how far off they are."""

    rule: str
    meanings: tuple[str, ...]
    found: str

    def text(self) -> str:
        """The breach as one line."""
        return f"{', '.join(self.meanings)}: {self.found}; {self.rule}"


#: The least ratio between two lengths or intervals that hands in the dark tell apart.
CLEAR_RATIO: Final = 1.5
#: By how much the cues that keep one company stay below those that ask for something.
QUIET_STEP_DB: Final = 6.0
QUIET: Final = (meanings.PIP, meanings.TURN, meanings.SHEET, meanings.HEARTBEAT)

_LONGEST_MS: Final = {"enter": 900, meanings.MOVE: 600, meanings.STAND: 600, meanings.LIFT: 1000}
_LONGEST_SIGNATURE_MS: Final = 900
#: The soonest that each repeated cue can come again.
_AGAIN_MS: Final = {
    meanings.PIP: 1000,
    meanings.TURN: 1000,
    meanings.SHEET: 1000,
    meanings.REVERSE: 2000,
    meanings.HEARTBEAT: 5000,
    meanings.ALARM: 5000,
    meanings.LIGHT_SAFE: 12_000,
}


def broken_rules(cue_set: CueSet) -> list[Broken]:
    """Every rule that the set breaks, with the meanings concerned; empty for a good set."""
    heard = {meaning: cue_set.pulses(meaning) for meaning in cue_set.meanings()}
    return [broken for rule in _RULES for broken in rule(cue_set, heard)]


_Heard = dict[str, tuple[Pulse, ...]]


def _rhythms_differ(cue_set: CueSet, heard: _Heard) -> Iterator[Broken]:
    rule = f"any two rhythms differ in pulses, or {CLEAR_RATIO} times in a length or interval"
    entering = cue_set.cues["enter"].pulses(cue_set.voice, cue_set.loudness)
    of_size: dict[int, list[tuple[str, Sequence[int]]]] = defaultdict(list)
    for meaning, pulses in {"enter": entering, **heard}.items():
        of_size[len(pulses)].append((meaning, _rhythm(pulses)))
    for alike in of_size.values():
        for (one, first), (other, second) in combinations(alike, 2):
            if _nearness(first, second) < CLEAR_RATIO:
                yield Broken(rule, (one, other), "they have one rhythm")


def _rhythm(pulses: Sequence[Pulse]) -> list[int]:
    """The lengths of the pulses, then the intervals from onset to onset, in milliseconds."""
    onsets = [pulse.at_ms for pulse in pulses]
    return [pulse.length_ms for pulse in pulses] + [b - a for a, b in pairwise(onsets)]


def _nearness(first: Iterable[int], second: Iterable[int]) -> float:
    """The largest ratio between the parts of two rhythms of as many pulses."""
    return max(max(a, b) / min(a, b) for a, b in zip(first, second, strict=True))


def _counts_can_be_counted(cue_set: CueSet, heard: _Heard) -> Iterator[Broken]:
    for family, count in cue_set.counts.items():
        if count.group > 3:
            yield Broken("nobody counts more than three in a row", (family,), f"{count.group}")
        yield from _count_is_slow(family, count)


def _count_is_slow(family: str, count: Count) -> Iterator[Broken]:
    above = count.most + 1
    for place in count.places:
        units, above = (above - 1) // place.worth, place.worth
        onset_ms = place.unit.length_ms + place.rest_ms
        if units > 1 and onset_ms < 250:
            rule = "pulses that are counted begin 250 ms apart or more"
            yield Broken(rule, (family,), f"{onset_ms} ms")
        if units > count.group and count.group_rest_ms < 2 * place.rest_ms:
            rule = "the rest between groups is twice the rest within them or more"
            yield Broken(rule, (family,), f"{count.group_rest_ms} and {place.rest_ms} ms")


def _cues_fit(cue_set: CueSet, heard: _Heard) -> Iterator[Broken]:
    lengths = {name: (cue_set.cues[name].length_ms, most) for name, most in _LONGEST_MS.items()}
    for kind, signature in cue_set.signatures.items():
        lengths[meanings.enter(kind)] = (signature.length_ms, _LONGEST_SIGNATURE_MS)
    for name, (length_ms, most_ms) in lengths.items():
        if length_ms > most_ms:
            yield Broken(f"it takes at most {most_ms} ms", (name,), f"{length_ms} ms")


def _pulses_are_separate(cue_set: CueSet, heard: _Heard) -> Iterator[Broken]:
    for meaning, pulses in heard.items():
        shortest = min(pulse.length_ms for pulse in pulses)
        if shortest < 100:
            yield Broken("no pulse is shorter than 100 ms", (meaning,), f"{shortest} ms")
        if len(pulses) > 1 and (gap := min(_gaps(pulses))) < 90:
            yield Broken("no gap is shorter than 90 ms", (meaning,), f"{gap} ms")


def _gaps(pulses: Sequence[Pulse]) -> list[int]:
    return [b.at_ms - a.at_ms - a.length_ms for a, b in pairwise(pulses)]


def _tones_carry(cue_set: CueSet, heard: _Heard) -> Iterator[Broken]:
    """What small speakers, running water and older ears leave of a tone."""
    if not 10 <= cue_set.voice.ramp_ms <= 40:
        yield Broken("ramps last 10 to 40 ms", ("voice",), f"{cue_set.voice.ramp_ms} ms")
    user: dict[float, str] = {}
    for meaning, pulses in heard.items():
        for pulse in pulses:
            user.setdefault(pulse.frequency, meaning)
    for frequency, meaning in user.items():
        for rule, found in _tone_faults(cue_set.voice.partials(frequency)):
            yield Broken(rule, (meaning,), f"the note at {frequency:.0f} Hz: {found}")


def _tone_faults(partials: list[tuple[float, float]]) -> Iterator[tuple[str, str]]:
    (base, base_amplitude), power = partials[0], _power(partials, 0, 1e6)
    strong = [hz for hz, a in partials if 300 <= hz <= 4000 and a >= base_amplitude * 10**-0.75]
    if not 500 <= base <= 1000:
        yield "notes lie between 500 and 1000 Hz", f"{base:.0f} Hz"
    if len(strong) < 4:
        yield "4 harmonics in 300-4000 Hz lie within 15 dB of the first", f"{len(strong)}"
    if (share := _power(partials, 600, 2500) / power) < 0.7:
        yield "70 % of the power lies in 600-2500 Hz", f"{share:.0%}"
    if (share := _power(partials, 3000, 1e6) / power) > 0.1:
        yield "at most 10 % of the power lies above 3 kHz", f"{share:.0%}"
    if (left := _power(partials, 800, 1e6) / power) < 10**-0.6:
        yield "at most 6 dB are lost where nothing below 800 Hz is heard", f"{left:.0%} is left"


def _power(partials: Iterable[tuple[float, float]], low: float, high: float) -> float:
    return sum(a * a for hz, a in partials if low <= hz <= high)


def _levels_fit(cue_set: CueSet, heard: _Heard) -> Iterator[Broken]:
    for meaning, pulses in heard.items():
        above = _loudness(cue_set, pulses) - cue_set.loudness
        low, high = _level_range(meaning)
        if not low <= above <= high:
            rule = f"it is {low:+.0f} to {high:+.0f} LU against the set's loudness"
            yield Broken(rule, (meaning,), f"{above:+.1f} LU")


def _level_range(meaning: str) -> tuple[float, float]:
    if meaning == meanings.ALARM:
        return 3, 6
    if meaning in QUIET:
        return -20, -QUIET_STEP_DB
    return (-2, 2) if meanings.family(meaning) in meanings.ACT_NOW else (-6, 2)


def _loudness(cue_set: CueSet, pulses: Sequence[Pulse]) -> float:
    """The loudness of a whole cue, rests included, over a block of 400 ms at the least."""
    energy = sum(
        float(10 ** (pulse.level / 10)) * cue_set.voice.sounding_ms(pulse.length_ms)
        for pulse in pulses
    )
    return 10 * log10(energy / max(400, _end_ms(pulses)))


def _end_ms(pulses: Sequence[Pulse]) -> int:
    return pulses[-1].at_ms + pulses[-1].length_ms


def _light_safe_is_alone(cue_set: CueSet, heard: _Heard) -> Iterator[Broken]:
    name, pulses = meanings.LIGHT_SAFE, heard[meanings.LIGHT_SAFE]
    shortest = min(pulse.length_ms for pulse in pulses)
    for meaning in heard.keys() - {name}:
        longest = max(pulse.length_ms for pulse in heard[meaning])
        if shortest < 2 * CLEAR_RATIO * longest:
            rule = "its pulses are 3 times as long as any other, so that no two make one"
            yield Broken(rule, (name, meaning), f"{shortest} and {longest} ms")
    period = max((b.at_ms - a.at_ms for a, b in pairwise(pulses)), default=_end_ms(pulses))
    if _end_ms(pulses) / 2 < period + max(pulse.length_ms for pulse in pulses):
        rule = "any half of it holds a whole pulse, so that the half may be lost"
        yield Broken(rule, (name,), f"{len(pulses)} pulses")


def _alarm_is_alone(cue_set: CueSet, heard: _Heard) -> Iterator[Broken]:
    name, run = meanings.ALARM, _quick_run(heard[meanings.ALARM])
    for meaning in heard.keys() - {name}:
        if run < 2 * (other := _quick_run(heard[meaning])):
            rule = "it rattles at least twice as many pulses in a row as any other cue"
            yield Broken(rule, (name, meaning), f"{run} and {other}")


def _quick_run(pulses: Sequence[Pulse]) -> int:
    """How many pulses follow each other within 250 ms at the most, from onset to onset."""
    longest = run = 1
    for a, b in pairwise(pulses):
        run = run + 1 if b.at_ms - a.at_ms <= 250 else 1
        longest = max(longest, run)
    return longest


def _no_public_alarm(cue_set: CueSet, heard: _Heard) -> Iterator[Broken]:
    rule = "no cue, alone or again and again, sounds like an alarm that empties a house"
    for meaning, pulses in heard.items():
        again_ms = max(_AGAIN_MS.get(meaning, 2000), _end_ms(pulses) + 90)
        for times in (1, 2, 3, 4):
            tones = [
                (turn * again_ms + pulse.at_ms, pulse.length_ms)
                for turn in range(times)
                for pulse in pulses
            ]
            for pattern in resembled(tones):
                yield Broken(rule, (meaning,), f"{times} times, it resembles the {pattern} pattern")


_RULES: Final[tuple[Callable[[CueSet, _Heard], Iterator[Broken]], ...]] = (
    _rhythms_differ,
    _counts_can_be_counted,
    _cues_fit,
    _pulses_are_separate,
    _tones_carry,
    _levels_fit,
    _light_safe_is_alone,
    _alarm_is_alone,
    _no_public_alarm,
)
