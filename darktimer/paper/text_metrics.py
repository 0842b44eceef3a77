"""Text metrics: which font has a letter, how wide a line is, where a text is broken or cut.

Knows the fonts of the drawing library and of the machine; nothing of a page.
"""

import logging
import re
import warnings
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from typing import Final

import matplotlib
from matplotlib.font_manager import FontProperties, findSystemFonts, fontManager, get_font
from matplotlib.textpath import text_to_path

# It tells of every font without a bold kind, which nobody who prints a card can help.
logging.getLogger("matplotlib.font_manager").setLevel(logging.ERROR)

#: Comes with the drawing library; the letters it lacks are sought in the fonts of the machine.
FAMILY: Final = "DejaVu Sans"
#: Baseline to baseline, in sizes of the type.
LEADING: Final = 1.28
_ELLIPSIS: Final = "…"
#: A figure and its unit are one word where lines are broken.
_UNIT: Final = re.compile(r"(?<=\d) (?=(?:s|min|h|ml|l|mg|g|kg|m|mm|in|°C|°F)\b)")
_TIED: Final = "\u00a0"


def width_of(text: str, size: float, bold: bool = False) -> float:
    """How wide a line of text is, in points."""
    return _unit_width(text, bold) * size


def shortened(text: str, width: float, size: float, bold: bool = False) -> str:
    """The text, or as much of it as fits, with an ellipsis."""
    if width_of(text, size, bold) <= width:
        return text
    for end in range(len(text) - 1, 0, -1):
        cut = text[:end].rstrip(" ,;:.") + _ELLIPSIS
        if width_of(cut, size, bold) <= width:
            return cut
    return _ELLIPSIS


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
    return [line.replace(_TIED, " ") for line in ([*lines, line] if line else lines)]


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
    tied = _UNIT.sub(_TIED, " ".join(text.split()))
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
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing from")  # `lacking` tells of it
        width, _, _ = text_to_path.get_text_width_height_descent(text, font(text, 1, bold), False)
    return float(width)


def font(text: str, size: float, bold: bool = False) -> FontProperties:
    """The font for a text: our own, with others of the machine for letters that it lacks."""
    families = dict.fromkeys([FAMILY, *filter(None, map(_family_with, text))])
    return FontProperties(family=list(families), weight="bold" if bold else "normal", size=size)


def lacking(text: str) -> list[str]:
    """The letters of a text that no font of this machine has."""
    return [letter for letter in text if _family_with(letter) is None]


@cache
def _family_with(letter: str) -> str | None:
    """The font that has a letter: our own, else the first by name on this machine."""
    if letter.isspace() or not letter.isprintable() or ord(letter) in _letters(_own_path()):
        return FAMILY
    return next((name for name, path in _others() if ord(letter) in _letters(path)), None)


@cache
def _others() -> list[tuple[str, str]]:
    """The fonts of the machine, also those installed since the library made its own list."""
    known = {font.fname for font in fontManager.ttflist}
    for path in findSystemFonts():
        if path not in known:
            with suppress(OSError, RuntimeError):  # a broken font is no fault of ours
                fontManager.addfont(path)
    return sorted({(font.name, font.fname) for font in fontManager.ttflist})


def _own_path() -> str:
    return f"{matplotlib.get_data_path()}/fonts/ttf/DejaVuSans.ttf"


@cache
def _letters(path: str) -> frozenset[int]:
    with suppress(OSError, RuntimeError):
        return frozenset() if "LastResort" in path else frozenset(get_font(path).get_charmap())
    return frozenset()
