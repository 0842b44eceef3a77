"""Reads the two short notations of a cue set: notes such as ``C5 A5`` and rhythms.

A rhythm is a row of length words, ``short (breath) 3*long``: a word is a pulse, a number and a
star repeat it, a word in brackets is a rest in place of the usual gap. Knows no file and no sound.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple

from darktimer.errors import UnreadableError

_SEMITONES: Final = {"C": -9, "D": -7, "E": -5, "F": -4, "G": -2, "A": 0, "B": 2}
_NOTE = re.compile(r"([A-G])([#b]?)([0-9])")
_TOKEN = re.compile(r"(?:(\d{1,2})\*)?([a-z]+)|\(([a-z]+)\)")
_NOTES_REMEDY: Final = "write notes such as C5 F#5 Bb5"
_RHYTHM_REMEDY: Final = "write lengths and (rests), such as short (breath) 3*long"


class Beat(NamedTuple):
    """One pulse of a rhythm: where it begins and how long it sounds."""

    at_ms: int
    length_ms: int


def hertz(note: str) -> float:
    """The frequency of an equal-tempered note at A4 = 440 Hz (ISO 16); `UnreadableError`."""
    match = _NOTE.fullmatch(note)
    if not match:
        raise UnreadableError(f"{note!r} is not a note", _NOTES_REMEDY)
    sharp = {"#": 1, "b": -1, "": 0}[match[2]]
    semitones = _SEMITONES[match[1]] + sharp + 12 * (int(match[3]) - 4)
    return 440.0 * float(2 ** (semitones / 12))


def melody(text: str) -> tuple[float, ...]:
    """The frequencies of a row of notes, in hertz; raises `UnreadableError`."""
    if not text.split():
        raise UnreadableError("nothing is written", _NOTES_REMEDY)
    return tuple(hertz(note) for note in text.split())


def rhythm(
    text: str, lengths: Mapping[str, int], rests: Mapping[str, int], gap_ms: int
) -> tuple[Beat, ...]:
    """The beats of a rhythm, the first at 0 ms; raises `UnreadableError`."""
    beats: list[Beat] = []
    rest_ms: int | None = None
    for length, rest in _words(text):
        if rest:
            if rest_ms is not None or not beats:
                raise UnreadableError(f"({rest}) has no pulse before it", _RHYTHM_REMEDY)
            rest_ms = _known(rest, rests, "rest")
            continue
        wait = gap_ms if rest_ms is None else rest_ms
        at_ms = sum(beats[-1]) + wait if beats else 0
        beats.append(Beat(at_ms, _known(length, lengths, "length")))
        rest_ms = None
    if rest_ms is not None or not beats:
        raise UnreadableError(f"{text!r} does not end with a pulse", _RHYTHM_REMEDY)
    return tuple(beats)


def _words(text: str) -> Iterator[tuple[str, str]]:
    """Each word as (length, "") or ("", rest), repeats written out."""
    for token in text.split():
        match = _TOKEN.fullmatch(token)
        if not match:
            raise UnreadableError(f"{token!r} is not part of a rhythm", _RHYTHM_REMEDY)
        for _ in range(int(match[1] or 1)):
            yield match[2] or "", match[3] or ""


def _known(word: str, words: Mapping[str, int], kind: str) -> int:
    if word not in words:
        raise UnreadableError(
            f"{word!r} is not a {kind} of this set", f"known are {', '.join(words)}"
        )
    return words[word]
