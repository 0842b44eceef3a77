"""A cue set in memory: for every meaning, the pulses that say it.

Composes what is made of parts: ``enter-fix`` is the enter cue and the signature of the bath,
``enter-3`` the enter cue and three pulses; ``here-fix`` and ``here-3`` say the same after the head
of the count ``here``; ``tally-12`` is one pulse for ten and two for two. Knows no file and no
samples.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import log10
from typing import Final, NamedTuple

from darktimer.cues.notation import Beat
from darktimer.process import meanings
from darktimer.units import clock

#: The kind whose signature tells every kind that has none of its own.
_ANY_KIND: Final = "step"
#: The shortest stretch over which loudness is measured (a block of ITU-R BS.1770).
_LOUDNESS_BLOCK_MS: Final = 400
#: A step that is heard as louder and startles nobody; our own choice.
_SWELL_DB: Final = 6.0


class Band(NamedTuple):
    """A stretch of frequencies, in hertz."""

    low: float
    high: float

    def text(self) -> str:
        """The band as it is written in a set."""
        return f"{self.low:g} to {self.high:g} Hz"


#: Where small speakers still play and older ears still hear.
DEPENDABLE: Final = Band(600, 2500)


class Pulse(NamedTuple):
    """One tone of a cue: from the cue's start, in milliseconds, hertz and LUFS while it sounds."""

    at_ms: int
    length_ms: int
    frequency: float
    level: float

    @property
    def end_ms(self) -> int:
        return self.at_ms + self.length_ms


@dataclass(frozen=True, slots=True)
class Voice:
    """What every pulse is made of: harmonics in dB against the first, and ramps at both ends."""

    harmonics_db: tuple[float, ...]
    ramp_ms: int

    def partials(self, frequency: float) -> list[tuple[float, float]]:
        """The (hertz, amplitude) of each harmonic; the first has the amplitude 1."""
        return [
            (frequency * number, float(10 ** (db / 20)))
            for number, db in enumerate(self.harmonics_db, 1)
        ]

    def sounding_ms(self, length_ms: int) -> float:
        """How long a steady tone would last that has the energy of a pulse with its ramps."""
        return length_ms - 2 * self.ramp_ms * 5 / 8


@dataclass(frozen=True, slots=True)
class Figure:
    """A rhythm with its notes, which begin again where there are fewer; level in dB.

    Of the first ``swell`` pulses each is `_SWELL_DB` louder than the one before.
    """

    says: str
    beats: tuple[Beat, ...]
    notes: tuple[float, ...]
    level_db: float = 0.0
    swell: int = 1

    @property
    def length_ms(self) -> int:
        return sum(self.beats[-1])

    def pulses(self, voice: Voice, loudness: float) -> tuple[Pulse, ...]:
        """The figure as pulses that make the whole of it, rests included, as loud as asked."""
        sounding_ms = sum(voice.sounding_ms(beat.length_ms) for beat in self.beats)
        share = sounding_ms / max(self.length_ms, _LOUDNESS_BLOCK_MS)
        level = loudness + self.level_db - 10 * log10(share)
        return tuple(
            Pulse(
                *beat,
                self.notes[index % len(self.notes)],
                level - _SWELL_DB * max(0, self.swell - 1 - index),
            )
            for index, beat in enumerate(self.beats)
        )


@dataclass(frozen=True, slots=True)
class DigitPlace:
    """One place of a number: what one unit is worth, and how a unit sounds."""

    worth: int
    unit: Figure
    rest_ms: int


@dataclass(frozen=True, slots=True)
class Count:
    """A family of meanings told as a number, from ``least`` to ``most``.

    ``words`` say what single numbers mean; ``unit_ms`` is what 1 is worth where numbers are times.
    """

    says: str
    words: Mapping[int, str]
    unit_ms: int
    least: int
    most: int
    head: Figure | None
    places: tuple[DigitPlace, ...]
    group: int
    group_rest_ms: int

    @property
    def numbers(self) -> range:
        return range(self.least, self.most + 1, self.places[-1].worth)

    def says_number(self, number: int) -> str:
        """What ``number`` means, in plain words."""
        written = clock(number * self.unit_ms) if self.unit_ms else str(number)
        return f"{self.says}: {self.words.get(number, written)}"

    def line(self, number: int) -> Iterator[tuple[int, Figure]]:
        """Each figure that tells ``number``, with the rest before it: the head, then the digits."""
        if self.head:
            yield 0, self.head
        yield from self.digits(number, self.group_rest_ms if self.head else 0)

    def digits(self, number: int, rest_ms: int) -> Iterator[tuple[int, Figure]]:
        """The figures of ``number`` alone, the first one after ``rest_ms``."""
        for place in self.places:
            times, number = divmod(number, place.worth)
            for index in range(times):
                yield rest_ms, place.unit
                full = (index + 1) % self.group == 0 or index + 1 == times
                rest_ms = self.group_rest_ms if full else place.rest_ms


