"""Looks at every planned cue again, for pulses that are missing though the noise left them room.

Cues that were heard were looked at as they were heard. For one that was not, the recording is
opened again at its place.
"""

from typing import Final

import numpy as np

from darktimer.cues.cue_set import CueSet
from darktimer.ear.alignment import Alignment
from darktimer.ear.bands import bands_of
from darktimer.ear.hearing import Ear
from darktimer.ear.pulses import Pulses, usual_gains
from darktimer.ear.recording import Recording
from darktimer.ear.spectrum import FilterBank
from darktimer.ear.verdict import Check, Verdict
from darktimer.process.timeline import Cue

#: Read before and after a cue: what the noise around it is averaged over.
_AROUND_MS: Final = 500


def looked_at_again(verdict: Verdict, recording: Recording, cue_set: CueSet) -> Verdict:
    """The verdict with what each cue in the recording lacks; raises `DarktimerError`."""
    heard = [c.detection.pulses for c in verdict.checks if c.state == "heard" and c.detection]
    known = [pulses for pulses in heard if pulses]
    if not verdict.alignment or not verdict.mostly_heard:
        return verdict
    look = _SecondLook(verdict.alignment, recording, cue_set, known)
    return verdict._replace(checks=tuple(map(look.at, verdict.checks)))


class _SecondLook:
    def __init__(
        self, line: Alignment, recording: Recording, cue_set: CueSet, known: list[Pulses]
    ) -> None:
        self._line, self._recording = line, recording
        bands = bands_of(cue_set, recording.rate)
        self._usual = usual_gains(known, bands.shapes)
        self._bank = FilterBank(bands, recording.rate)
        self._ear = Ear(cue_set, bands)

    def at(self, check: Check) -> Check:
        """The check with what its cue lacks; what is outside the recording lacks nothing."""
        if check.state == "outside":
            return check
        heard = check.detection.pulses if check.state == "heard" and check.detection else None
        missing = (heard or self._opened(check.cue)).missing(self._usual)
        state = "damaged" if check.state == "heard" and any(missing) else check.state
        return check._replace(state=state, missing=missing)

    def _opened(self, cue: Cue) -> Pulses:
        at_ms = self._line.at(cue.at_ms)
        first_ms = max(0.0, at_ms - _AROUND_MS)
        part = self._recording.part(first_ms, cue.length_ms + 2 * _AROUND_MS)
        powers = np.concatenate(list(self._bank.powers(part)), axis=1)
        into_ms = (at_ms - first_ms) * self._recording.speed
        return self._ear.looked(cue.meaning, into_ms, powers)
