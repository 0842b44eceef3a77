"""Times ``darktimer render`` against plain tools doing work of the same size.

Run from the top of the project:
``python -m tests.benchmarks.render_speed [--runs N] [--day | --formats]``.
Needs ``dd``, ``sox`` and ``flac``. Whole processes are measured, one of each in turn, so that a
busy machine troubles them alike; the table shows medians, and ratios of medians. With TMPDIR in
memory (``/dev/shm`` on Linux) the state of the disk's cache is not measured too. ``--day`` adds a
render of 24 hours, which writes 8 GB and is there for its memory; ``--formats`` measures the
formats alone, on the shipped plan of 44 minutes that has most to say, and needs ``lame``,
``opusenc`` and ``ffmpeg``.
"""

import argparse
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from importlib.metadata import version
from pathlib import Path
from typing import NamedTuple

PYTHON = sys.executable
SPEAKERS = ("none", "wired")
DD = "`dd`, 330 MiB of zeros"
SOX = "`sox`, a piece of 4 s 900 times"
FLAC = "`flac -0` of the finished file, {}"
#: An installed program has its bytecode, whatever is usual on the machine that measures.
SURROUNDINGS = {key: os.environ[key] for key in os.environ if key != "PYTHONDONTWRITEBYTECODE"}
PLAIN = {"mp3": "lame", "opus": "opusenc"}
LONGEST = "tray-six-sheets"
HOUR = "title: Benchmark, {hours} h\nvessel: {{kind: tub, light: closed, volume: 1.5 l}}\n"
HABITS = "habits: {lights out after: none, loading: 10 s, tally: none, drain: 10 s}\nsteps:\n"
STEP = "  - wash: 59:50\n    agitation: {inversions: 4, within: 10 s, every: 26 s}\n"


class Run(NamedTuple):
    """One finished process: seconds by the clock, and the most memory it held."""

    seconds: float
    peak_mib: float


def plan(folder: Path, hours: int) -> Path:
    path = folder / f"plan-{hours}.yaml"
    path.write_text(HOUR.format(hours=hours) + HABITS + STEP * hours, encoding="utf-8")
    return path


def run(command: list[str], makes: Path | None = None) -> Run:
    """Runs a command that may make a file, which must not be there yet and is left behind."""
    if makes:
        makes.unlink(missing_ok=True)
    began = time.perf_counter()
    quiet = subprocess.DEVNULL
    process = subprocess.Popen(command, stdout=quiet, stderr=quiet, env=SURROUNDINGS)
    _, status, used = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - began
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"{command[0]} ended with status {process.returncode}")
    return Run(seconds, used.ru_maxrss / 1024)


def render(plan_file: Path, target: Path, speaker: str) -> list[str]:
    return [
        PYTHON,
        "-m",
        "darktimer",
        "render",
        str(plan_file),
        "-o",
        str(target),
        "--speaker",
        speaker,
    ]


def commands(folder: Path) -> dict[str, tuple[list[str], Path | None]]:
    """What is measured, by name: the command, and the file it makes."""
    hour, zeros, repeated = plan(folder, 1), folder / "zeros", folder / "repeated.wav"
    listed: dict[str, tuple[list[str], Path | None]] = {
        "`python -c pass`": ([PYTHON, "-c", "pass"], None),
        "`import numpy, pydantic_core`": ([PYTHON, "-c", "import numpy, pydantic_core"], None),
        DD: (["dd", "if=/dev/zero", f"of={zeros}", "bs=1M", "count=330"], zeros),
        SOX: (["sox", str(piece(folder)), str(repeated), "repeat", "899"], repeated),
    }
    for speaker in SPEAKERS:
        finished, packed = folder / f"finished-{speaker}.wav", folder / f"{speaker}-0.flac"
        run(render(hour, finished, speaker))
        command = ["flac", "-0", "-s", str(finished), "-o", str(packed)]
        listed[FLAC.format(speaker)] = command, packed
        for ending in ("wav", "flac"):
            target = folder / f"{speaker}.{ending}"
            name = f"render, 1 h, {ending.upper()}, {speaker}"
            listed[name] = render(hour, target, speaker), target
    return listed


def piece(folder: Path) -> Path:
    """Four seconds with one tone, of which sox makes an hour."""
    path = folder / "piece.wav"
    made = ["sox", "-n", "-r", "48000", "-b", "16", "-c", "1", str(path)]
    run([*made, "synth", "0.5", "sine", "784", "gain", "-6", "pad", "0", "3.5"])
    return path


