"""A page to draw on, in points from its upper left corner, and what it becomes: PDF, SVG or PNG.

Knows the drawing library, the fonts and how wide words are; not what is drawn. The same drawing
gives the same bytes: no date is written, and nothing of the user's own settings for the library
is taken over.
"""

import logging
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, nullcontext
from functools import cache
from io import BytesIO
from typing import Any, Final, Literal, NamedTuple

import matplotlib
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, fontManager, get_font
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from matplotlib.textpath import text_to_path
from matplotlib.transforms import Affine2D

Kind = Literal["pdf", "svg", "png"]
Align = Literal["left", "center", "right"]

BLACK: Final = "#000000"
SOFT: Final = "#444444"  # small print, still black enough for a poor copy
PALE: Final = "#b8b8b8"
WHITE: Final = "#ffffff"

#: Comes with the drawing library; the letters it lacks are sought in the fonts of the machine.
_FAMILY: Final = "DejaVu Sans"
_PNG_DPI: Final = 200
#: Baseline to baseline, in sizes of the type.
LEADING: Final = 1.28
_ELLIPSIS: Final = "…"

_SETTINGS: Final[Any] = {
    "pdf.fonttype": 42,  # whole outlines, embedded, so that the text stays text
    "svg.fonttype": "path",  # looks the same where the font is not installed
    "svg.hashsalt": "darktimer",
    "text.hinting": "none",  # a PNG is as wide as a PDF
    "text.parse_math": False,  # a dollar in a title is a dollar
    "font.family": [_FAMILY],
}


@contextmanager
def settings() -> Iterator[None]:
    """The drawing library as it comes, but for what a page needs; the user's own is put back."""
    with matplotlib.rc_context(), warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing from")  # `Page.missing` tells of it
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(_SETTINGS)
        yield


class Box(NamedTuple):
    """A part of a page: its upper left corner, its width and height, in points."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        return self.x + self.width

    @property
    def bottom(self) -> float:
        return self.y + self.height


class Page:
    """One page of ``width`` by ``height`` points, drawn upon until it is written."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self.figure = Figure(figsize=(width / 72, height / 72), dpi=72)
        self._flipped = Affine2D()
        self._points = self._flipped + self.figure.dpi_scale_trans
        self.end_at(height)

    def end_at(self, height: float) -> None:
        """Makes the page so high; what is drawn keeps its distance from the top."""
        self.height = height
        self.figure.set_size_inches(self.width / 72, height / 72)
        self._flipped.clear().scale(1 / 72, -1 / 72).translate(0, height / 72)

    def words(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        *,
        bold: bool = False,
        align: Align = "left",
        ink: str = BLACK,
    ) -> float:
        """One line of text with its baseline at ``y``; returns its width."""
        if text.strip():
            self.figure.add_artist(
                Text(
                    x,
                    y,
                    text,
                    color=ink,
                    fontproperties=font(text, size, bold),
                    horizontalalignment=align,
                    verticalalignment="baseline",
                    transform=self._points,
                )
            )
        return width_of(text, size, bold)

    def lines(
        self,
        x: float,
        y: float,
        lines: Sequence[str],
        size: float,
        *,
        bold: bool = False,
        ink: str = BLACK,
    ) -> float:
        """Lines under each other, the first baseline at ``y``; returns the baseline after them."""
        for line in lines:
            self.words(x, y, line, size, bold=bold, ink=ink)
            y += LEADING * size
        return y

    def bar(self, box: Box, ink: str = BLACK, edge: str | None = None, name: str = "") -> None:
        """A rectangle, filled with ``ink``; ``name`` is its id in an SVG."""
        drawn = Rectangle(
            (box.x, box.y),
            box.width,
            box.height,
            facecolor=ink,
            edgecolor=edge or "none",
            linewidth=0.6 if edge else 0,
            transform=self._points,
        )
        drawn.set_gid(name or None)
        self.figure.add_artist(drawn)

    def line(
        self, xs: Sequence[float], ys: Sequence[float], weight: float = 0.5, ink: str = BLACK
    ) -> None:
        """A line through points."""
        drawn = Line2D(xs, ys, linewidth=weight, color=ink, transform=self._points)
        drawn.set_solid_capstyle("butt")
        drawn.set_solid_joinstyle("miter")
        self.figure.add_artist(drawn)

    @property
    def missing(self) -> str:
        """The letters on this page that no font of this machine has, each once."""
        texts = [text.get_text() for text in self.figure.artists if isinstance(text, Text)]
        return "".join(dict.fromkeys(letter for text in texts for letter in _lacking(text)))

    def written(self, kind: Kind, title: str) -> bytes:
        """The page as a file."""
        return written(self.figure, kind, title)


class Scratch(Page):
    """A page on which nothing is left: drawn upon to find how much room something takes."""

    def words(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        *,
        bold: bool = False,
        align: Align = "left",
        ink: str = BLACK,
    ) -> float:
        return width_of(text, size, bold)

    def bar(self, box: Box, ink: str = BLACK, edge: str | None = None, name: str = "") -> None:
        pass

    def line(
        self, xs: Sequence[float], ys: Sequence[float], weight: float = 0.5, ink: str = BLACK
    ) -> None:
        pass


def written(figure: Figure, kind: Kind, title: str) -> bytes:
    """A figure of the drawing library as a file of one kind; the same figure, the same bytes."""
    metadata: dict[Kind, dict[str, Any]] = {
        "pdf": {"Title": title, "CreationDate": None},
        "svg": {"Title": title, "Date": None},
        "png": {"Title": title},
    }
    into = BytesIO()
    figure.savefig(into, format=kind, dpi=_PNG_DPI, metadata=metadata[kind])
    return into.getvalue()


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
    return [*lines, line] if line else lines


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
    for word in text.split():
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
    with settings() if _lacking(text) else nullcontext():
        width, _, _ = text_to_path.get_text_width_height_descent(text, font(text, 1, bold), False)
    return float(width)


def font(text: str, size: float, bold: bool = False) -> FontProperties:
    """The font for a text: our own, with others of the machine for letters that it lacks."""
    families = dict.fromkeys([_FAMILY, *filter(None, map(_family_with, text))])
    return FontProperties(family=list(families), weight="bold" if bold else "normal", size=size)


def _lacking(text: str) -> list[str]:
    return [letter for letter in text if _family_with(letter) is None]


@cache
def _family_with(letter: str) -> str | None:
    """The font that has a letter: our own, else the first by name on this machine."""
    if letter.isspace() or not letter.isprintable() or ord(letter) in _letters(_own_path()):
        return _FAMILY
    others = sorted({(font.name, font.fname) for font in fontManager.ttflist})
    return next((name for name, path in others if ord(letter) in _letters(path)), None)


def _own_path() -> str:
    return f"{matplotlib.get_data_path()}/fonts/ttf/DejaVuSans.ttf"


@cache
def _letters(path: str) -> frozenset[int]:
    try:
        return frozenset() if "LastResort" in path else frozenset(get_font(path).get_charmap())
    except (OSError, RuntimeError) as error:  # a broken font of the machine is no fault of ours
        logging.getLogger(__name__).debug("%s: %s", path, error)
        return frozenset()
