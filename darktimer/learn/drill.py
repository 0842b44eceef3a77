"""Asks for cues in random order until each was known three times running. Pure: no sound, no clock.

What was missed comes again after two others. One word that alone is left is mixed with those known
already, so that it cannot be guessed.
"""

from collections import Counter
from dataclasses import dataclass
from random import Random
from typing import Final

from darktimer.learn.lesson import Words

#: So often in a row a word must be right.
RUNNING: Final = 3
#: A drill ends after so many questions for each word: the next one does better after a rest.
_MOST_EACH: Final = 12
_AGAIN_AFTER: Final = 2


@dataclass(slots=True)
class Standing:
    """How one word was answered: how often asked, how often right, how often right to the last."""

    asked: int = 0
    right: int = 0
    running: int = 0


class Drill:
    """One drill over words; the same seed and the same answers give the same questions."""

    def __init__(self, words: Words, seed: int) -> None:
        self.scores = {word: Standing() for word in words}
        self.mistaken: Counter[tuple[str, str]] = Counter()
        self._words = words
        self._random = Random(seed)
        self._asked: list[str] = []
        self._again: list[tuple[int, str]] = []

    @property
    def ready(self) -> bool:
        """Whether every word was right three times running, to the last."""
        return all(score.running >= RUNNING for score in self.scores.values())

    def question(self) -> tuple[str, ...] | None:
        """What to play next, in a row, of a word that `answer` then expects; None at the end."""
        if self.ready or len(self._asked) >= _MOST_EACH * len(self.scores):
            return None
        word = self._word()
        self._asked.append(word)
        return self._random.choice(self._words[word])

    def answer(self, word: str) -> str:
        """Takes the answer to the last question; returns the word that was right."""
        asked = self._asked[-1]
        score = self.scores[asked]
        score.asked += 1
        if word == asked:
            score.right += 1
            score.running += 1
        else:
            score.running = 0
            self.mistaken[asked, word] += 1
            self._again.append((len(self._asked) + _AGAIN_AFTER, asked))
        return asked

    def to_practise(self) -> list[str]:
        """The words that are not sure yet, the least known first."""
        unsure = [word for word, score in self.scores.items() if score.running < RUNNING]
        return sorted(
            unsure, key=lambda word: self.scores[word].right / (self.scores[word].asked or 1)
        )

    def taken_for(self, word: str) -> list[str]:
        """What ``word`` was mistaken for, the most frequent first."""
        return [taken for (asked, taken), _ in self.mistaken.most_common() if asked == word]

    def _word(self) -> str:
        if self._again and self._again[0][0] <= len(self._asked):
            return self._again.pop(0)[1]
        last = self._asked[-1:]
        open_words = [word for word in self.to_practise() if [word] != last]
        known = [word for word in self.scores if [word] != last and word not in open_words]
        if known and len(open_words) < 2 and (not open_words or self._random.random() < 0.5):
            return self._random.choice(known)
        return self._random.choice(sorted(open_words) or list(self.scores))
