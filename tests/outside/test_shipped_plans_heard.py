"""Every shipped plan, rendered by the command and read back by the sound library (soundfile).

Onsets are found here by a threshold on the samples, with no knowledge of where cues should be, and
are then held against the timeline: one for each pulse, within 2 ms, and nothing else in the file.
"""

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from darktimer import shipped
from darktimer.cli import main
from darktimer.cues.reader import load_cue_set

#: -60 dBFS in 16 bits, the level from which a sample counts as sound.
THRESHOLD = 10 ** (-60 / 20) * 32768
#: Shorter than every gap between pulses, longer than any rest within a tone.
WITHIN_A_PULSE_MS = 60
RATE = 16_000


def _command(*args: str) -> None:
    with pytest.raises(SystemExit) as left:
        main(list(args))
    assert not left.value.code


def _onsets_ms(path: Path) -> NDArray[np.float64]:
    """Where sound begins after at least `WITHIN_A_PULSE_MS` of quiet, in milliseconds."""
    loud: list[NDArray[np.int64]] = []
    for number, block in enumerate(soundfile.blocks(path, blocksize=RATE * 60, dtype="int16")):
        samples = np.abs(block.astype(np.int32))
        loud.append(np.flatnonzero(samples > THRESHOLD) + number * RATE * 60)
    at = np.concatenate(loud)
    begins = np.diff(at, prepend=-RATE) > WITHIN_A_PULSE_MS * RATE / 1000
    return at[begins] * 1000 / RATE


@pytest.mark.parametrize("cue_set", shipped.names("sounds"))
@pytest.mark.parametrize("plan", shipped.names("sequences"))
def test_each_pulse_is_in_its_place_and_nothing_else_is_heard(
    plan: str, cue_set: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "plan.wav"
    told = ("--cues", cue_set)
    _command("timeline", plan, *told, "--json")
    timeline = json.loads(capsys.readouterr().out)
    _command("render", plan, *told, "-o", str(path), "--speaker", "none", "--rate", str(RATE))
    cues = load_cue_set(cue_set)
    expected = [
        cue["at_ms"] + pulse.at_ms
        for cue in timeline["cues"]
        for pulse in cues.pulses(cue["meaning"])
    ]
    heard = _onsets_ms(path)
    assert len(heard) == len(expected)
    assert np.abs(heard - expected).max() < 2


@pytest.mark.parametrize("speaker", ["wired", "sleepy"])
def test_other_speakers_add_a_faint_bed_and_lead_ins_that_move_no_cue(
    speaker: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plain, added = tmp_path / "plain.wav", tmp_path / "added.wav"
    for path, profile in ((plain, "none"), (added, speaker)):
        plan = "open-tub-half-agitation"
        _command("render", plan, "-o", str(path), "--speaker", profile, "--rate", str(RATE))
    _command("timeline", "open-tub-half-agitation", "--json")
    *_, told = capsys.readouterr().out.partition("{")
    cues = json.loads("{" + told)["cues"]
    without, _ = soundfile.read(plain, dtype="int16")
    with_it, _ = soundfile.read(added, dtype="int16")
    difference = with_it.astype(np.int32) - without
    lead_ms = {"wired": 500, "sleepy": 1200}[speaker]
    led = np.zeros(len(difference), np.bool_)
    ends_ms = 0
    for cue in cues:
        if cue["at_ms"] - ends_ms > 3000:
            led[(cue["at_ms"] - lead_ms) * RATE // 1000 : cue["at_ms"] * RATE // 1000] = True
        ends_ms = cue["at_ms"] + cue["length_ms"]
    assert 0 < np.abs(difference[~led]).max() < THRESHOLD
    assert THRESHOLD < np.abs(difference[led]).max() < 10 ** (-30 / 20) * 32768
