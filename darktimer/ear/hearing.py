"""Hears the cues in a recording: which, when, and how far above the noise.

A minute or so at a time is searched, and of all cues that may be there the row is kept that
explains most of the sound. The moment at which a plan wants a cue plays no part.
"""

from collections.abc import Iterable, Iterator
from functools import cache, partial
from typing import Final, NamedTuple

import numpy as np

from darktimer.cues.cue_set import CueSet
from darktimer.ear.bands import Bands, Reals, bands_of
from darktimer.ear.fitting import AROUND_MS
from darktimer.ear.pulses import Pulses, pulses_at, slices_of, usual_gains
from darktimer.ear.recording import Recording
from darktimer.ear.response import learnt
from darktimer.ear.search import Candidate, candidates
from darktimer.ear.sequence import best_sequence
from darktimer.ear.spectrum import FRAME_MS, FilterBank, Matrix
from darktimer.ear.tail import kept
from darktimer.ear.tones import Tones, tones_in
from darktimer.ear.too_loud import is_much, most_of_cues
from darktimer.ear.vocabulary import vocabulary_of

#: Frames that are searched at once, beside the length of the longest cue.
_STRETCH: Final = 60_000 // FRAME_MS
#: A cue that ended no longer before is heard again with what follows, which its tail may reach.
_TAIL: Final = 3000 // FRAME_MS
#: The noise around a cue is that of so many frames before and after it.
_NOISE_FRAMES: Final = 1000 // FRAME_MS
#: A second partial has at least this share of the power of the strongest,
_SUPPORT: Final = 10**-2.5
#: and is at least this far above the noise in its own band.
_LEAST_SUPPORT: Final = 1.0
#: Noise counts as no less than this share of the strongest partial: where there is none, all that
#: quiet places hold leaks into them from the tones themselves, into some far more than into others.
_LEAK: Final = 10**-3
#: A cue is so many frames off its place on a timeline, and no more.
_OFF: Final = 3
#: Where more is kept of a tone a moment after its end, a room rings,
_RINGING: Final = 0.2
#: and is heard so many times again at most: what is heard tells what the room does, and this again
#: what is heard.
_HEARINGS: Final = 2
#: Cues that explain less than this, in units of the variance of the noise, are faint. They teach
#: nothing: one that is taken for another would teach what makes it so.
_FAINT: Final = 1000.0
#: Where a room is taken out, cues explain as much as was heard, or more; of music, 0.2 to 0.8.
_EXPLAINED: Final = 0.85
#: A faint cue that is much softer than its notes were counts for this share of what it explains.
_DOUBTED: Final = 0.6
#: No margin is told beyond this: there was next to no noise.
_HIGHEST_DB: Final = 60.0


class Detection(NamedTuple):
    """A cue in a recording.

    ``at_ms`` is its onset from the first sample. ``margin_db`` is the level of its strongest
    partial over the noise in the third of an octave around it, for the middle one of its pulses.
    ``fit`` is the share of the sound in and around it that it explains, 1 or less but for noise.
    ``pulses`` are what was heard of each pulse.
    """

    at_ms: float
    length_ms: int
    meaning: str
    margin_db: float
    fit: float
    pulses: Pulses | None = None


def hear(recording: Recording, cue_set: CueSet) -> Iterator[Detection]:
    """Every cue of ``cue_set`` in the recording, in order of time; raises `DarktimerError`."""
    bands = bands_of(cue_set, recording.rate)
    for one in Ear(cue_set, bands).hear(FilterBank(bands, recording.rate).powers(recording)):
        yield one if recording.speed == 1 else one._replace(at_ms=one.at_ms / recording.speed)


