"""Places cues on one line of samples, which can be read from any frame in any number.

Every pulse is placed from the start of the line. A waveform is made and quantised once and then
only copied; where sounds overlap they are added and bent below the ceiling. Knows no device.
"""

from bisect import bisect_left
from collections.abc import Callable, Collection, Iterable, Iterator
from typing import Final, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from darktimer.cues.cue_set import CueSet, Pulse
from darktimer.cues.speaker_profiles import QUIET_MS, Speaker
from darktimer.cues.tone import Samples, limited, tone
from darktimer.process.timeline import Cue, Timeline
from darktimer.units import frames

#: Quiet shorter than this is not worth a cut.
_APART_MS: Final = 100

_Whole = TypeVar("_Whole", np.int16, np.int32)
_Placed = TypeVar("_Placed", Cue, int)


class _PlacedCues(NamedTuple):
    """All cues in order of time, when the last is over, and when each lead-in is."""

    cues: list[Cue]
    end_ms: int
    led_ms: list[int]


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
        self._lead_in = speaker.lead_in(rate, cue_set.loudness)
        self._tones: dict[tuple[int, float, float], Samples] = {}
        self._waves: dict[str, tuple[tuple[int, Samples], ...]] = {}
        self._longest_ms = 0
        self.frames = frames(timeline.duration_ms, rate)
        self.exchange(timeline.cues)

    def exchange(self, cues: Collection[Cue]) -> None:
        """Plays these cues from now on; those already filled must be among them, unchanged."""
        self.prepare({cue.meaning for cue in cues})
        self._placed = self._ordered(cues)
        self.frames = max(self.frames, frames(self._placed.end_ms, self.rate))

    def prepare(self, meanings: Iterable[str]) -> None:
        """Makes the sounds of these meanings now, so that nothing waits for them later."""
        for meaning in meanings:
            if meaning not in self._waves:
                pulses = self._cue_set.pulses(meaning)
                self._waves[meaning] = tuple((p.at_ms, self._tone(p)) for p in pulses)
                self._longest_ms = max(self._longest_ms, pulses[-1].end_ms)

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
        led_ms = set(self._placed.led_ms)
        for cue in self._placed.cues:
            begin_ms = cue.at_ms - (self._speaker.lead_ms if cue.at_ms in led_ms else 0)
            if end_ms is not None and begin_ms > end_ms + _APART_MS:
                yield frames(end_ms, self.rate) + 1  # a tone may end a frame late by its rounding
                yield frames(begin_ms, self.rate)
            end_ms = max(end_ms or 0, cue.end_ms)
        yield self.frames

    def _background(self, start: int, count: int) -> Samples:
        offset = start % self._period
        if count <= self._period:
            return self._bed[offset : offset + count]
        return np.resize(self._bed[offset : offset + self._period], count)

    def _sounds(self, start: int, count: int) -> Iterator[tuple[int, Samples]]:
        """Every waveform that reaches into a block, with its first frame counted from there."""
        cues, _, led_ms = self._placed
        from_ms = start * 1000 // self.rate - 1
        to_ms = (start + count) * 1000 // self.rate + 1
        for cue in _between(cues, from_ms - self._longest_ms, to_ms, lambda cue: cue.at_ms):
            for offset_ms, wave in self._waves[cue.meaning]:
                at = frames(cue.at_ms + offset_ms, self.rate) - start
                if at < count and at + len(wave) > 0:
                    yield at, wave
        for at_ms in _between(led_ms, from_ms, to_ms + self._speaker.lead_ms, int):
            at = frames(at_ms, self.rate) - len(self._lead_in) - start
            if at < count and at + len(self._lead_in) > 0:
                yield at, self._lead_in

    def _ordered(self, cues: Iterable[Cue]) -> _PlacedCues:
        """In order of time; led are those after quiet in which a speaker may fall asleep."""
        ordered = sorted(cues, key=lambda cue: cue.at_ms)
        led_ms: list[int] = []
        end_ms = -QUIET_MS - 1
        for cue in ordered:
            if self._speaker.lead_ms and cue.at_ms - end_ms > QUIET_MS:
                led_ms.append(cue.at_ms)
            end_ms = max(end_ms, cue.end_ms)
        return _PlacedCues(ordered, max(end_ms, 0), led_ms)

    def _tone(self, pulse: Pulse) -> Samples:
        key = pulse[1:]
        if key not in self._tones:
            self._tones[key] = tone(pulse, self._cue_set.voice, self.rate)
        return self._tones[key]


def _between(
    placed: list[_Placed], from_ms: int, to_ms: int, at_ms: Callable[[_Placed], int]
) -> list[_Placed]:
    return placed[bisect_left(placed, from_ms, key=at_ms) : bisect_left(placed, to_ms, key=at_ms)]


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
