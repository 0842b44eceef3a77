"""Phrases of small print in little room: all of them, or as many as fit, never cut at a number."""

from collections.abc import Sequence
from typing import Final

from darktimer.paper.text_metrics import wrapped, wrapped_within

_WORTH_BEGINNING: Final = 12  # letters of a phrase, below which it is left out
_SEPARATOR: Final = " · "


def whole_phrases(phrases: Sequence[str], width: float, size: float, most: int) -> list[str] | None:
    """The phrases on one line, else each on its own, else in a row; None where nothing fits."""
    apart = [line for phrase in phrases for line in wrapped(phrase, width, size)]
    together = wrapped(_SEPARATOR.join(phrases), width, size)
    if len(together) <= 1:
        return together
    return next((lines for lines in (apart, together) if len(lines) <= most), None)


def some_phrases(phrases: Sequence[str], width: float, size: float, most: int) -> list[str]:
    """As many phrases as fit, from the first; the last may be cut, but never at a number."""
    if not phrases:
        return []
    lines = whole_phrases(phrases, width, size, most)
    if lines is not None:
        return lines
    *others, last = phrases
    begun = wrapped(_SEPARATOR.join([*others, last[:_WORTH_BEGINNING]]), width, size)
    if len(begun) > most:
        return some_phrases(others, width, size, most)
    *whole, cut_line = wrapped_within(_SEPARATOR.join(phrases), width, size, most)
    return [*whole, *_cut_before_numbers(cut_line)]


def _cut_before_numbers(line: str) -> list[str]:
    """A line that ends in an ellipsis, cut further where that stands after or within a number."""
    words = line.removesuffix("…").split()
    while any(letter.isdigit() for word in words[-2:] for letter in word):
        words.pop()
    return [" ".join(words).rstrip(" ·,;:") + "…"] if words else []
