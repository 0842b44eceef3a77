"""Which cues must be clear, and how loud: from low upwards, and no louder than is allowed.

Knows levels, in dB against a run; who plays and who listens is handed in.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:  # loads numpy, which somebody who only names a level can do without
    from darktimer.cues.cue_set import CueSet
    from darktimer.ear.audible import Audible

START_DB: Final = -30
_STEP_DB: Final = 6


def faintest(cue_set: "CueSet", those: Iterable[str]) -> list[str]:
    """Of each note the sound that plays it softest, a short one first; the faintest at the head.

    A pulse stands as far above the noise as its note and its level put it there, so that where
    these are clear, all of ``those`` are.
    """
    softest: dict[float, tuple[float, int, str]] = {}
    for meaning in those:
        if length_ms := cue_set.length_ms(meaning):
            for pulse in cue_set.pulses(meaning):
                one = (round(pulse.level, 1), length_ms, meaning)
                softest[pulse.frequency] = min(one, softest.get(pulse.frequency, one))
    return list(dict.fromkeys(meaning for *_, meaning in sorted(softest.values())))


def levels(most_db: int) -> Iterator[int]:
    """From low to the most that is allowed."""
    yield from range(START_DB, most_db, _STEP_DB)
    yield most_db


def rising(
    judge: "Callable[[str, int], Audible]", meanings: Sequence[str], most_db: int
) -> "tuple[int, list[Audible]]":
    """Judges louder and louder until every one is clear or the level is reached: that, and all.

    While the first, which is the faintest, is not clear, nothing else is judged.
    """
    first = meanings[0]
    heard: dict[str, Audible] = {}
    for level_db in levels(most_db):
        heard[first] = judge(first, level_db)
        if heard[first].verdict != "clear" and level_db < most_db:
            continue
        for meaning in meanings:
            if meaning not in heard or heard[meaning].verdict != "clear":
                heard[meaning] = judge(meaning, level_db)
        if all(each.verdict == "clear" for each in heard.values()):
            break
    return level_db, [heard[meaning] for meaning in meanings]
