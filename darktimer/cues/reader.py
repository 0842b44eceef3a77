"""Reads a cue set from a YAML file, and says of everything wrong in it where it stands.

Knows how a set is written; what it then sounds like is the cue set's business, whether that is
wise the rules'.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Final, TypeVar

from darktimer.cues.cue_set import Band, Count, CueSet, DigitPlace, Figure, Voice
from darktimer.cues.notation import melody, rhythm
from darktimer.document import Document, Field, Section, read_document, validate
from darktimer.document.fields import Lengths, ReadBy
from darktimer.errors import Fault, FileError, UnreadableError
from darktimer.process import meanings
from darktimer.shipped import find
from darktimer.units import count, duration_ms

_NUMBER = re.compile(r"([+-]?\d{1,3}(?:\.\d{1,2})?)(?: ?(dB|LUFS))?")

_BAND = re.compile(r"(\d{2,5}) to (\d{2,5}) Hz")


def _number(text: str, unit: str, least: float, most: float) -> float:
    match = _NUMBER.fullmatch(text.strip())
    if not match or match[2] not in (unit or None, None):
        raise UnreadableError(
            f"{text!r} is not a number", f"write a number, such as {least:g} {unit}"
        )
    if not least <= float(match[1]) <= most:
        raise UnreadableError(f"{text!r} is out of range", f"write {least:g} to {most:g} {unit}")
    return float(match[1])


def _harmonics(text: str) -> tuple[float, ...]:
    levels = tuple(_number(word, "", -60, 20) for word in text.split())
    if not 1 <= len(levels) <= 8:
        raise UnreadableError(f"{len(levels)} harmonics", "write 1 to 8 levels, such as 0 4 -2 -10")
    return levels


def _band(text: str) -> Band:
    match = _BAND.fullmatch(text.strip())
    if not match:
        raise UnreadableError(f"{text!r} is not a band", "write one such as 600 to 2500 Hz")
    return Band(float(match[1]), float(match[2]))


T = TypeVar("T", int, float)
Milliseconds = Annotated[int, ReadBy(duration_ms)]
Decibels = Annotated[float, ReadBy(lambda raw: _number(raw, "dB", -40, 20))]
Loudness = Annotated[float, ReadBy(lambda raw: _number(raw, "LUFS", -40, -10))]
Harmonics = Annotated[tuple[float, ...], ReadBy(_harmonics)]
Frequencies = Annotated[Band, ReadBy(_band)]
WordList = Annotated[tuple[str, ...], ReadBy(lambda raw: tuple(raw.split()))]
Notes = Annotated[tuple[float, ...], ReadBy(melody)]
WholeCount = Annotated[int, ReadBy(lambda raw: count(raw, 0, 9999))]
PositiveCount = Annotated[int, ReadBy(lambda raw: count(raw, 1, 99))]


class _VoiceSection(Section):
    harmonics: Harmonics
    ramp: Milliseconds


class _SignatureSection(Section):
    rhythm: str
    notes: Notes
    level: str = ""


class _CueSection(_SignatureSection):
    says: str
    swell: PositiveCount = 1


class _PlaceSection(_SignatureSection):
    rest: str = ""


class _CountSection(Section):
    says: str
    words: dict[str, str] = Field(default_factory=dict)
    unit: Milliseconds = 0
    least: WholeCount
    most: WholeCount
    head: _SignatureSection | None = None
    places: Annotated[dict[str, _PlaceSection], Lengths(1)]


class _CueSetSection(Section):
    rule: str
    band: Frequencies
    loudness: Loudness
    levels: dict[str, Decibels] = Field(default_factory=dict)
    voice: _VoiceSection
    lengths: dict[str, Milliseconds]
    gap: Milliseconds
    rests: dict[str, Milliseconds] = Field(default_factory=dict)
    unsaid: WordList = ()
    cues: dict[str, _CueSection]
    signatures: dict[str, _SignatureSection]
    signature_rest: str
    count_group: PositiveCount
    count_rest: str
    counts: dict[str, _CountSection]


#: The cues and families that plans and live runs may ask for.
_CUES: Final = ("enter", *meanings.SINGLE)
#: What a set may leave unsaid: nothing is to be done when these are heard.
_NEEDLESS: Final = (meanings.HEARTBEAT, meanings.PIP)
_COUNTS: Final = {
    "here": range(1, meanings.MOST_PLACES + 1),
    "ready": range(1, 4),
    "tally": range(1, 100),
    "piece": range(1, 9),
    "left": range(0, 5991, 10),
}


def load_cue_set(name_or_path: str) -> CueSet:
    """The cue set of a file or of a shipped name; raises `NotFoundError` or `FileError`."""
    path = find("sounds", "cue set", name_or_path)
    document = read_document(path)
    return _CueSetBuilder(path, document, validate(_CueSetSection, document)).build()


class _CueSetBuilder:
    """Turns the validated file into a cue set, gathering the faults of rhythms and words."""

    def __init__(self, path: Path, document: Document, written: _CueSetSection) -> None:
        self._name = path.stem
        self._document = document
        self._written = written
        self._faults: list[Fault] = []

    def build(self) -> CueSet:
        """The cue set; raises `FileError`."""
        written = self._written
        cue_set = CueSet(
            name=self._name,
            rule=written.rule,
            band=written.band,
            unsaid=frozenset(written.unsaid),
            loudness=written.loudness,
            voice=Voice(written.voice.harmonics, written.voice.ramp),
            gap_ms=written.gap,
            cues={
                k: replace(self._figure(c, ("cues", k), c.says), swell=c.swell)
                for k, c in written.cues.items()
            },
            signatures={
                meanings.kind_called(kind): self._figure(signature, ("signatures", kind))
                for kind, signature in written.signatures.items()
            },
            signature_rest_ms=self._rest(written.signature_rest, ("signature rest",)),
            counts={k: self._count(c, ("counts", k)) for k, c in written.counts.items()},
        )
        self._check_all_there(cue_set)
        self._check_unsaid()
        self._check_lengths()
        if self._faults:
            raise FileError(self._document.source, self._faults)
        return cue_set

    def _fault(self, path: tuple[str, ...], found: str, remedy: str) -> None:
        self._faults.append(self._document.fault(path, found, remedy))

    def _check_all_there(self, cue_set: CueSet) -> None:
        wanted = {"cues": _CUES, "signatures": ("step",), "counts": _COUNTS}
        for key, names in wanted.items():
            for name in names:
                if name not in getattr(cue_set, key) and name not in cue_set.unsaid:
                    found = f"there is no sound for {name!r}"
                    self._fault((key,), found, f"add {name}: with its rhythm")
        for family, numbers in _COUNTS.items():
            there = cue_set.counts.get(family)
            if there and not set(numbers) <= set(there.numbers):
                found = "it has no sound for some of the numbers that may be asked for"
                remedy = f"count from {numbers[0]} to {numbers[-1]} by {numbers.step}"
                self._fault(("counts", family), found, remedy)

    def _check_unsaid(self) -> None:
        for name in self._written.unsaid:
            if name not in _NEEDLESS:
                remedy = f"only {' and '.join(_NEEDLESS)} can"
                self._fault(("unsaid",), f"{name!r} cannot be left unsaid", remedy)
            elif name in self._written.cues:
                found = f"{name!r} is left unsaid and has a sound"
                self._fault(("unsaid",), found, "take one of the two away")

    def _check_lengths(self) -> None:
        least_ms = 3 * self._written.voice.ramp
        for name, length_ms in self._written.lengths.items():
            if length_ms < least_ms:
                found = f"{length_ms} ms has no room for two ramps"
                self._fault(("lengths", name), found, f"write {least_ms} ms or more")

    def _figure(self, written: _SignatureSection, path: tuple[str, ...], says: str = "") -> Figure:
        words = self._written
        beats = self._read(
            (*path, "rhythm"), rhythm, written.rhythm, words.lengths, words.rests, words.gap
        )
        level = self._word(written.level, words.levels, 0.0, (*path, "level"))
        return Figure(says, beats or (), written.notes, level)

    def _count(self, written: _CountSection, path: tuple[str, ...]) -> Count:
        places = [
            self._place(worth, place, (*path, "places", worth))
            for worth, place in written.places.items()
        ]
        words = {
            self._read((*path, "words", number), count, number, 0, 9999): text
            for number, text in written.words.items()
        }
        return Count(
            says=written.says,
            words=words,
            unit_ms=written.unit,
            least=written.least,
            most=written.most,
            head=self._figure(written.head, (*path, "head")) if written.head else None,
            places=tuple(sorted(places, key=lambda place: -place.worth)),
            group=self._written.count_group,
            group_rest_ms=self._rest(self._written.count_rest, ("count rest",)),
        )

    def _place(self, worth: str, written: _PlaceSection, path: tuple[str, ...]) -> DigitPlace:
        number = self._read(path, count, worth, 1, 9999)
        rest_ms = self._rest(written.rest, (*path, "rest"))
        return DigitPlace(number or 1, self._figure(written, path), rest_ms)

    def _rest(self, word: str, path: tuple[str, ...]) -> int:
        return self._word(word, self._written.rests, self._written.gap, path)

    def _word(self, word: str, words: dict[str, T], usual: T, path: tuple[str, ...]) -> T:
        if word and word not in words:
            self._fault(path, f"{word!r} is not known here", f"known are {', '.join(words)}")
        return words.get(word, usual)

    def _read(self, path: tuple[str, ...], read: Callable[..., Any], *given: Any) -> Any:
        try:
            return read(*given)
        except UnreadableError as error:
            self._fault(path, error.found, error.remedy)
            return None
