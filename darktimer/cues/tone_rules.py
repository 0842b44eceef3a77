"""The rules of tone: pitch, harmonics, ramps and loudness that carry to ears in a running room.

The dependable band of 600-2500 Hz lies above the roll-off of small speakers (usable from about 600
Hz, Chang & Wang 2018) and below what age takes first (ISO 7029:2017). A set may promise less than
the whole of it, for its own speakers or ears, never more.
"""

from collections.abc import Callable, Iterator
from math import inf
from typing import Final

from darktimer.cues.cue_set import DEPENDABLE, CueSet, Voice
from darktimer.cues.margins import CuePulses, loudness_of_cue, notes, share
from darktimer.cues.rule import Breach, Rule, rule
from darktimer.process import meanings

#: By how much cues that only accompany the work stay below those that ask for something.
QUIET_STEP_DB: Final = 6.0
QUIET: Final = (meanings.PIP, meanings.TURN, meanings.SHEET, meanings.HEARTBEAT)
#: What lies further than this above a set's band counts as lost: 3 kHz for the dependable band.
_BEYOND: Final = 1.2
_STEEP_HZ: Final = 800
_IEC: Final = "IEC 60601-1-8 Table 4 (from memory)"
_BAND: Final = (
    "components in 500-2500 Hz (ISO 7731:2003 as cited publicly), narrowed by the roll-off of "
    "small speakers at 600 Hz (Chang & Wang 2018)"
)


@rule(
    "ramps last 10 to 40 ms, so that nothing clicks",
    "20-30 ms is common practice, no source; 25 ms in Haas & Edworthy 1996 (from memory)",
)
def _ramps_are_soft(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    if not 10 <= cue_set.voice.ramp_ms <= 40:
        yield ("voice",), f"{cue_set.voice.ramp_ms} ms"


@rule(
    f"a set's band lies within {DEPENDABLE.text()}, and is an octave or more",
    _BAND,
)
def _band_is_dependable(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    low, high = cue_set.band
    if low < DEPENDABLE.low or high > DEPENDABLE.high or high < 2 * low:
        yield ("band",), cue_set.band.text()


@rule("notes lie between 150 and 1000 Hz", _IEC)
def _notes_are_low(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for frequency, meaning in notes(cues).items():
        if not 150 <= frequency <= 1000:
            yield (meaning,), f"a note of {frequency:.0f} Hz"


@rule("4 harmonics in 300-4000 Hz lie within 15 dB of the first", _IEC)
def _harmonics_are_strong(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for meaning, note, partials in _tones(cue_set.voice, cues):
        least = partials[0][1] * 10 ** (-15 / 20)
        strong = sum(300 <= hertz <= 4000 and a >= least for hertz, a in partials)
        if strong < 4:
            yield (meaning,), f"{note} has {strong}"


@rule("70 % of the power of each note lies in the set's band", _BAND)
def _power_lies_in_the_band(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for meaning, note, partials in _tones(cue_set.voice, cues):
        if (there := share(partials, *cue_set.band)) < 0.7:
            yield (meaning,), f"{there:.0%} of {note} lies in {cue_set.band.text()}"


@rule(
    "at most 10 % of the power of each note lies above its band, where age takes hearing first",
    "median loss of men at 70: 13 dB at 1 kHz, 33 dB at 4 kHz (ISO 7029:2017, computed); above is "
    "1.2 times the band's end, 3 kHz for the dependable band",
)
def _little_is_high(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    end = _BEYOND * cue_set.band.high
    for meaning, note, partials in _tones(cue_set.voice, cues):
        if (above := share(partials, end, inf)) > 0.1:
            yield (meaning,), f"{above:.0%} of {note} lies above {end / 1000:g} kHz"


@rule(
    "at most 6 dB of each note are lost where nothing below 800 Hz is heard",
    "phones roll off at 500-800 Hz (from memory)",
)
def _phones_suffice(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
    for meaning, note, partials in _tones(cue_set.voice, cues):
        if (left := share(partials, _STEEP_HZ, inf)) < 10 ** (-6 / 10):
            yield (meaning,), f"{left:.0%} of {note} is left"


def _tones(voice: Voice, cues: CuePulses) -> Iterator[tuple[str, str, list[tuple[float, float]]]]:
    """Each note of a set: a meaning that uses it, its name for a message, its partials."""
    for frequency, meaning in notes(cues).items():
        yield meaning, f"the note of {frequency:.0f} Hz", voice.partials(frequency)


def _loudness_rule(asks: str, least: float, most: float, of: Callable[[str], bool]) -> Rule:
    """From ``least`` to ``most`` LU against the set's loudness, for some of the meanings."""

    def breaches(cue_set: CueSet, cues: CuePulses) -> Iterator[Breach]:
        for meaning, pulses in cues.items():
            above = loudness_of_cue(cue_set.voice, pulses) - cue_set.loudness
            if of(meaning) and not least <= above <= most:
                yield (meaning,), f"{above:+.1f} LU"

    return Rule(asks, "loudness as ITU-R BS.1770 weighs it; the steps are our own choice", breaches)


_CUES_ARE_MATCHED: Final = _loudness_rule(
    "a cue is within 2 LU of the set's loudness", -2, 2, lambda m: m not in (*QUIET, meanings.ALARM)
)
_ALARM_IS_LOUDER: Final = _loudness_rule(
    "the alarm is +3 to +6 LU against the set's loudness", 3, 6, lambda m: m == meanings.ALARM
)
_ACCOMPANIMENT_IS_QUIET: Final = _loudness_rule(
    f"what only accompanies the work is -20 to {-QUIET_STEP_DB:.0f} LU against the set's loudness",
    -20,
    -QUIET_STEP_DB,
    lambda m: m in QUIET,
)
