"""The proof that no cue is mistaken: which meanings were said, and what the ear took them for.

Run from the project's folder:

    python -m tests.ear.proof                 every shipped set, the held-back seeds, matrices
    python -m tests.ear.proof --plans         every shipped plan, heard whole, in each format and
                                              in three wet rooms; --rooms wav 1.5 some of them
    python -m tests.ear.proof --noise-hours 10    false cues in noise alone

The seeds from `HELD_BACK` on were never looked at while the ear was tuned; tuning used `TUNING`.
"""

import argparse
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from statistics import median

import numpy as np

from darktimer import shipped
from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.ear.hearing import Detection, hear
from darktimer.ear.recording import Recording
from darktimer.ear.verdict import compared
from darktimer.output.file import write_sound
from darktimer.plan.reader import read_plan
from darktimer.process import meanings
from darktimer.process.compiler import compile_plan
from darktimer.process.timeline import Cue, Timeline
from tests.ear import rooms
from tests.ear.rooms import Room

TUNING = range(100, 200)
HELD_BACK = range(90_000, 100_000)

#: Rooms in which whole plans are heard.
PLAN_ROOMS = ("tap and echoes", "pink noise, echoes, Opus", "tap, 1.5 s")

#: What stands in a matrix where a cue was not heard, or where one was heard that nobody said.
NOTHING = "-"
#: A cue is the one that was said when it begins this near to it.
NEAR_MS = 150

Confusion = Counter[tuple[str, str]]


def places(snr_db: float, named: list[str] | None = None) -> list[Room]:
    """The rooms in which a set must be understood at a level over the noise, or those named."""
    every = [
        Room("tap and echoes", snr_db, "cistern", echoes=True, ppm=100),
        Room("pink noise, echoes, Opus", snr_db, "pink", echoes=True, codec="OPUS", ppm=-100),
        Room("tap, phone, MP3", snr_db, "cistern", echoes=True, phone=True, codec="MP3", ppm=100),
        Room("pink noise, phone, echoes", snr_db, "pink", echoes=True, phone=True, ppm=-100),
        *(Room(f"tap, {s:g} s", snr_db, "cistern", rt60_s=s, ppm=100) for s in (0.3, 0.8, 1.5)),
        *(
            Room(f"{noise}, 0.3 s", snr_db, noise, rt60_s=0.3, ppm=-100)
            for noise in ("dripping", "voices", "fan", "hum", "music")
        ),
    ]
    wanted = _named(named, [room.name for room in every])
    return [room for room in every if room.name in wanted]


def _named(parts: list[str] | None, names: Sequence[str]) -> list[str]:
    """Those names that hold one of the parts; all where nobody asked for any."""
    return [name for name in names if any(part in name for part in parts or [""])]


def act_now(cue_set: CueSet) -> list[str]:
    return [m for m in cue_set.meanings() if meanings.family(m) in meanings.ACT_NOW]


def said(cue_set: CueSet, seed: int, others: int = 15) -> list[str]:
    """Every act-now cue and some others, a fifth of them numbers, in a random order; a piece."""
    rng = np.random.default_rng(seed)
    first = act_now(cue_set)
    pieces = [m for m in cue_set.meanings() if meanings.family(m) == "piece"]
    rest = [m for m in cue_set.meanings() if m not in (*first, *pieces)]
    counted = [m for m in rest if meanings.family(m) in ("tally", "left")]
    single = [m for m in rest if m not in counted]
    numbers = others // 5
    wanted = [*first, *rng.choice(single, others - numbers, False)]
    wanted += [*rng.choice(counted, numbers, False)]
    return [*map(str, rng.permutation(wanted)), str(rng.choice(pieces))]


def confusion(cue_set: CueSet, room: Room, seed: int, others: int = 15) -> Confusion:
    """One recording: (said, heard) for every cue, `NOTHING` for none."""
    timeline = rooms.cues_in_turn(cue_set, said(cue_set, seed, others), seed)
    with tempfile.TemporaryDirectory() as folder:
        wave = rooms.record(timeline, cue_set, room, seed)
        path = rooms.write(wave, Path(folder) / f"room.{room.codec.lower()}", room)
        heard = list(hear(Recording(path), cue_set))
    return Counter(_pairs(timeline.cues, heard, 1 + room.ppm * 1e-6))


def _pairs(cues: Sequence[Cue], heard: list[Detection], rate: float) -> Iterator[tuple[str, str]]:
    """What was heard of each cue, once it is set off that a room that rings makes all late."""
    free = list(heard)
    late_ms = [
        h.at_ms - c.at_ms * rate
        for c in cues
        for h in heard
        if h.meaning == c.meaning and abs(h.at_ms - c.at_ms * rate) < 2 * NEAR_MS
    ]
    offset_ms = median(late_ms) if late_ms else 0.0
    for cue in cues:
        near = [h for h in free if abs(h.at_ms - offset_ms - cue.at_ms * rate) < NEAR_MS]
        if near:
            free.remove(near[0])
        yield cue.meaning, near[0].meaning if near else NOTHING
    for extra in free:
        yield NOTHING, extra.meaning


def false_in_noise(cue_set: CueSet, noise: str, minutes: int, seed: int) -> list[Detection]:
    """Cues heard in noise alone."""
    wave = rooms.NOISES[noise](minutes * 60 * rooms.RATE, seed)
    room = Room(noise, None)
    with tempfile.TemporaryDirectory() as folder:
        path = rooms.write(wave / (8 * wave.std()), Path(folder) / "noise.wav", room)
        return list(hear(Recording(path), cue_set))


