"""Prints how long `learn PLAN` takes somebody who is 98 % right, for each shipped plan.

    python -m tests.benchmarks.lesson_minutes

Reckoned with the real lengths of the sounds of the standard set, and with what is assumed of the
person: a key one second after a sound has ended, and one sound in twenty heard twice. Mistakes are
spread over all other sounds. The sounds that the plan plays, and the alarm, stand by themselves;
then with the answers to keys, as a sitting has them. Ready is the share of sittings that end so.
"""

from collections.abc import Mapping, Sequence
from random import Random
from statistics import mean, quantiles
from typing import Final, NamedTuple

from darktimer.cues.cue_set import CueSet
from darktimer.learn.drill import Drill
from darktimer.learn.lesson import Words, lesson_of_plan
from darktimer.learn.sounds import BEFORE_MS
from darktimer.learn.tap import BESIDE_S
from darktimer.output.speakers import Speakers
from darktimer.prepare.prepared import prepare
from darktimer.process import meanings
from darktimer.shipped import names

RIGHT: Final = 0.98
SITTINGS: Final = 200
#: Assumed: a key so long after the end of a sound, and how many of the sounds are played again.
KEY_S: Final = 1.0
REPLAYED: Final = 0.05
#: A sound begins behind what has been handed over to the device.
BUFFER_S: Final = Speakers().buffer_ms / 1000


class Heard(NamedTuple):
    """How long each sound takes, in seconds, from the key before it to the key after it."""

    quiet: Mapping[str, float]
    tap: Mapping[str, float]


def heard(cue_set: CueSet, words: Words) -> Heard:
    """Of each meaning of a lesson; what comes after a sound keeps nobody waiting."""
    each = [meaning for some in words.values() for meaning in some]
    lasts_s = {m: BUFFER_S + cue_set.length_ms(m) / 1000 + KEY_S for m in each}
    before_s = BEFORE_MS / 1000, BESIDE_S
    return Heard(*({m: before + lasts_s[m] for m in each} for before in before_s))


def sitting(words: Words, lasts: Heard, seed: int) -> tuple[bool, float]:
    """Whether somebody is ready at the end, and how many seconds it took."""
    drill, person = Drill(words, seed), Random(seed)
    seconds = sum(lasts.quiet[played[0]] for played in words.values())
    while played := drill.question():
        seconds += lasts.tap[played] * (1 + (person.random() < REPLAYED))
        answered = _answer(drill.asked, list(words), person)
        if answered != drill.answer(answered):
            seconds += lasts.quiet[played] + lasts.quiet[words[answered][0]]
    return drill.ready, seconds


def _answer(asked: str, words: Sequence[str], person: Random) -> str:
    if person.random() < RIGHT:
        return asked
    return person.choice([word for word in words if word != asked])


class Minutes(NamedTuple):
    """Of sittings over so many sounds the mean, what nine of ten are below, the share ready."""

    sounds: int
    mean: float
    most: float
    ready: float


def minutes_of(plan: str, sittings: int) -> tuple[Minutes, Minutes]:
    """Of the sounds that a plan plays, and the alarm; then with the answers to keys."""
    done = prepare(plan, "standard", None)
    words = lesson_of_plan(done.cue_set, done.timeline, plan).words
    played = {cue.meaning for cue in done.timeline.cues} | {meanings.ALARM}
    own = {word: some for word, some in words.items() if played & {*some}}
    lasts = heard(done.cue_set, words)
    return _minutes(own, lasts, sittings), _minutes(words, lasts, sittings)


def _minutes(words: Words, lasts: Heard, sittings: int) -> Minutes:
    held = [sitting(words, lasts, seed) for seed in range(sittings)]
    each = [seconds / 60 for _, seconds in held]
    share = mean(ready for ready, _ in held)
    return Minutes(len(words), mean(each), quantiles(each, n=10)[8], share)


def main() -> None:
    print("| plan | its own sounds | minutes | with answers | minutes | 9 of 10 | ready |")
    print("|---|---|---|---|---|---|---|")
    for plan in names("sequences"):
        own, whole = minutes_of(plan, SITTINGS)
        print(f"| {plan} | {own.sounds} | {own.mean:.1f} | {whole.sounds} ", end="")
        print(f"| {whole.mean:.1f} | {whole.most:.1f} | {100 * whole.ready:.1f} % |")


if __name__ == "__main__":
    main()
