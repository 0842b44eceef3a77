"""The proof that a cue with a pulse missing is damaged, and a whole one is not.

Run from the project's folder:

    python -m tests.ear.damage_proof              of every cue each pulse, the first figure and the
                                                  first 120 ms cut, in quiet and in noise
    python -m tests.ear.damage_proof --rooms      whole cues, in the rooms of the ear's proof and in
                                                  quiet ones that ring, with clocks off by 300 ppm
"""

import argparse
import math
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np
import soundfile

from darktimer import shipped
from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.ear.hearing import hear
from darktimer.ear.recording import Recording
from darktimer.ear.second_look import looked_at_again
from darktimer.ear.verdict import Check, Verdict, compared
from darktimer.process import meanings
from darktimer.process.timeline import Timeline
from tests.ear import rooms
from tests.ear.proof import HELD_BACK, places, said
from tests.ear.rooms import Room, Wave

RATE = 16_000
HEAD_MS = 120


class Cut(NamedTuple):
    """A stretch of a cue that is silent, in ms from its onset, and the pulses that are gone."""

    meaning: str
    first_ms: int
    last_ms: int
    gone: tuple[int, ...]


def words(cue_set: CueSet, most: int = 12) -> list[str]:
    """Every cue, of numbers the first few and some others."""
    every: dict[str, list[str]] = {}
    for meaning in cue_set.meanings():
        every.setdefault(meanings.family(meaning), []).append(meaning)
    return [
        meaning
        for family, members in every.items()
        for meaning in (members if family in ("enter", "here") else _some(members, most))
    ]


def _some(members: list[str], most: int) -> list[str]:
    step = max(1, (len(members) - most) // 4)
    return [*members[:most], *members[most::step]]


def cuts(cue_set: CueSet, meaning: str) -> Iterator[Cut]:
    """Each pulse, the first figure, and the head."""
    pulses = cue_set.pulses(meaning)
    for number, pulse in enumerate(pulses):
        yield Cut(meaning, pulse.at_ms, pulse.end_ms, (number,))
    figure = cue_set.first_figure(meaning)
    if 1 < figure < len(pulses):
        yield Cut(meaning, 0, pulses[figure - 1].end_ms, tuple(range(figure)))
    yield Cut(meaning, 0, HEAD_MS, (0,))


def of_cuts(cue_set: CueSet, damage: Sequence[Cut], noise_db: float | None = None) -> Verdict:
    """One recording of all cuts, in random order, as many whole cues among them.

    Noise is white, so many dB over the sound while it sounds.
    """
    whole = [cut.meaning for cut in damage]
    order = np.random.default_rng(5).permutation(2 * len(damage))
    said = [[*damage, *whole][k] for k in order]
    names = [each.meaning if isinstance(each, Cut) else each for each in said]
    timeline = rooms.cues_in_turn(cue_set, names, 5)
    score = Score(timeline, cue_set, RATE, SPEAKERS["none"])
    wave = score.fill(0, score.frames).astype(np.float32) / 32768
    level = float(wave[np.abs(wave) > 1e-3].std())
    per_ms = RATE // 1000
    for cue, each in zip(timeline.cues, said, strict=True):
        if isinstance(each, Cut):
            wave[(cue.at_ms + each.first_ms) * per_ms : (cue.at_ms + each.last_ms) * per_ms] = 0
    if noise_db is not None:
        noise = np.random.default_rng(6).standard_normal(len(wave)).astype(np.float32)
        wave += np.float32(level * 10 ** (noise_db / 20)) * noise
    verdict = judged(
        wave / (1.1 * np.abs(wave).max()), timeline, cue_set, Room("quiet", None), RATE
    )
    assert len(verdict.checks) == len(said)
    return verdict._replace(
        checks=tuple(
            check._replace(cue=check.cue._replace(step=k))
            for check, k in zip(verdict.checks, order.tolist(), strict=True)
        )
    )


def judged(wave: Wave, timeline: Timeline, cue_set: CueSet, room: Room, rate: int) -> Verdict:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"room.{room.codec.lower()}"
        if rate == rooms.RATE:
            rooms.write(wave, path, room)
        else:
            soundfile.write(path, wave, rate)
        sound = Recording(path)
        heard = list(hear(sound, cue_set))
        return looked_at_again(compared(heard, timeline, sound.heard_ms), sound, cue_set)


def told(check: Check) -> tuple[int, ...]:
    """The pulses of which something is missing."""
    return tuple(number for number, share in enumerate(check.missing) if share)


def _cuts(cue_set: CueSet, noise_db: float | None) -> None:
    damage = [cut for meaning in words(cue_set) for cut in cuts(cue_set, meaning)]
    right = wrong = unseen = blamed = 0
    for first in range(0, len(damage), 60):
        part = damage[first : first + 60]
        for check in of_cuts(cue_set, part, noise_db).checks:
            if check.cue.step >= len(part):
                blamed += check.missing != () and any(check.missing)
                continue
            cut = part[check.cue.step]
            found = told(check)
            right += found == cut.gone
            unseen += not found
            if found and found != cut.gone:
                wrong += 1
            if noise_db is None and found != cut.gone:
                print(f"   {cut}: {check.state}, missing {found}")
    print(
        f"{cue_set.name}, noise {noise_db}: {len(damage)} cuts, {right} named, {wrong} named "
        f"otherwise, {unseen} not seen; {blamed} whole cues blamed",
        flush=True,
    )


def _rooms(cue_set: CueSet, seed: int, levels: Sequence[float]) -> None:
    """How many whole cues are blamed in each room."""
    quiet = [
        Room(f"quiet, {s:g} s{', phone' * phone}", None, rt60_s=s, phone=phone, ppm=300)
        for s in (0.3, 0.8, 1.5)
        for phone in (False, True)
    ]
    for room in [*quiet, *(room for level in levels for room in places(level))]:
        room = replace(room, ppm=math.copysign(300, room.ppm))
        timeline = rooms.cues_in_turn(cue_set, said(cue_set, seed), seed)
        wave = rooms.record(timeline, cue_set, room, seed)
        checks = judged(wave, timeline, cue_set, room, rooms.RATE).checks
        blamed = [(check.cue.meaning, told(check)) for check in checks if told(check)]
        judgement = f"{len(blamed)} of {len(checks)} whole cues blamed"
        print(f"{cue_set.name}, {room.name}, {room.snr_db} dB: {judgement} {blamed}", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sets", nargs="*", default=shipped.names("sounds"))
    parser.add_argument("--noise", type=float, nargs="*", default=[0.0, 10.0], help="dB over it")
    parser.add_argument("--rooms", action="store_true", help="whole cues in rooms")
    parser.add_argument("--levels", type=float, nargs="*", default=[0.0, -5.0], help="in rooms")
    parser.add_argument("--seed", type=int, default=HELD_BACK[0])
    chosen = parser.parse_args()
    for name in chosen.sets:
        cue_set = load_cue_set(name)
        if chosen.rooms:
            _rooms(cue_set, chosen.seed, chosen.levels)
            continue
        for noise_db in (None, *chosen.noise):
            _cuts(cue_set, noise_db)


if __name__ == "__main__":
    main()