def matrix(counts: Confusion) -> str:
    """The confusion matrix of families, and each confusion by its full meanings."""
    grouped: Confusion = Counter()
    for (one, other), count in counts.items():
        grouped[meanings.family(one), meanings.family(other)] += count
    names = sorted({name for pair in grouped for name in pair})
    width = max(map(len, names))
    head = " " * width + "".join(f"{name[:6]:>7}" for name in names)
    lines = [head]
    for one in names:
        cells = [grouped[one, other] for other in names]
        lines.append(f"{one:<{width}}" + "".join(f"{n or '.':>7}" for n in cells))
    wrong = [(pair, n) for pair, n in counts.items() if pair[0] != pair[1]]
    lines += [f"  {one} heard as {other}: {n}" for (one, other), n in sorted(wrong)]
    return "\n".join(lines)


def act_now_score(counts: Confusion) -> tuple[int, int, int]:
    """Act-now cues said, those identified, and light-safe cues heard that nobody said."""
    urgent = {pair: n for pair, n in counts.items() if meanings.family(pair[0]) in meanings.ACT_NOW}
    right = sum(n for (one, other), n in urgent.items() if one == other)
    false_safe = sum(n for (one, other), n in counts.items() if one != other == meanings.LIGHT_SAFE)
    return sum(urgent.values()), right, false_safe


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sets", nargs="*", default=shipped.names("sounds"))
    parser.add_argument("--recordings", type=int, default=20, help="for each room and level")
    parser.add_argument("--others", type=int, default=15, help="cues beside the acts in each")
    parser.add_argument("--rooms", nargs="*", help="only rooms whose names hold one of these")
    parser.add_argument("--levels", type=float, nargs="*", default=[0.0, -5.0])
    parser.add_argument("--noise-hours", type=float, default=0.0)
    parser.add_argument("--plans", action="store_true", help="hear every shipped plan whole")
    parser.add_argument("--tuning", action="store_true", help="use the seeds for tuning")
    chosen = parser.parse_args()
    seeds = TUNING if chosen.tuning else HELD_BACK
    for name in chosen.sets:
        cue_set = load_cue_set(name)
        if chosen.noise_hours:
            _noise(cue_set, chosen.noise_hours, seeds)
            continue
        if chosen.plans:
            _plans(cue_set, seeds[0], chosen.rooms)
            continue
        for level in chosen.levels:
            total: Confusion = Counter()
            for room in places(level, chosen.rooms):
                counts: Confusion = Counter()
                for seed in seeds[: chosen.recordings]:
                    counts += confusion(cue_set, room, seed, chosen.others)
                asked, right, false_safe = act_now_score(counts)
                print(
                    f"{name}, {level:+.0f} dB, {room.name}: act-now {right} of {asked}, "
                    f"false light-safe {false_safe}",
                    flush=True,
                )
                total += counts
            print(matrix(total), flush=True)


def _plans(cue_set: CueSet, seed: int, named: list[str] | None) -> None:
    """Every shipped plan as a file of each format, and as recorded in three wet rooms."""
    for name in shipped.names("sequences"):
        timeline = compile_plan(read_plan(name).plan, cue_set.length_ms)
        for told, path in _recorded(timeline, cue_set, seed, named):
            verdict = compared(list(hear(Recording(path), cue_set)), timeline, 1e9)
            checks = verdict.checks
            acts = [c for c in checks if meanings.family(c.cue.meaning) in meanings.ACT_NOW]
            heard = sum(check.state == "heard" for check in checks)
            understood = sum(check.state == "heard" for check in acts)
            worst_ms = max(abs(check.error_ms or 0) for check in checks)
            print(
                f"{cue_set.name}, {name}, {told}: {heard} of {len(checks)} cues heard, "
                f"act-now {understood} of {len(acts)}, {len(verdict.unplanned)} not planned, "
                f"errors up to {worst_ms:.1f} ms, {'sure' if verdict.sure else 'NOT SURE'}",
                flush=True,
            )


def _recorded(
    timeline: Timeline, cue_set: CueSet, seed: int, named: list[str] | None
) -> Iterator[tuple[str, Path]]:
    """A file of the timeline, one after another, and what it is, of those with such a name."""
    score = Score(timeline, cue_set, 16_000, SPEAKERS["wired"])
    with tempfile.TemporaryDirectory() as folder:
        for suffix in _named(named, ("wav", "flac", "ogg", "opus", "mp3")):
            path = Path(folder) / f"plan.{suffix}"
            write_sound(path, score)
            yield suffix, path
        for name in _named(named, PLAN_ROOMS):
            (room,) = places(0.0, [name])
            wave = rooms.record(timeline, cue_set, room, seed)
            path = rooms.write(wave, Path(folder) / f"room.{room.codec.lower()}", room)
            yield f"{room.name} at 0 dB", path


def _noise(cue_set: CueSet, hours: float, seeds: range) -> None:
    stretches = max(1, round(hours * 6))
    for number in range(stretches):
        noise = list(rooms.NOISES)[number % len(rooms.NOISES)]
        for cue in false_in_noise(cue_set, noise, 10, seeds[number]):
            print(f"{cue_set.name}, {noise}, seed {seeds[number]}: {cue}", flush=True)
    print(f"{cue_set.name}: {stretches / 6:.1f} h of noise heard")


if __name__ == "__main__":
    main()
