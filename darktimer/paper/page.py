"""A page to draw on, in points from its upper left corner, and what it becomes: PDF, SVG or PNG.

Knows the drawing library; not what is drawn. The same drawing gives the same bytes: no date is
written, and nothing of the user's own settings for the library is taken over.
"""

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import Any, Final, Literal, NamedTuple

import matplotlib
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon, Rectangle
from matplotlib.text import Text
from matplotlib.transforms import Affine2D

from darktimer.paper.text_metrics import FAMILY, LEADING, drawable, font, lacking, width_of
from darktimer.whole_file import write_whole

Align = Literal["left", "center", "right"]

BLACK: Final = "#000000"
SOFT: Final = "#444444"  # small print, still black enough for a poor copy
PALE: Final = "#b8b8b8"
WHITE: Final = "#ffffff"

_PNG_DPI: Final = 200
_SETTINGS: Final[Any] = {
    "pdf.fonttype": 42,  # whole outlines, embedded, so that the text stays text
    "svg.fonttype": "path",  # looks the same where the font is not installed
    "svg.hashsalt": "darktimer",
    "text.hinting": "none",  # a PNG is as wide as a PDF
    "text.parse_math": False,  # a dollar in a title is a dollar
    "font.family": [FAMILY],
}
matplotlib.rcdefaults()
matplotlib.rcParams.update(_SETTINGS)


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
    """One page of ``width`` by ``height`` points, drawn upon until it is written.

    With ``scratch`` nothing is left on it: it is drawn upon to find how much room something takes.
    """

    def __init__(self, width: float, height: float, *, scratch: bool = False) -> None:
        self._scratch = scratch
        self._lacking: dict[str, None] = {}
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
            shown = drawable(text, bold)
            drawn = Text(x, y, shown, color=ink, fontproperties=font(size, bold))
            self._lacking.update(dict.fromkeys(lacking(text, bold)))
            drawn.set_horizontalalignment(align)
            self._add(drawn)
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
        """A rectangle, filled with ``ink``; ``name`` is its id in an SVG.

        A hairline of its own ink closes the seam to its neighbour, which viewers else leave pale.
        """
        self._add(
            Rectangle(
                (box.x, box.y),
                box.width,
                box.height,
                facecolor=ink,
                edgecolor=edge or ink,
                linewidth=0.6 if edge else 0.3,
                gid=name or None,
            )
        )

    def line(
        self,
        xs: Sequence[float],
        ys: Sequence[float],
        weight: float = 0.5,
        ink: str = BLACK,
        *,
        dashed: bool = False,
    ) -> None:
        """A line through points."""
        drawn = Line2D(xs, ys, linewidth=weight, color=ink, linestyle="--" if dashed else "-")
        drawn.set_solid_capstyle("butt")
        drawn.set_solid_joinstyle("miter")
        self._add(drawn)

    def dot(self, x: float, y: float, width: float, name: str, *, ring: bool = False) -> None:
        """A round mark about a point; ``name`` is its id in an SVG."""
        drawn = Line2D([x], [y], marker="o", markersize=width, color=BLACK, gid=name)
        if ring:
            drawn.set_markerfacecolor(WHITE)
        self._add(drawn)

    def between(self, xs: Sequence[float], lower: Sequence[float], upper: Sequence[float]) -> None:
        """What lies between two lines, filled."""
        edge = [*zip(xs, lower, strict=True), *reversed([*zip(xs, upper, strict=True)])]
        self._add(Polygon(edge, facecolor=PALE, edgecolor="none"))

    def _add(self, drawn: Artist) -> None:
        if not self._scratch:
            drawn.set_transform(self._points)
            self.figure.add_artist(drawn)

    @property
    def missing(self) -> str:
        """The letters on this page that the font has not, each once; a square stands for each."""
        return "".join(self._lacking)

    def written(self, kind: str, title: str) -> bytes:
        """The page as a file: "pdf", "svg" or "png"; the same page, the same bytes."""
        metadata: dict[str, dict[str, Any]] = {
            "pdf": {"Title": title, "Creator": "darktimer", "Producer": None, "CreationDate": None},
            "svg": {"Title": title, "Creator": "darktimer", "Date": None},
            "png": {"Title": title, "Software": "darktimer"},
        }
        into = BytesIO()
        self.figure.savefig(into, format=kind, dpi=_PNG_DPI, metadata=metadata[kind])
        return into.getvalue()

    def write(self, target: Path, title: str, *, force: bool) -> None:
        """Writes the page, of the kind that the ending says; raises `OutputError`."""
        write_whole(target, self.written(target.suffix[1:].lower(), title), force=force)
