"""What can be learnt of a cue set at one sitting: words, and the cues that say each of them."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final, NamedTuple

from darktimer.cues.cue_set import CueSet
from darktimer.process import meanings
from darktimer.process.timeline import Timeline

#: A word that is answered, and the meanings that may be played for it.
WordSounds = Mapping[str, Sequence[str]]

#: What somebody is ready for who has learnt each of the lessons.
LESSONS: Final = {
    "act-now": "what asks for an act at once",
    "baths": "every bath by its signature",
    "all": "every sound of the set",
}
#: In the order in which they are met at work.
ACTS: Final = (
    "enter",
    meanings.MOVE,
    meanings.STAND,
    meanings.LIFT,
    meanings.LIGHT_SAFE,
    meanings.ALARM,
)
#: What a run says beside its plan, to keys and after faults.
_ANSWERS: Final = (
    meanings.MARKED,
    meanings.CONFIRM,
    meanings.REFUSE,
    meanings.HOLD,
    meanings.BACK,
)
#: Times left, in seconds, by which the answer to "where am I" is learnt.
_LEFT_S: Final = (20, 120, 180)
_LEFT: Final = [*map(meanings.left, _LEFT_S)]
#: Of other numbers, each family is one word, by those small enough for a sitting.
_LARGEST: Final = {"here": 6, "ready": 3}
_MOST_MINUTES: Final = 12


class Lesson(NamedTuple):
    """The words of a lesson, in the order of teaching, and what they make somebody ready for."""

    name: str
    ready_for: str
    words: WordSounds


def lesson(cue_set: CueSet, name: str) -> Lesson:
    """One of `LESSONS`: what asks for an act at once, the baths by their signatures, or all."""
    if name == "baths":
        words = _by_word(cue_set, map(meanings.enter, cue_set.signatures))
        return Lesson(name, LESSONS[name], words)
    every = [m for m in cue_set.meanings() if not m.startswith("enter-")]
    signed = {*map(meanings.here, cue_set.signatures)}
    rest = [m for m in every if m not in signed and m not in ACTS] if name == "all" else []
    rest = [m for m in rest if meanings.family(m) != "left" or m in _LEFT]
    return Lesson(name, LESSONS[name], _by_word(cue_set, [*ACTS, *rest]))


def played(timeline: Timeline) -> list[str]:
    """Every sound that a run may play, the alarm aside, whose swell is soft but not the rest of it:
    what the plan asks for, and the answers to keys.
    """
    cues = dict.fromkeys(cue.meaning for cue in timeline.cues)
    longest_ms = max(step.end_ms - step.start_ms for step in timeline.steps)
    left = dict.fromkeys(map(meanings.left, range(0, longest_ms // 1000, 10)))
    return [*cues, *_ANSWERS, *map(meanings.here, _signs(timeline)), *left]


def _signs(timeline: Timeline) -> Iterable[str]:
    return dict.fromkeys(step.sign for step in timeline.steps if step.sign)


def lesson_of_plan(cue_set: CueSet, timeline: Timeline, name: str) -> Lesson:
    """What a run of a plan plays, each bath a word of its own, and what it says beside the plan."""
    used = list(dict.fromkeys(cue.meaning for cue in timeline.cues))
    used.sort(key=lambda m: meanings.family(m) not in meanings.ACT_NOW)
    where = [*map(meanings.here, _signs(timeline)), *_LEFT]
    words = _by_word(cue_set, [*used, meanings.ALARM, *_ANSWERS, *where])
    return Lesson(name, f"a run of {timeline.title}", words)


def _by_word(cue_set: CueSet, those: Iterable[str]) -> dict[str, list[str]]:
    """Each meaning as a word of its own, a few minutes and times left as well; any other number is
    learnt by its family, the small ones of them.
    """
    words: dict[str, list[str]] = {}
    those = list(those)
    numbers = {*_few_minutes(those), *_LEFT}
    for meaning in those:
        family = meanings.family(meaning)
        if family == "tally" and meaning not in numbers:
            continue
        if family not in cue_set.counts or meaning in numbers:
            words[meaning] = [meaning]
        elif not (known := words.setdefault(family, [])) or _is_small(family, meaning):
            known.append(meaning)
    return words


def _few_minutes(those: Iterable[str]) -> list[str]:
    """The first, the middle and the last of those that are played."""
    tallies = {m: int(m[6:]) for m in those if meanings.family(m) == "tally"}
    few = sorted(tallies, key=tallies.__getitem__)
    few = [m for m in few if tallies[m] <= _MOST_MINUTES] or few
    return [few[0], few[len(few) // 2], few[-1]] if few else []


def _is_small(family: str, meaning: str) -> bool:
    number = meaning[len(family) + 1 :]
    return not number.isdecimal() or int(number) <= _LARGEST.get(family, int(number))


def says(cue_set: CueSet, word: str, played: Sequence[str]) -> str:
    """A word of a lesson in plain words; of several numbers what is before each."""
    if word not in cue_set.counts or len(played) == 1:
        means = cue_set.says(played[0])
    else:
        means = f"{cue_set.counts[word].says} ..."
    return f"{means}, the answer to any other key" if word in {"here", *_LEFT} else means