class Ear:
    """Ears for one cue set and one layout of bands."""

    def __init__(self, cue_set: CueSet, bands: Bands) -> None:
        self._bands = bands
        self._words = vocabulary_of(cue_set, bands)
        self._response: Matrix | None = None  # of the room, as far as it was heard
        self._usual = np.zeros(bands.shapes.shape)  # how strongly each note came through
        self._slices = cache(partial(slices_of, self._words))
        self._around = 2 * AROUND_MS // FRAME_MS
        self._longest = int(self._words.lengths_ms.max()) // FRAME_MS + 2 * self._around

    def hear(self, powers: Iterable[Matrix]) -> Iterator[Detection]:
        """The cues in arrays of power that follow each other, in order of time."""
        first = 0  # the frame at which what is held begins
        reported = -self._longest  # what begins before this frame has been told
        held = np.zeros((len(self._bands.hertz) + len(self._bands.quiet), 0), np.float32)
        for more, last in _with_last(powers):
            held = np.concatenate((held, more), axis=1)
            if not last and held.shape[1] < _STRETCH + self._longest:
                continue
            limit = first + held.shape[1] - (0 if last else self._longest)
            tones, chosen = self._settled(held)
            since = limit
            for candidate in chosen:
                if reported <= first + candidate.start < limit:
                    if one := self._detection(candidate, tones, first):
                        yield one
                    reported = int(first + candidate.end)
                    if reported > limit - _TAIL:
                        since = int(first + candidate.start)
            reported = max(reported, limit)
            cut = max(0, since - self._around - first)
            first, held = first + cut, held[:, cut:]

    def _settled(self, held: Matrix) -> tuple[Tones, list[Candidate]]:
        """The tones and the cues in them, heard again where what was heard tells more of the room.

        That is where something is louder than any cue, and where it rings until nothing changes.
        What the room did before is what it does now, until more is learnt: of faint cues alone, one
        that is taken for another makes others the same, and they teach nothing. But where much is
        left that no cue explains, what rings is no room, and no loudness is learnt.
        """
        tones = tones_in(held, self._bands)
        heard = float(tones.strongest.sum())
        rings = kept(tones.power, tones.noise) > _RINGING
        response = self._response if rings else None
        if response is not None:
            tones = tones_in(held, self._bands, response)
        chosen = self._chosen(tones)
        most = self._most(chosen, tones)
        if most is not None:
            tones = tones_in(held, self._bands, response, most)
            chosen = self._chosen(tones)
        faint = sum(cue.energy for cue in chosen) < _FAINT
        for _ in range(_HEARINGS if rings and not faint else 0):
            notes = self._words.played(((c.meaning, c.start) for c in chosen), held.shape[1])
            self._response = learnt(tones.power, tones.noise, self._bands.powers_of(notes))
            again = self._chosen(tones_in(held, self._bands, self._response, most))
            before, chosen = chosen, again
            if _alike(before, chosen):
                break
        explained = sum(cue.energy for cue in chosen) * self._words.variance
        if explained >= _EXPLAINED * heard:
            self._usual = _mean(self._usual, self._gains(chosen, tones))
        elif rings:
            self._response = None
        return tones, chosen

    def _chosen(self, tones: Tones) -> list[Candidate]:
        found = [self._doubted(one, tones) for one in candidates(tones, self._words)]
        return best_sequence(found, self._words.longest_rest_ms)

    def _doubted(self, one: Candidate, tones: Tones) -> Candidate:
        """A faint cue may fit as a louder one; how loud that was before tells that it is none."""
        if one.energy >= _FAINT:
            return one
        soft = self.pulses_at(one.start, one.meaning, tones).soft(self._usual)
        return one._replace(energy=_DOUBTED * one.energy) if soft else one

    def _most(self, chosen: list[Candidate], tones: Tones) -> Reals | None:
        """The most power that a cue has in each band, where something is louder."""
        usual = self._gains(chosen, tones)
        most = most_of_cues(usual, self._words.loudest, self._bands.shapes)
        return most if is_much(tones.power, tones.noise, most) else None

    def _gains(self, chosen: list[Candidate], tones: Tones) -> Reals:
        """How strongly each note comes through in each band (N, B)."""
        heard = [self.pulses_at(one.start, one.meaning, tones) for one in chosen]
        return usual_gains(heard, self._bands.shapes)

    def _detection(self, candidate: Candidate, tones: Tones, first: int) -> Detection | None:
        """The cue, or None where a single partial sounds: a whistle, a hum, a beeping machine."""
        power, noise = self._pulses(candidate, tones)
        noise = np.maximum(noise, _LEAK * power.max(axis=1, keepdims=True))
        strongest, second = np.sort(power / noise - 1, axis=1)[:, :-3:-1].mean(axis=0)
        if second < max(_SUPPORT * strongest, _LEAST_SUPPORT):
            return None
        return Detection(
            at_ms=(first + candidate.start) * FRAME_MS,
            length_ms=int(self._words.lengths_ms[candidate.meaning]),
            meaning=self._words.meanings[candidate.meaning],
            margin_db=self._margin_db(candidate, tones, power),
            fit=candidate.fit,
            pulses=self.pulses_at(candidate.start, candidate.meaning, tones),
        )

    def pulses_at(self, start: float, meaning: int, tones: Tones) -> Pulses:
        """What is heard of each pulse of a meaning that begins at a frame."""
        return pulses_at(start, self._slices(meaning), tones, self._bands.shapes)

    def looked(self, meaning: str, at_ms: float, powers: Matrix) -> Pulses:
        """What is heard of each pulse of a cue that begins at ``at_ms`` of the powers, or near."""
        tones = tones_in(powers, self._bands)
        number = self._words.meanings.index(meaning)
        near = (
            self.pulses_at(at_ms / FRAME_MS + off, number, tones) for off in range(-_OFF, _OFF + 1)
        )
        return max(near, key=lambda pulses: float(pulses.gains.sum()))

    def _pulses(self, candidate: Candidate, tones: Tones) -> tuple[Reals, Reals]:
        """In the middle of each pulse of a cue, the power of its partials and the noise: (P, B)."""
        power, noise = [], []
        for at_ms, kind, _ in self._words.paths[candidate.meaning]:
            note, length_ms = self._words.kinds[kind]
            middle = round(candidate.start + (at_ms + length_ms / 2) / FRAME_MS)
            reach = max(1, length_ms // FRAME_MS // 4)
            last = tones.power.shape[1] - 1
            frames = np.clip(np.arange(middle - reach, middle + reach + 1), 0, last)
            power.append(tones.power[:, frames].mean(axis=1) * (self._bands.shapes[note] > 0))
            noise.append(tones.noise[:, frames].mean(axis=1))
        return np.array(power, np.float64), np.array(noise, np.float64)

    def _margin_db(self, candidate: Candidate, tones: Tones, power: Reals) -> float:
        """The margin over the noise around the cue, which the cue itself does not disturb."""
        around = slice(
            max(0, round(candidate.start) - _NOISE_FRAMES), round(candidate.end) + _NOISE_FRAMES
        )
        noise = np.percentile(tones.noise[:, around], 25, axis=1)
        over = ((power / noise - 1) / self._bands.third_octaves).max(axis=1)
        return min(_HIGHEST_DB, 10 * float(np.log10(max(np.median(over), 1e-6))))


def _with_last(powers: Iterable[Matrix]) -> Iterator[tuple[Matrix, bool]]:
    """Each array, and whether it is the last."""
    before: Matrix | None = None
    for more in powers:
        if before is not None:
            yield before, False
        before = more
    if before is not None:
        yield before, True


def _mean(before: Reals, now: Reals) -> Reals:
    """The mean of two arrays of gains (N, B), by the note; of one where the other has nothing."""
    known = np.any((before, now), axis=2).sum(axis=0)
    return np.asarray((before + now) / np.maximum(known, 1)[:, None])


def _alike(one: list[Candidate], other: list[Candidate]) -> bool:
    """Whether both hold the same cues, each within a few frames of its place."""
    return len(one) == len(other) and all(
        a.meaning == b.meaning and abs(a.start - b.start) < _OFF
        for a, b in zip(one, other, strict=True)
    )