def measured(folder: Path, runs: int) -> dict[str, Run]:
    """The median of each command, measured in turn; the first round only warms up."""
    listed = commands(folder)
    rounds: dict[str, list[Run]] = {name: [] for name in listed}
    for _ in range(runs + 1):
        for name, (command, makes) in listed.items():
            rounds[name].append(run(command, makes))
            if makes:
                makes.unlink()
    return {
        name: Run(*(statistics.median(column) for column in zip(*done[1:], strict=True)))
        for name, done in rounds.items()
    }


def table(medians: dict[str, Run]) -> str:
    rows = ["| what | s | peak MiB | x dd | x sox | x flac -0 |", "|---|---|---|---|---|---|"]
    for name, (seconds, peak) in medians.items():
        speaker = next((s for s in SPEAKERS if s in name), SPEAKERS[0])
        others = (medians[other].seconds for other in (DD, SOX, FLAC.format(speaker)))
        ratios = " | ".join(f"{seconds / other:.2f}" for other in others)
        rows.append(f"| {name} | {seconds:.3f} | {peak:.0f} | {ratios} |")
    return "\n".join(rows)


def formats(folder: Path, runs: int) -> str:
    """Each format beside the plain encoder on the finished file, as medians measured in turn."""
    whole = folder / "whole.wav"
    run(render(Path(LONGEST), whole, "wired"))
    listed: dict[str, tuple[list[str], Path]] = {}
    for ending in ("mp3", "opus", "ogg", "flac", "wav"):
        target, other = folder / f"a.{ending}", folder / f"b.{ending}"
        listed[ending] = render(Path(LONGEST), target, "wired"), target
        if ending in PLAIN:
            listed[PLAIN[ending]] = [PLAIN[ending], "--quiet", str(whole), str(other)], other
    rounds: dict[str, list[float]] = {name: [] for name in listed}
    for _ in range(runs):
        for name, (command, makes) in listed.items():
            rounds[name].append(run(command, makes).seconds)
    rows = ["| what | s | beside it | MB an hour | worst onset, ms |", "|---|---|---|---|---|"]
    for name, (_, makes) in listed.items():
        seconds = statistics.median(rounds[name])
        plain = PLAIN.get(name)
        ratio = f"{seconds / statistics.median(rounds[plain]):.2f} x {plain}" if plain else ""
        late_ms, hours = worst_onset_ms(makes)
        size = makes.stat().st_size / 1e6 / hours
        rows.append(f"| {name} | {seconds:.2f} | {ratio} | {size:.1f} | {late_ms:.2f} |")
    return "\n".join(rows)


def worst_onset_ms(path: Path) -> tuple[float, float]:
    """How far any cue's onset is from the score's once ffmpeg has decoded it; and the hours."""
    from darktimer.cues.score import Score
    from darktimer.cues.speaker_profiles import SPEAKERS
    from darktimer.prepare.prepared import prepare
    from tests.outside.test_sound_onsets import by_ffmpeg, half_height_ms

    prepared, rate = prepare(LONGEST, "standard", None), 24_000
    score = Score(prepared.timeline, prepared.cue_set, rate, SPEAKERS["wired"])
    meant, heard, worst = score.fill(0, score.frames) / 2**15, by_ffmpeg(path), 0.0
    for cue in prepared.timeline.cues:
        around = slice(*(round((cue.at_ms + ms) * rate / 1000) for ms in (-60, 80)))
        late = half_height_ms(heard[around], rate) - half_height_ms(meant[around], rate)
        worst = max(worst, abs(late))
    return worst, score.frames / rate / 3600


def machine() -> str:
    kind, info = platform.machine(), Path("/proc/cpuinfo")
    if info.exists():
        lines = info.read_text(encoding="utf-8").splitlines()
        kind = next((s.partition(": ")[2] for s in lines if s.startswith("model name")), kind)
    parts = [f"{name} {version(name)}" for name in ("numpy", "soundfile")]
    python = f"Python {platform.python_version()}"
    return ", ".join((kind, f"{os.cpu_count()} cores", platform.system(), python, *parts))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument("--day", action="store_true", help="render 24 hours as well")
    parser.add_argument("--formats", action="store_true", help="measure the formats only")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if asked.formats:
            print(f"{machine()}; medians of {asked.runs} runs.\n\n{formats(folder, asked.runs)}")
            return
        medians = measured(folder, asked.runs)
        if asked.day:
            for speaker in SPEAKERS:
                target = folder / "day.wav"
                day = run(render(plan(folder, 24), target, speaker), target)
                medians[f"render, 24 h, WAV, {speaker} (once)"] = day
                target.unlink()
    print(f"{machine()}; medians of {asked.runs} runs in turn.\n\n{table(medians)}")


if __name__ == "__main__":
    main()
