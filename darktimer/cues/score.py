"""Places cues on one line of samples, which can be read from any frame in any number.

Every pulse is placed from the start of the line. A waveform is made and quantised once and then
only copied; where sounds overlap they are added and bent below the ceiling. Knows no device.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from darktimer.cues.cue_set import CueSet, Pulse
from darktimer.cues.speaker import QUIET_MS, Speaker
from darktimer.cues.tone import Samples, limited, tone
from darktimer.process.timeline import Cue, Timeline
from darktimer.units import frames

#: Quiet shorter than this is not worth a cut.
_APART_MS: Final = 100

_Whole = TypeVar("_Whole", np.int16, np.int32)


class _PlacedCues(NamedTuple):
    """All cues in order of time, as columns: a day of cues is a few hundred kilobytes."""

    at_ms: NDArray[np.int64]
    shape: NDArray[np.int32]
    led: NDArray[np.bool_]


class _Shape(NamedTuple):
    """How one meaning sounds: its waveforms and when each begins, from the cue's start."""

    length_ms: int
    waves: tuple[tuple[int, Samples], ...]


class Score:
    """A line of 16-bit mono samples, ``frames`` long, silent (or bed only) beyond its end.

    ``fill`` takes no lock and may run in another thread than ``exchange``: it reads the placed
    cues once, and they are exchanged as a whole.
    """

    def __init__(self, timeline: Timeline, cue_set: CueSet, rate: int, speaker: Speaker) -> None:
        self.rate = rate
        self._cue_set = cue_set
        self._speaker = speaker
        bed = speaker.bed(rate)
        self._period = len(bed)
        self._bed = np.concatenate((bed, bed))  # any period of it is one slice
        self._bed.flags.writeable = False
        self._lead_in = speaker.lead_in(rate)
        self._tones: dict[tuple[int, float, float], Samples] = {}
        self._shapes: list[_Shape] = []
        self._numbers: dict[str, int] = {}
        self._longest_ms = 0
        self._placed = self._ordered(timeline.cues)
        self.frames = frames(max(timeline.duration_ms, self._end_ms()), rate)

    def exchange(self, cues: Sequence[Cue]) -> None:
        """Plays these cues from now on; those already filled must be among them, unchanged."""
        self._placed = self._ordered(cues)
        self.frames = max(self.frames, frames(self._end_ms(), self.rate))

    def prepare(self, meanings: Iterable[str]) -> None:
        """Makes the sounds of these meanings now, so that nothing waits for them later."""
        for meaning in meanings:
            self._number(meaning)

    def fill(self, start: int, count: int) -> Samples:
        """``count`` samples from frame ``start``; not to be written to, it may be shared."""
        sounds = sorted(self._sounds(start, count), key=lambda sound: sound[0])
        if not sounds:
            return self._background(start, count)
        if _overlap(sounds):
            return limited(_sum(self._background(start, count).astype(np.int32), sounds))
        return _sum(self._background(start, count).copy(), sounds)

    def cuts(self) -> Iterator[int]:
        """Frames at which quiet begins or ends, from 0 to the last one."""
        yield 0
        end_ms: int | None = None
        for at_ms, number, led in zip(*self._placed, strict=True):
            begin_ms = int(at_ms) - int(led) * self._speaker.lead_ms
            if end_ms is not None and begin_ms > end_ms + _APART_MS:
                yield frames(end_ms, self.rate) + 1  # a tone may end a frame late by its rounding
                yield frames(begin_ms, self.rate)
            end_ms = max(end_ms or 0, int(at_ms) + self._shapes[number].length_ms)
        yield self.frames

    def _background(self, start: int, count: int) -> Samples:
        offset = start % self._period
        if count <= self._period:
            return self._bed[offset : offset + count]
        return np.resize(self._bed[offset : offset + self._period], count)

    def _sounds(self, start: int, count: int) -> Iterator[tuple[int, Samples]]:
        """Every waveform that reaches into a block, with its first frame counted from there."""
        placed = self._placed
        from_ms = start * 1000 // self.rate - self._longest_ms - 1
        to_ms = (start + count) * 1000 // self.rate + self._speaker.lead_ms + 1
        first, last = np.searchsorted(placed.at_ms, (from_ms, to_ms))
        columns = (column[first:last].tolist() for column in placed)
        for at_ms, number, led in zip(*columns, strict=True):
            for offset_ms, wave in self._shapes[number].waves:
                at = frames(at_ms + offset_ms, self.rate) - start
                if at < count and at + len(wave) > 0:
                    yield at, wave
            at = frames(at_ms, self.rate) - len(self._lead_in) - start
            if led and at < count and at + len(self._lead_in) > 0:
                yield at, self._lead_in

    def _ordered(self, cues: Sequence[Cue]) -> _PlacedCues:
        at_ms = np.fromiter((cue.at_ms for cue in cues), np.int64, len(cues))
        shape = np.fromiter((self._number(cue.meaning) for cue in cues), np.int32, len(cues))
        order = np.argsort(at_ms, kind="stable")
        at_ms, shape = at_ms[order], shape[order]
        return _PlacedCues(at_ms, shape, self._leads(at_ms, shape))

    def _leads(self, at_ms: NDArray[np.int64], shape: NDArray[np.int32]) -> NDArray[np.bool_]:
        """Which cues follow quiet long enough for a speaker to have fallen asleep."""
        if not self._speaker.lead_ms or not len(at_ms):
            return np.zeros(len(at_ms), np.bool_)
        ends_ms = np.maximum.accumulate(at_ms + self._lengths_ms()[shape])
        return np.concatenate(([True], at_ms[1:] - ends_ms[:-1] > QUIET_MS))

    def _lengths_ms(self) -> NDArray[np.int64]:
        return np.array([shape.length_ms for shape in self._shapes], np.int64)

    def _end_ms(self) -> int:
        at_ms, shape, _ = self._placed
        return int((at_ms + self._lengths_ms()[shape]).max()) if len(at_ms) else 0

    def _number(self, meaning: str) -> int:
        """The place of a meaning's shape in the list of shapes, which only grows."""
        if meaning not in self._numbers:
            pulses = self._cue_set.pulses(meaning)
            shape = _Shape(
                self._cue_set.length_ms(meaning),
                tuple((pulse.at_ms, self._tone(pulse)) for pulse in pulses),
            )
            self._shapes.append(shape)
            self._numbers[meaning] = len(self._shapes) - 1
            self._longest_ms = max(self._longest_ms, shape.length_ms)
        return self._numbers[meaning]

    def _tone(self, pulse: Pulse) -> Samples:
        key = pulse[1:]
        if key not in self._tones:
            self._tones[key] = tone(pulse, self._cue_set.voice, self.rate)
        return self._tones[key]


def _overlap(sounds: list[tuple[int, Samples]]) -> bool:
    """Whether any sound, in order of their starts, begins before all earlier ones have ended."""
    end = sounds[0][0]
    for at, wave in sounds:
        if at < end:
            return True
        end = at + len(wave)
    return False


def _sum(block: NDArray[_Whole], sounds: list[tuple[int, Samples]]) -> NDArray[_Whole]:
    """Adds to ``block`` what of each sound reaches into it."""
    for at, wave in sounds:
        begin, end = max(at, 0), min(at + len(wave), len(block))
        block[begin:end] += wave[begin - at : end - at]
    return block
