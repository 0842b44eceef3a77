"""Asks for cues in random order until each is told from every other. Pure: no sound, no clock.

A word is sure after six right answers; each wrong one asks for three more, nine in all at most.
This is a sequential test (Wald, Sequential Analysis, 1947) of who guesses between two, and is right
by 1/2, against who knows, and is right by 0.92: there a wrong answer weighs as much against a word
as three right ones weigh for it. Mistakes of the beginning are forgotten by the limit of nine.

Somebody who guesses between two tosses a coin for each answer to either, whatever is asked. A word
is asked 18 times at most. Of 18 coins, six more heads than three for each tail come by 3.11 %,
which the tests count out; for both words by the square, in 1 of 1,031 sittings. Other coins than
fair ones do worse.

After a mistake come, two questions later, two that are each by lot one of those mixed up. Few words
that are left are mixed with those known already, so that they cannot be guessed.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from random import Random
from typing import Final

from darktimer.learn.lesson import WordSounds

#: So many right answers make a word sure, each wrong one asks for more, and never for more in all.
NEEDED: Final = 6
FOR_MISTAKE: Final = 3
MOST_NEEDED: Final = 9
#: A word is asked no more often in a drill: the next one does better after a rest.
MOST_EACH: Final = 18
_AGAIN_AFTER: Final = 2
#: As many words as cannot be guessed from what is left.
_MANY: Final = 3


@dataclass(slots=True)
class Standing:
    """How often one word was asked, and how often the answer was right."""

    asked: int = 0
    right: int = 0


class Drill:
    """One drill over words; the same seed and the same answers give the same questions.

    ``asked`` is the word of the last question; ``needed`` says of each how many right answers will
    make it sure.
    """

    def __init__(self, words: WordSounds, seed: int) -> None:
        self.scores = {word: Standing() for word in words}
        self.needed = dict.fromkeys(words, NEEDED)
        self.mistaken: Counter[tuple[str, str]] = Counter()
        self._words = words
        self._random = Random(seed)
        self.asked = ""
        self._answers = 0
        self._again: list[tuple[int, tuple[str, str]]] = []

    @property
    def ready(self) -> bool:
        """Whether every word is sure."""
        return not any(self.needed.values())

    def question(self) -> str | None:
        """What to play next, of a word that `answer` then expects; None at the end."""
        if not (left := self._not_spent(self._unsure())):
            return None
        self.asked = self._word(left)
        return self._random.choice(self._words[self.asked])

    def answer(self, word: str) -> str:
        """Takes the answer to the last question; returns the word that was right."""
        asked, right = self.asked, word == self.asked
        self._answers += 1
        self.scores[asked].asked += 1
        self.scores[asked].right += right
        needed = self.needed[asked] + (-1 if right else FOR_MISTAKE)
        self.needed[asked] = min(max(needed, 0), MOST_NEEDED)
        if not right:
            self.mistaken[asked, word] += 1
            self._again += [(self._answers + _AGAIN_AFTER, (asked, word))] * 2
        return asked

    def to_practise(self) -> list[str]:
        """The words that are not sure yet, the least known first."""
        return sorted(self._unsure(), key=self.needed.__getitem__, reverse=True)

    def taken_for(self, word: str) -> list[str]:
        """What ``word`` was mistaken for, the most frequent first."""
        return [taken for (asked, taken), _ in self.mistaken.most_common() if asked == word]

    def _unsure(self) -> list[str]:
        return [word for word, needed in self.needed.items() if needed]

    def _word(self, left: list[str]) -> str:
        due = self._again and self._again[0][0] <= self._answers
        if due and (mixed := self._not_spent(self._again.pop(0)[1])):
            return self._random.choice(mixed)
        known = self._not_spent(self.scores.keys() - left)
        if known and len(left) < _MANY and self._random.random() < 0.5:
            return self._random.choice(sorted(known))
        return self._random.choice(left)

    def _not_spent(self, words: Iterable[str]) -> list[str]:
        return [w for w in words if w in self.scores and self.scores[w].asked < MOST_EACH]
