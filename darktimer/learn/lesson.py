"""What can be learnt of a cue set at one sitting: words, and the cues that say each of them."""

from collections.abc import Mapping, Sequence
from typing import Final

from darktimer.cues.cue_set import CueSet
from darktimer.process import meanings

#: A word that is answered, and every meaning that may be played for it.
Lesson = Mapping[str, Sequence[str]]

LESSONS: Final = ("act-now", "baths", "all")
#: In the order in which they are met at work.
ACTS: Final = (
    "enter",
    meanings.MOVE,
    meanings.STAND,
    meanings.LIFT,
    meanings.LIGHT_SAFE,
    meanings.ALARM,
)
#: Numbers that are small enough for a sitting.
_LARGEST: Final = {"ready": 3, "tally": 12, "left": 300}


def lesson(cue_set: CueSet, name: str) -> Lesson:
    """One of `LESSONS`: what asks for an act at once, the baths by their signatures, or all."""
    entries = [meaning for meaning in cue_set.meanings() if meaning.startswith("enter-")]
    if name == "baths":
        return {meaning: [meaning] for meaning in entries}
    words = {"enter": entries, **{word: [word] for word in ACTS[1:]}}
    if name == "all":
        for meaning in cue_set.meanings():
            family = meanings.family(meaning)
            if _is_small(family, meaning) and meaning not in entries and meaning not in ACTS:
                words.setdefault(family, []).append(meaning)
    return words


def _is_small(family: str, meaning: str) -> bool:
    return family not in _LARGEST or int(meaning[len(family) + 1 :]) <= _LARGEST[family]


def says(cue_set: CueSet, word: str) -> str:
    """A word of a lesson in plain words."""
    if word in cue_set.counts:
        return f"a number: {cue_set.counts[word].says}"
    return cue_set.cues[word].says if word in cue_set.cues else cue_set.says(word)
