"""Asks for cues in random order until each is told from every other. Pure: no sound, no clock.

A word is sure when of its last six answers at most one was wrong, and, for every other word, when
of the last twelve answers to either of the two at most one took one for the other.

Somebody who guesses between two tosses a coin for each answer to either, whatever is asked. Twelve
coins hold at most one mistake by 13 / 4096. A row that does not becomes one that does where a
mistake leaves it, one is left in it, and the newest is right: by 1/2 times 11 / 4096. No word is
asked more than 15 times, so that this can happen 18 times, and one drill calls the guesser ready by
at most 13 / 4096 + 18 * 11 / 8192 = 2.7 %, a sitting of two drills by the square: 1 in 1,300.

After a mistake come, two questions later, two that are each by lot one of those mixed up. Few words
that are left are mixed with those known already, so that they cannot be guessed.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from random import Random
from typing import Final

from darktimer.learn.lesson import Words

#: Of so many answers to a word, or twice as many to a pair, so many may be wrong.
WINDOW: Final = 6
ALLOWED: Final = 1
#: A word is asked no more often in a drill: the next one does better after a rest.
MOST_EACH: Final = 15
_AGAIN_AFTER: Final = 2
#: As many words as cannot be guessed from what is left.
_MANY: Final = 3


@dataclass(slots=True)
class Standing:
    """How one word was answered: how often asked, how often right, how often of the last six."""

    asked: int = 0
    right: int = 0
    lately: int = 0


class Drill:
    """One drill over words; the same seed and the same answers give the same questions."""

    def __init__(self, words: Words, seed: int) -> None:
        self.scores = {word: Standing() for word in words}
        self.mistaken: Counter[tuple[str, str]] = Counter()
        self._words = words
        self._random = Random(seed)
        self._asked = ""
        self._answers: list[tuple[str, str]] = []
        self._again: list[tuple[int, tuple[str, str]]] = []

    @property
    def ready(self) -> bool:
        """Whether every word is sure."""
        return not self._unsure()

    def question(self) -> tuple[str, ...] | None:
        """What to play next, in a row, of a word that `answer` then expects; None at the end."""
        if not (left := self._not_spent(self._unsure())):
            return None
        self._asked = self._word(left)
        return self._random.choice(self._words[self._asked])

    def answer(self, word: str) -> str:
        """Takes the answer to the last question; returns the word that was right."""
        asked = self._asked
        self._answers.append((asked, word))
        score = self.scores[asked]
        score.asked += 1
        score.right += word == asked
        lately = [answered for each, answered in self._answers if each == asked][-WINDOW:]
        score.lately = lately.count(asked)
        if word != asked:
            self.mistaken[asked, word] += 1
            self._again += [(len(self._answers) + _AGAIN_AFTER, (asked, word))] * 2
        return asked

    def to_practise(self) -> list[str]:
        """The words that are not sure yet, the least known first."""
        return sorted(
            self._unsure(),
            key=lambda word: self.scores[word].right / (self.scores[word].asked or 1),
        )

    def taken_for(self, word: str) -> list[str]:
        """What ``word`` was mistaken for, the most frequent first."""
        return [taken for (asked, taken), _ in self.mistaken.most_common() if asked == word]

    def _unsure(self) -> list[str]:
        """The words that break the rule, alone or as one of two."""
        mixed = {word for pair in self.mistaken if self._mixes(pair) for word in pair}
        return [
            word
            for word, score in self.scores.items()
            if word in mixed or score.asked < WINDOW or score.lately < WINDOW - ALLOWED
        ]

    def _mixes(self, pair: tuple[str, str]) -> bool:
        """Whether too many of the last answers to two words took one for the other."""
        last = [answer for answer in self._answers if answer[0] in pair][-2 * WINDOW :]
        return sum(answer in (pair, pair[::-1]) for answer in last) > ALLOWED

    def _word(self, left: list[str]) -> str:
        due = self._again and self._again[0][0] <= len(self._answers)
        if due and (mixed := self._not_spent(self._again.pop(0)[1])):
            return self._random.choice(mixed)
        known = self._not_spent(self.scores.keys() - left)
        if known and len(left) < _MANY and self._random.random() < 0.5:
            return self._random.choice(sorted(known))
        return self._random.choice(left)

    def _not_spent(self, words: Iterable[str]) -> list[str]:
        return [w for w in words if w in self.scores and self.scores[w].asked < MOST_EACH]