@dataclass(frozen=True)
class CueSet:
    """Every sound of one set. ``rule`` is the sentence by which people learn it.

    ``gap_ms`` usually lies between pulses. ``band`` is where the sounds carry; of what is left
    ``unsaid`` there is none.
    """

    name: str
    rule: str
    band: Band
    unsaid: frozenset[str]
    loudness: float
    voice: Voice
    gap_ms: int
    cues: Mapping[str, Figure]
    signatures: Mapping[str, Figure]
    signature_rest_ms: int
    counts: Mapping[str, Count]
    _known: dict[str, tuple[Pulse, ...]] = field(default_factory=dict, compare=False, repr=False)

    def meanings(self) -> list[str]:
        """Every meaning there is a sound for, in the order of the file."""
        places = [str(place) for place in self.counts["here"].numbers]
        signed = [
            each(sign) for sign in self.signatures for each in (meanings.enter, meanings.here)
        ]
        counted = [f"{n}-{i}" for n, count in self.counts.items() for i in count.numbers]
        return [*self.cues, *map(meanings.enter, places), *signed, *counted]

    def says(self, meaning: str) -> str:
        """The meaning in plain words."""
        head, tail = _parts(meaning)
        if head == "enter" and tail:
            return f"{self.cues[head].says}: {_place(tail)}"
        if head == "here":
            return f"{self.counts[head].says}: {_place(tail)}"
        if head in self.counts:
            return self.counts[head].says_number(int(tail))
        return self.cues[meaning].says

    def pulses(self, meaning: str) -> tuple[Pulse, ...]:
        """The pulses of a meaning in order of time; `KeyError` where the set has no such cue."""
        if meaning not in self._known:
            self._known[meaning] = tuple(self._joined(meaning))
        return self._known[meaning]

    def length_ms(self, meaning: str) -> int:
        """From the first sample of a cue to its last; 0 where the set leaves it unsaid."""
        return 0 if meaning in self.unsaid else self.pulses(meaning)[-1].end_ms

    def first_figure(self, meaning: str) -> int:
        """How many pulses the first figure of a meaning has."""
        return len(self._line(meaning)[0][1].beats)

    def _joined(self, meaning: str) -> Iterator[Pulse]:
        at_ms = 0
        for rest_ms, figure in self._line(meaning):
            at_ms += rest_ms
            for pulse in figure.pulses(self.voice, self.loudness):
                yield pulse._replace(at_ms=at_ms + pulse.at_ms)
            at_ms += figure.length_ms

    def _line(self, meaning: str) -> list[tuple[int, Figure]]:
        head, tail = _parts(meaning)
        if head in ("enter", "here") and tail:
            first = self.cues[head] if head == "enter" else self.counts[head].head
            return [*([(0, first)] if first else []), *self._signed(tail)]
        if head in self.counts and tail.isdecimal() and int(tail) in self.counts[head].numbers:
            return list(self.counts[head].line(int(tail)))
        return [(0, self.cues[meaning])]

    def _signed(self, sign: str) -> Iterator[tuple[int, Figure]]:
        """A place as a number, a kind by its signature; one without its own has that of any."""
        if sign.isdecimal():
            yield from self.counts["here"].digits(int(sign), self.signature_rest_ms)
        else:
            own = sign if sign in self.signatures or sign not in meanings.STEP_KINDS else _ANY_KIND
            yield self.signature_rest_ms, self.signatures[own]


def _place(sign: str) -> str:
    return f"vessel {sign} from the left" if sign.isdecimal() else sign


def _parts(meaning: str) -> tuple[str, str]:
    """``enter-fix`` as enter and fix; a word that is no family keeps its dash."""
    head = meanings.family(meaning)
    return head, meanings.kind_called(meaning[len(head) + 1 :])
