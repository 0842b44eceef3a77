"""Prints how long `learn PLAN` takes who knows the sounds, and who learns them, for shipped plans.

    python -m tests.benchmarks.lesson_minutes

Reckoned with the real lengths of the sounds of the standard set, and with what is assumed of the
person: a key one second after a sound has ended or has lasted five seconds, which all but light-
safe are over by, one sound in twenty heard twice, mistakes spread over all other sounds. Who knows
is right 98 times of 100. Who learns is wrong once in three at first, and by a quarter less after
each hearing. The sounds that the plan plays, and the alarm, stand by themselves; then with the
answers to keys, as a sitting has them.
"""

from collections import Counter
from collections.abc import Callable, Mapping
from random import Random
from statistics import mean, quantiles
from typing import Final, NamedTuple

from darktimer.cues.cue_set import CueSet
from darktimer.learn.drill import Drill
from darktimer.learn.lesson import WordSounds, lesson_of_plan
from darktimer.learn.sounds import BEFORE_MS
from darktimer.learn.tap import BESIDE_S
from darktimer.output.speakers import Speakers
from darktimer.prepare.prepared import prepare
from darktimer.process import meanings
from darktimer.shipped import names

SITTINGS: Final = 200
#: Assumed: a key so long after a sound has ended, or has lasted so long: light-safe alone does, and
#: by then its first pulse is over, which is longer than any of another sound. How many of the
#: sounds are played again.
KEY_S: Final = 1.0
LASTS_S: Final = 5.0
REPLAYED: Final = 0.05
#: A sound begins behind what has been handed over to the device.
BUFFER_S: Final = Speakers().buffer_ms / 1000


class Heard(NamedTuple):
    """How long each sound takes, in seconds, from the key before it to the key after it."""

    quiet: Mapping[str, float]
    tap: Mapping[str, float]


def heard(cue_set: CueSet, words: WordSounds) -> Heard:
    """Of each meaning of a lesson; what comes after a sound keeps nobody waiting."""
    each = [meaning for some in words.values() for meaning in some]
    sounds_s = {m: min(cue_set.length_ms(m) / 1000, LASTS_S) for m in each}
    lasts_s = {m: BUFFER_S + sound_s + KEY_S for m, sound_s in sounds_s.items()}
    before_s = BEFORE_MS / 1000, BESIDE_S
    return Heard(*({m: before + lasts_s[m] for m in each} for before in before_s))


#: How likely an answer is wrong, of a sound that was heard so often.
Person = Callable[[int], float]


def knows(hearings: int) -> float:
    return 0.02


def learns(hearings: int) -> float:
    return 0.75**hearings / 3


def sitting(words: WordSounds, lasts: Heard, person: Person, seed: int) -> tuple[bool, float]:
    """Whether somebody is ready at the end, and how many seconds it took."""
    drill, chance, hearings = Drill(words, seed), Random(seed), Counter[str]()
    seconds = sum(lasts.quiet[played[0]] for played in words.values())
    while played := drill.question():
        asked, others = drill.asked, [word for word in words if word != drill.asked]
        seconds += lasts.tap[played] * (1 + (chance.random() < REPLAYED))
        wrong = chance.random() < person(hearings[asked])
        answered = chance.choice(others) if wrong else asked
        drill.answer(answered)
        hearings[asked] += 1
        if wrong:
            seconds += lasts.quiet[played] + lasts.quiet[words[answered][0]]
            hearings.update((asked, answered))
    return drill.ready, seconds


class Minutes(NamedTuple):
    """Of sittings over so many sounds the mean, what nine of ten are below, the share ready."""

    sounds: int
    mean: float
    most: float
    ready: float


def minutes_of(plan: str, person: Person, sittings: int) -> tuple[Minutes, Minutes]:
    """Of the sounds that a plan plays, and the alarm; then with the answers to keys."""
    done = prepare(plan, "standard", None)
    words = lesson_of_plan(done.cue_set, done.timeline, plan).words
    played = {cue.meaning for cue in done.timeline.cues} | {meanings.ALARM}
    own = {word: some for word, some in words.items() if played & {*some}}
    lasts = heard(done.cue_set, words)
    return _minutes(own, lasts, person, sittings), _minutes(words, lasts, person, sittings)


def _minutes(words: WordSounds, lasts: Heard, person: Person, sittings: int) -> Minutes:
    held = [sitting(words, lasts, person, seed) for seed in range(sittings)]
    each = [seconds / 60 for _, seconds in held]
    share = mean(ready for ready, _ in held)
    return Minutes(len(words), mean(each), quantiles(each, n=10)[8], share)


def main() -> None:
    told = "minutes | 9 of 10 | ready | who learns | ready"
    print(f"| plan | its own sounds | {told} | with answers | {told} |\n|{'---|' * 13}")
    for plan in names("sequences"):
        both = zip(*(minutes_of(plan, each, SITTINGS) for each in (knows, learns)), strict=True)
        cells = [
            f"{known.sounds} | {known.mean:.1f} | {known.most:.1f} | {known.ready:.1%} "
            f"| {learnt.mean:.1f} | {learnt.ready:.1%}"
            for known, learnt in both
        ]
        print(f"| {plan} | {' | '.join(cells)} |")


if __name__ == "__main__":
    main()
