"""Every meaning of a cue set as a path through a tree of pulses, and how well each fits a moment.

Cues that begin alike share their first pulses, so that all of them, the many numbers included, are
compared at once. Knows rhythms and notes; not where a cue may be expected.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from darktimer.cues.cue_set import CueSet
from darktimer.cues.margins import gaps_ms
from darktimer.ear.bands import Bands, Reals, all_pulses
from darktimer.ear.spectrum import FRAME_MS, Matrix

Whole = NDArray[np.int64]


#: A pulse this long may be all that is left of a cue.
_LONG_MS: Final = 1000
#: A cue of so many pulses or fewer.
_FEW: Final = 3


class PulseKind(NamedTuple):
    """Pulses that sound alike: the note, as its index in the bands, and the length."""

    note: int
    length_ms: int


class PathPulse(NamedTuple):
    """A pulse in a cue: when it begins, its kind, and its amplitude against the set's loudness."""

    at_ms: int
    kind: int
    amplitude: float


class Landmark(NamedTuple):
    """A pulse by which a cue is found: its kind, and how long the cue has lasted when it comes."""

    kind: int
    at_ms: int


class _Level(NamedTuple):
    """The n-th pulses of all cues, as columns; ``parents`` are places in the row before."""

    parents: Whole
    kinds: Whole
    at_frames: Reals
    amplitudes: Matrix


@dataclass(frozen=True, eq=False)
class Vocabulary:
    """What can be said, as a tree of pulses.

    ``envelopes`` holds for each of ``kinds`` its loudness against time as the bands show it, in
    frames from ``lead_frames`` before the onset, and ``energies`` their sums of squares;
    ``landmarks`` are what a search begins with. For the M ``meanings``: their ``paths``, their
    ``lengths_ms`` and the index of their last node in the tree, ``ends``. ``variance`` is that of a
    response in noise, for an envelope of energy 1.
    """

    kinds: tuple[PulseKind, ...]
    landmarks: tuple[Landmark, ...]
    paths: tuple[tuple[PathPulse, ...], ...]
    envelopes: tuple[Matrix, ...]
    energies: tuple[float, ...]
    lead_frames: int
    meanings: tuple[str, ...]
    lengths_ms: Whole
    ends: Whole
    rows: tuple[_Level, ...]
    longest_rest_ms: int
    variance: float

    def responses(self, clarity: Matrix, exponent: int = 1) -> Matrix:
        """How strongly each kind of pulse begins at each frame: (kinds, T) from (notes, T).

        Each frame counts times the pulse's envelope there; energies have the ``exponent`` 2.
        """
        made = [
            np.correlate(
                np.pad(clarity[kind.note], (self.lead_frames, len(shape))), shape**exponent
            )
            for kind, shape in zip(self.kinds, self.envelopes, strict=True)
        ]
        return np.stack([row[: clarity.shape[1]] for row in made])

    def sums(self, responses: Matrix, starts: Reals, exponent: int = 1) -> Matrix:
        """The sum of responses along every meaning begun at each of S ``starts``: (M, S).

        Each counts times its pulse's amplitude; energies have the ``exponent`` 2.
        """
        known = [np.zeros((1, len(starts)), np.float32)]
        for row in self.rows:
            fresh = _at(responses, row.kinds[:, None], starts + row.at_frames[:, None])
            known.append(known[-1][row.parents] + row.amplitudes[:, None] ** exponent * fresh)
        return np.concatenate(known[1:])[self.ends]

    def pulses(self, responses: Matrix, meaning: int, starts: Reals, exponent: int = 1) -> Reals:
        """The response to each of the P pulses of one meaning: (P, ...) for ``starts`` (...)."""
        at_ms, kinds, amplitudes = (
            np.array(part) for part in zip(*self.paths[meaning], strict=True)
        )
        column = (-1, *[1] * starts.ndim)
        at = starts + (at_ms / FRAME_MS).reshape(column)
        heard = _at(responses, kinds.reshape(column), at).astype(float)
        return np.asarray(amplitudes.reshape(column) ** exponent * heard)

    def played(self, cues: Iterable[tuple[int, float]], count: int) -> Matrix:
        """The power of each note (notes, ``count`` frames) where meanings begin at these frames."""
        power = np.zeros((1 + max(kind.note for kind in self.kinds), count), np.float32)
        for meaning, start in cues:
            for beat in self.paths[meaning]:
                at = round(start + beat.at_ms / FRAME_MS) - self.lead_frames
                seen = self.envelopes[beat.kind][max(0, -at) : max(0, count - at)]
                row = power[self.note_of(beat), max(0, at) :][: len(seen)]
                row += (beat.amplitude * seen) ** 2
        return power

    @cached_property
    def loudest(self) -> Reals:
        """The power of each note (N,) where it is loudest, against one as loud as the set."""
        power = np.zeros(1 + max(kind.note for kind in self.kinds))
        for beat in chain(*self.paths):
            power[self.note_of(beat)] = max(power[self.note_of(beat)], beat.amplitude**2)
        return power

    @cached_property
    def note_energies(self) -> Reals:
        """The energy of each note in each meaning: (M, N)."""
        return np.array([energies.sum(axis=1) for energies in self.pulse_energies])

    @cached_property
    def pulse_energies(self) -> tuple[Reals, ...]:
        """For each meaning the energy of each of its P pulses, in a row for each note: (N, P)."""
        return tuple(map(self._energies_along, self.paths))

    def _energies_along(self, path: tuple[PathPulse, ...]) -> Reals:
        energies = np.zeros((len(self.loudest), len(path)))
        for number, beat in enumerate(path):
            energies[self.note_of(beat), number] = self.energy(beat)
        return energies

    def note_of(self, beat: PathPulse) -> int:
        """The index of the note of a pulse."""
        return self.kinds[beat.kind].note

    def energy(self, beat: PathPulse) -> float:
        """The sum of squares of a pulse's envelope at its own loudness."""
        return beat.amplitude**2 * self.energies[beat.kind]


