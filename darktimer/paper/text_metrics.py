"""Text metrics: which font has a letter, how wide a line is, where a text is broken or cut.

Knows the font of the drawing library; nothing of a page.
"""

from bisect import bisect_right
from collections.abc import Iterator
from functools import cache
from typing import Final

from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.textpath import text_to_path

from darktimer.units import TIED, tied_to_units

#: Comes with the drawing library, so that a card is the same on every machine.
FAMILY: Final = "DejaVu Sans"
#: Baseline to baseline, in sizes of the type.
LEADING: Final = 1.28
_ELLIPSIS: Final = "…"
_SQUARE: Final = "\u25a1"


def width_of(text: str, size: float, bold: bool = False) -> float:
    """How wide a line of text is, in points."""
    return _unit_width(text, bold) * size


def shortened(text: str, width: float, size: float, bold: bool = False) -> str:
    """The text, or as much of it as fits, with an ellipsis."""
    if width_of(text, size, bold) <= width:
        return text

    def cut(end: int) -> str:
        return text[:end].rstrip(" ,;:.") + _ELLIPSIS

    fit = bisect_right(range(len(text)), width, key=lambda end: width_of(cut(end), size, bold))
    return cut(max(0, fit - 1))


def fitting_size(text: str, width: float, size: float, least: float, bold: bool = False) -> float:
    """The largest size, from ``size`` down to ``least``, at which the text fits the width."""
    unit = _unit_width(text, bold)
    return max(least, min(size, width / unit)) if unit else size


def wrapped(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """The text in lines that fit; a word wider than a line is broken."""
    lines: list[str] = []
    line = ""
    for word in _breakable(text, width, size, bold):
        longer = f"{line} {word}" if line else word
        if line and width_of(longer, size, bold) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    return [line.replace(TIED, " ") for line in ([*lines, line] if line else lines)]


def wrapped_within(
    text: str, width: float, size: float, most: int, bold: bool = False
) -> list[str]:
    """At most so many lines; where that is too few, the last one ends in an ellipsis."""
    lines = wrapped(text, width, size, bold)
    if len(lines) <= most:
        return lines
    rest = shortened(" ".join(lines[most - 1 :]), width, size, bold)
    return [*lines[: most - 1], rest]


def _breakable(text: str, width: float, size: float, bold: bool) -> Iterator[str]:
    tied = tied_to_units(" ".join(text.split()))
    for word in tied.split(" ") if tied else ():
        if width_of(word, size, bold) <= width:
            yield word
            continue
        piece = ""
        for letter in word:
            if piece and width_of(piece + letter, size, bold) > width:
                yield piece
                piece = ""
            piece += letter
        yield piece


@cache
def _unit_width(text: str, bold: bool) -> float:
    """The width at a size of one point, as the PDF sets it: without hinting."""
    if not text:
        return 0.0
    shown = drawable(text, bold)
    width, _, _ = text_to_path.get_text_width_height_descent(shown, font(1, bold), False)
    return float(width)


@cache
def font(size: float, bold: bool = False) -> FontProperties:
    """The one font of a page, in a size and a weight."""
    return FontProperties(family=FAMILY, weight="bold" if bold else "normal", size=size)


def drawable(text: str, bold: bool = False) -> str:
    """The text with a square for each letter that the font has not."""
    return "".join(_SQUARE if letter in lacking(text, bold) else letter for letter in text)


@cache
def lacking(text: str, bold: bool = False) -> str:
    """The letters of a text that the font has not."""
    return "".join(each for each in text if each.isprintable() and ord(each) not in _letters(bold))


@cache
def _letters(bold: bool) -> frozenset[int]:
    return frozenset(get_font(findfont(font(1, bold))).get_charmap())
