"""The proof that a person's knocks are heard, and nothing else in a darkroom is taken for them.

Run from the project's folder:

    python -m tests.knocks.proof                     reach: patterns heard, by material and room
    python -m tests.knocks.proof --noise-hours 24    false patterns in noise, and pairs beside them
    python -m tests.knocks.proof --cue-hours 24      false patterns in the program's own cues
    python -m tests.knocks.proof --cost              what the detector takes of a core
    python -m tests.knocks.proof --bound             what one that knows the truth would reach

The seeds from `HELD_BACK` on, and the sounds of `proof_sounds.py`, were not tuned on; `TUNING` and
`tuning_sounds.py` were. A knock's peak is against the root mean square of the noise, both
between 1 and 6 kHz, and is that of the softest of its pattern; with --loudest, of the loudest.
"""

import argparse
import time
from collections import Counter
from collections.abc import Callable, Iterator

import numpy as np

from darktimer import shipped
from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.knocks import detector
from darktimer.knocks.detector import KnockDetector
from darktimer.knocks.learning import Knock
from darktimer.knocks.patterns import LEAST_S, MOST_S, Knocked, KnocksHeard
from darktimer.knocks.strikes import Strike
from darktimer.live.cue_queue import CueQueue
from darktimer.live.gestures import LEARNT_FROM
from tests.ear.rooms import cues_in_turn
from tests.knocks import bound, proof_sounds
from tests.knocks.rooms import (
    PEAK,
    RATE,
    Person,
    Random,
    Wave,
    heard_peak,
    in_room,
    learnt,
    noise,
    placed,
    response,
)

#: Which of the peaks of a pattern's knocks stands so high above the noise.
Peak = Callable[[list[float]], float]

TUNING = range(100, 200)
HELD_BACK = range(220_000, 225_000)

MATERIALS = tuple(proof_sounds.MATERIALS)
REVERBERATIONS_S = (0.3, 0.8, 1.5)
_PIECE_S = 600.0
#: As before a run, a trial ends when three patterns were heard; it has failed if no three of eight
#: are: the person knocks elsewhere.
_TRIED = 8
_NEAR_S = 0.05


def reach(
    seed: int, material: str, reverberation_s: float, snr_db: float, of_pattern: Peak = min
) -> Counter[str]:
    """One person's trial and six patterns: those knocked and heard; a trial that failed."""
    rng = np.random.default_rng((seed, len(material), round(10 * reverberation_s)))
    person = Person(rng, proof_sounds, material, response(rng, reverberation_s))
    knock = learnt(person.trial(_TRIED), LEARNT_FROM, LEARNT_FROM)
    if knock is None:
        return Counter(failed=1)
    heard = 0
    for pattern in [*Knocked] * 3:
        at_s, wave = person.knocks(pattern)
        level = of_pattern(person.peaks) * 10 ** (-snr_db / 20)
        heard += _is_heard(pattern, at_s, wave + level * noise(rng, len(wave)), knock)
    return Counter(knocked=6, heard=heard)


def _is_heard(pattern: Knocked, at_s: float, wave: Wave, knock: Knock) -> bool:
    heard = _heard(KnockDetector(RATE, knock), wave)
    return [each.pattern for each in heard] == [pattern] and abs(heard[0].at_s - at_s) < _NEAR_S


def _heard(ear: KnockDetector, wave: Wave) -> list[KnocksHeard]:
    return ear.hear(np.clip(wave, -1, 1).astype(np.float32))


class _Pair(KnocksHeard):
    """Two knocks at the short rest of a person's own."""

    long = (False,)

    @property
    def short_and_long_s(self) -> tuple[float, float]:
        """Its one rest."""
        return self.rests_s[0], self.rests_s[0]


class _WithPairs(KnockDetector):
    """Counts what two plain knocks would have been taken for, by the same measures, too."""

    pairs = 0

    def _pattern(self, last: Strike) -> KnocksHeard | None:
        near = [each for each in self._alike if LEAST_S <= last.at_s - each.at_s <= MOST_S]
        pairs = [_Pair(Knocked.GO_ON, last.at_s, (each, last)) for each in near]
        self.pairs += any(self._strangeness(pair) <= detector._STRANGE for pair in pairs)
        return super()._pattern(last)


def false_alarms(name: str, seed: int) -> Counter[str]:
    """Ten minutes of a noise, near to somebody whose knock was learnt: patterns and pairs heard.

    Of those over the program's own cues a run takes the sure ones; the others are doubted.
    """
    rng = np.random.default_rng((seed, len(name)))
    reverberation_s = rng.uniform(0.3, 1.5)
    echo = response(rng, reverberation_s)
    person = Person(rng, proof_sounds, MATERIALS[seed % len(MATERIALS)], echo)
    knock = learnt(person.trial(), 1)
    if knock is None:
        return Counter(failed=1)
    queue, sound = _noise(name, person, rng)
    wave = in_room(sound, echo)
    wave += PEAK * 10 ** (-rng.uniform(20, 45) / 20) * noise(rng, len(wave))
    ear = _WithPairs(RATE, knock)
    heard = _heard(ear, wave)
    counts = Counter({"s": round(_PIECE_S), "pairs": ear.pairs})
    for each in heard:
        begin_ms, end_ms = (round(1000 * s) for s in (each.strikes[0].at_s, each.at_s))
        taken = each.sure or not queue.heard_between(begin_ms, end_ms)
        what = str(each.pattern) if taken else "doubted"
        counts[what] += 1
        print(f"  {name}, seed {seed}, {reverberation_s:.1f} s: {what} at {each.at_s:.1f} s")
    return counts