def vocabulary_of(cue_set: CueSet, bands: Bands) -> Vocabulary:
    """The tree of everything that ``cue_set`` can say."""
    meanings = tuple(cue_set.meanings())
    notes = {note: index for index, note in enumerate(bands.notes)}
    kind_of = {
        pulse: PulseKind(notes[pulse.frequency], pulse.length_ms) for pulse in all_pulses(cue_set)
    }
    kinds = tuple(sorted({*kind_of.values()}))
    paths = tuple(
        tuple(
            PathPulse(
                pulse.at_ms,
                kinds.index(kind_of[pulse]),
                10 ** ((pulse.level - cue_set.loudness) / 20),
            )
            for pulse in cue_set.pulses(meaning)
        )
        for meaning in meanings
    )
    lead_frames = int(bands.window_ms / 2 // FRAME_MS) + 1
    envelopes = tuple(
        _envelope(kind.length_ms, cue_set.voice.ramp_ms, bands.window_ms, lead_frames)
        for kind in kinds
    )
    rows, ends = _tree(paths)
    energies = tuple(float(shape @ shape) for shape in envelopes)
    return Vocabulary(
        kinds=kinds,
        landmarks=_landmarks(paths, kinds),
        paths=paths,
        envelopes=envelopes,
        energies=energies,
        lead_frames=lead_frames,
        meanings=meanings,
        lengths_ms=np.array([cue_set.length_ms(meaning) for meaning in meanings]),
        ends=ends,
        rows=rows,
        longest_rest_ms=max(
            gap_ms for meaning in meanings for gap_ms in gaps_ms(cue_set.pulses(meaning))
        ),
        variance=_variance(bands.window_ms),
    )


def _landmarks(
    paths: Iterable[tuple[PathPulse, ...]], kinds: tuple[PulseKind, ...]
) -> tuple[Landmark, ...]:
    """The first pulse of each cue that has swollen, and every one that is worth a cue by itself.

    Of a cue of few pulses the second as well: where noise hides the first, most of it is left.
    """
    first = {_swollen(path) for path in paths}
    second = {path[1] for path in paths if 1 < len(path) <= _FEW}
    long = {pulse for pulse in chain(*paths) if kinds[pulse.kind].length_ms >= _LONG_MS}
    marks = {Landmark(pulse.kind, pulse.at_ms) for pulse in first | second | long}
    return tuple(sorted(marks))


def _swollen(path: tuple[PathPulse, ...]) -> PathPulse:
    """The first pulse that is not much softer than the loudest."""
    least = max(pulse.amplitude for pulse in path) / 2
    return next(pulse for pulse in path if pulse.amplitude > least)


def _tree(paths: tuple[tuple[PathPulse, ...], ...]) -> tuple[tuple[_Level, ...], Whole]:
    """Rows of pulses, the beginnings of paths shared, and the last pulse of each path."""
    ends = np.zeros(len(paths), np.int64)
    rows: list[_Level] = []
    places: dict[tuple[PathPulse, ...], int] = {(): 0}
    before, depth = 0, 1
    while alive := [number for number, path in enumerate(paths) if len(path) >= depth]:
        fresh: dict[tuple[PathPulse, ...], int] = {}
        for number in alive:
            fresh.setdefault(paths[number][:depth], len(fresh))
            if len(paths[number]) == depth:
                ends[number] = before + fresh[paths[number]]
        rows.append(
            _Level(
                parents=np.array([places[stem[:-1]] for stem in fresh]),
                kinds=np.array([stem[-1].kind for stem in fresh]),
                at_frames=np.array([stem[-1].at_ms / FRAME_MS for stem in fresh]),
                amplitudes=np.array([stem[-1].amplitude for stem in fresh], np.float32),
            )
        )
        before, depth, places = before + len(fresh), depth + 1, fresh
    return tuple(rows), ends


def _envelope(length_ms: int, ramp_ms: int, window_ms: float, lead_frames: int) -> Matrix:
    """A pulse with raised-cosine ramps seen through a Hann window, one value a frame."""
    fine = np.ones(length_ms)
    rise = np.sin(np.pi / 2 * (np.arange(ramp_ms) + 0.5) / ramp_ms) ** 2
    fine[:ramp_ms] = rise
    fine[length_ms - ramp_ms :] = rise[::-1]
    window = np.hanning(round(window_ms) | 1)
    seen = np.convolve(fine, window / window.sum())
    lead_ms = lead_frames * FRAME_MS - len(window) // 2
    seen = np.pad(seen, (lead_ms, FRAME_MS))
    return seen[::FRAME_MS].astype(np.float32)


def _at(responses: Matrix, kinds: Whole, frames: Reals) -> Matrix:
    """Responses between frames, on a straight line; nothing beyond the last."""
    last = responses.shape[1] - 1
    whole = np.floor(frames)
    part = (frames - whole).astype(np.float32)
    inside = (whole >= 0) & (whole < last)
    # A place in all rows, one after another, is looked up faster than a row and a place in it.
    places = kinds * responses.shape[1] + np.clip(whole, 0, last - 1).astype(np.int64)
    every = responses.ravel()
    low, high = every.take(places), every.take(places + 1)
    return np.where(inside, low + part * (high - low), np.float32(0))


def _variance(window_ms: float) -> float:
    """How much more a sum of frames varies in noise than if each frame were on its own.

    Frames of overlapping Hann windows go together as the square of the windows' own correlation.
    """
    window = np.hanning(round(window_ms) | 1)
    correlation = np.correlate(window, window, "full")[len(window) - 1 :: FRAME_MS]
    shares = (correlation / correlation[0]) ** 2
    return float(2 * shares.sum() - 1)
