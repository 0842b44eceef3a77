"""How long the ear takes for an hour, and how much memory. Prints; asserts nothing.

python -m tests.benchmarks.listen_speed [--hours 1] [--rate 48000] [--format WAV]
"""

import argparse
import resource
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.ear.hearing import hear
from darktimer.ear.recording import Recording
from darktimer.plan.reader import read_plan
from darktimer.process.compiler import compile_plan

PLAN = "open-tub-half-agitation"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hours", type=float, default=1.0)
    parser.add_argument("--rate", type=int, default=48_000)
    parser.add_argument("--format", default="WAV", choices=["WAV", "FLAC", "OGG", "MP3"])
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"hour.{chosen.format.lower()}"
        _write(path, chosen.hours, chosen.rate, chosen.format)
        before = resource.getrusage(resource.RUSAGE_SELF)
        started = time.perf_counter()
        count = sum(1 for _ in hear(Recording(path), load_cue_set("standard")))
        seconds = time.perf_counter() - started
        after = resource.getrusage(resource.RUSAGE_SELF)
    busy = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    print(
        f"{chosen.hours:g} h of {chosen.format} at {chosen.rate} Hz: {count} cues heard in "
        f"{seconds:.1f} s ({busy:.1f} s of processor), at most {after.ru_maxrss / 1024:.0f} MB"
    )


def _write(path: Path, hours: float, rate: int, form: str) -> None:
    """A plan, over and over, in white noise 30 dB below full scale."""
    cue_set = load_cue_set("standard")
    timeline = compile_plan(read_plan(PLAN).plan, cue_set.length_ms)
    score = Score(timeline, cue_set, rate, SPEAKERS["none"])
    rng = np.random.default_rng(1)
    with soundfile.SoundFile(path, "w", rate, 1, format=form) as file:
        for second in range(0, round(hours * 3600), 10):
            wave = score.fill(second * rate % score.frames, 10 * rate) / np.float32(32768)
            file.write(wave + np.float32(0.03) * rng.standard_normal(10 * rate, np.float32))


if __name__ == "__main__":
    main()