def _noise(name: str, person: Person, rng: Random) -> tuple[CueQueue, Wave]:
    """What sounds near that person, and which cues."""
    if name == "single knocks":
        moments = np.cumsum(rng.uniform(0.8, 5, 1000))
        knocks = [(at, person.single()) for at in moments if at < _PIECE_S - 1]
        return CueQueue(), placed(knocks, _PIECE_S)
    if name in proof_sounds.NOISES:
        return CueQueue(), PEAK * proof_sounds.NOISES[name](_PIECE_S, rng)
    return _cues(name, rng)


def _cues(name: str, rng: Random) -> tuple[CueQueue, Wave]:
    """Cues of a set in a random order from a speaker, softer or louder than knocks."""
    cue_set = load_cue_set(name)
    said = [str(each) for each in rng.choice(cue_set.meanings(), 400)]
    line = cues_in_turn(cue_set, said, int(rng.integers(1 << 30)))
    score = Score(line, cue_set, RATE, SPEAKERS["wired"])
    wave = score.fill(0, int(_PIECE_S * RATE)).astype(np.float32) / 32768
    wave *= PEAK * 10 ** (rng.uniform(-15, 15) / 20) / heard_peak(wave)
    return CueQueue(cues=line.cues), wave


def _pieces(names: list[str], hours: float) -> Iterator[tuple[str, int]]:
    for number in range(round(hours * 3600 / _PIECE_S)):
        yield names[number % len(names)], HELD_BACK[number]


def _print_false(names: list[str], hours: float) -> None:
    counts: dict[str, Counter[str]] = {name: Counter() for name in names}
    for name, seed in _pieces(names, hours):
        counts[name] += false_alarms(name, seed)
    total: Counter[str] = sum(counts.values(), Counter())
    print("| what | hours | go on | where am I | doubted | two plain knocks |")
    print("|---|---|---|---|---|---|")
    for name, count in [*counts.items(), ("all", total)]:
        cells = [count[each] for each in (Knocked.GO_ON, Knocked.WHERE, "doubted", "pairs")]
        print(f"| {name} | {count['s'] / 3600:.1f} | " + " | ".join(map(str, cells)) + " |")


def _print_reach(people: int, levels_db: list[float], of_pattern: Peak) -> None:
    print("| material | room, s | trials failed |", *(f" {db:g} dB |" for db in levels_db))
    for material in MATERIALS:
        for room_s in REVERBERATIONS_S:
            found = [
                sum(
                    (reach(s, material, room_s, db, of_pattern) for s in HELD_BACK[:people]),
                    Counter(),
                )
                for db in levels_db
            ]
            cells = [f"{each['heard']} of {each['knocked']} |" for each in found]
            print(
                f"| {material} | {room_s} | {found[0]['failed']} of {people} |", *cells, flush=True
            )


def _print_bound(people: int, levels_db: list[float]) -> None:
    """On the tuning sounds: patterns as wholes, and those of which each knock can be told too."""
    print("| peak above the noise | told from noise | and each of its knocks |\n|---|---|---|")
    for db in levels_db:
        trials = (
            bound.reached(seed, material, room_s, db)
            for material in MATERIALS
            for room_s in REVERBERATIONS_S
            for seed in TUNING[:people]
        )
        found = sum(trials, Counter())
        told, each = (found[what] / found["knocked"] for what in ("told", "each told"))
        print(f"| {db:g} dB | {told:.1%} | {each:.1%} |", flush=True)


def _print_cost(rate_hz: int = 48_000) -> None:
    wave = (0.01 * np.random.default_rng(1).standard_normal(600 * rate_hz)).astype(np.float32)
    ear, block = KnockDetector(rate_hz), rate_hz // 20
    began = time.process_time()
    for at in range(0, len(wave), block):
        ear.hear(wave[at : at + block])
    print(f"{(time.process_time() - began) / 6:.2f} % of a core, at {rate_hz} Hz, blocks of 50 ms")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=20, help="for each material and room")
    parser.add_argument("--levels", type=float, nargs="*", default=[15.0, 18.0, 21.0, 25.0])
    parser.add_argument("--loudest", action="store_true", help="the loudest knock stands so high")
    parser.add_argument("--noise-hours", type=float, default=0.0)
    parser.add_argument("--cue-hours", type=float, default=0.0)
    parser.add_argument("--cost", action="store_true")
    parser.add_argument("--bound", action="store_true")
    chosen = parser.parse_args()
    if chosen.cost:
        _print_cost()
    elif chosen.bound:
        _print_bound(chosen.people, chosen.levels)
    elif chosen.noise_hours:
        _print_false([*proof_sounds.NOISES, "single knocks"], chosen.noise_hours)
    elif chosen.cue_hours:
        _print_false(list(shipped.names("sounds")), chosen.cue_hours)
    else:
        _print_reach(chosen.people, chosen.levels, max if chosen.loudest else min)


if __name__ == "__main__":
    main()
