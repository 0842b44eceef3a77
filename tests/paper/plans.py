"""Plans that are hard to lay on one page; all invented, for the layout alone."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

from darktimer import shipped
from darktimer.bench.bath_sheet import BenchOptions
from darktimer.bench.recipe_lookup import recipes_of
from darktimer.bench.sheet import bench_sheet
from darktimer.cues.reader import load_cue_set
from darktimer.errors import FindingsError
from darktimer.paper import card
from darktimer.paper.card_page import draw_card
from darktimer.paper.page import Page
from darktimer.plan.reader import PlanFile, read_plan, read_plan_file
from darktimer.process.compiler import compile_plan

_HEAD = "film: {format: 135-36, count: 1}\nvessel: {kind: tub, light: open, volume: 1.5 l}\n"
_SIXTY = "".join(
    f"  - {{step: {30 + n} s, name: Bath number {n} of the long row, bath: bath {n}}}\n"
    for n in range(1, 58)
)
_NOTE = "Hold the film by the edges and breathe. " * 8

HARD = {
    "one": "title: One\nvessel: {kind: spiral tank, light: closed}\nsteps:\n"
    "  - {develop: 20 s, agitation: continuous}\n",
    "day": f"title: A day in the dark\n{_HEAD}steps:\n  - load: by hand\n"
    "  - {develop: 40 h, agitation: stand}\n  - fix: 8 min\n  - wash: 5 min\n",
    "sixty": f"title: Sixty steps, one after the other\n{_HEAD}steps:\n  - load: 2 min\n{_SIXTY}"
    "  - fix: 5 min\n  - wash: 5 min\n",
    "over and over": f"title: Over and over\n{_HEAD}steps:\n  - load: 2 min\n"
    + "  - {develop: 1 min, name: Bath A, bath: tea developer, agitation: continuous}\n"
    "  - rinse: 30 s\n"
    * 10
    + "  - {fix: 5 min, light after: 3 min}\n  - {wash: 5 min, repeat: 12}\n",
    "names": "title: A title that goes on and on, about a developer of nettles gathered by the "
    f"river in April and dried in the attic, and $5 of soda & <b>more</b>\n{_HEAD}"
    f"about: {_NOTE}\nsteps:\n  - load: by hand\n    note: {_NOTE}\n"
    "  - develop: 12.5 min\n    name: Donaudampfschifffahrtselektrizitätenhauptbetriebswerk\n"
    "    bath: an infusion of rowan leaves with a little soda and more than a little patience\n"
    "    agitation: 1/2\n    note: $x^2$ is not a formula here\n  - rinse: 1 min\n"
    "  - {fix: 8 min, name: A fixing bath of great age and uncertain strength}\n"
    "  - {wash: 5 min, repeat: 3, name: Water from the well behind the house by the wood}\n",
    "scripts": "title: Проявка в крапиве · εμφάνιση · 現像 · تحميض · פיתוח\n"
    f"{_HEAD}steps:\n  - load: by hand\n  - develop: 15 min\n    name: Проявитель\n"
    "    agitation: {inversions: 4, within: 10 s, every: 1 min}\n    note: תזוזה עדינה\n"
    "  - {rinse: 1 min, name: 水洗}\n  - {fix: 8 min, name: تثبيت}\n  - wash: 5 min\n",
    "reversed in a tank": "title: Reversed in a tank\nfilm: {format: 8 mm type S, length: 50 ft}\n"
    "vessel: {kind: spiral tank, light: closed, volume: 1.2 l}\nsteps:\n  - load: by hand\n"
    "  - {develop: 10 min, agitation: {inversions: 2, within: 5 s, every: 1 min}}\n"
    "  - rinse: 2 min\n  - {bleach: 6 min, least: 5 min}\n  - rinse: 2 min\n  - expose: 2 min\n"
    "  - {develop: 5 min, agitation: continuous}\n  - fix: 5 min\n  - wash: 9 min\n",
    "films": "title: Twenty films\nfilms:\n"
    + f"  - {{format: 120, stock: {'meadow ' * 20}, exposed at: 200, note: {_NOTE * 4}}}\n" * 20
    + "vessel: {kind: drum, light: closed, volume: 8 l}\nsteps:\n"
    "  - {develop: 15 min, agitation: continuous}\n  - fix: 10 min\n  - wash: 20 min\n",
    "sheets": "title: Twelve sheets\nfilm: {format: 4x5 in, sheets: 12}\n"
    "vessel: {kind: tray, light: open, volume: 1 l}\nsteps:\n  - load: by hand\n"
    "  - {develop: 15 min, agitation: {shuffle each: 5 s}}\n"
    "  - {fix: 10 min, agitation: {shuffle each: 5 s}}\n  - wash: 20 min\n",
}
SHIPPED = shipped.names("sequences")
NAMES = (*SHIPPED, *HARD)


@cache
def plan_file(name: str) -> PlanFile:
    """A shipped plan or a hard one."""
    if name not in HARD:
        return read_plan(name)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "plan.yaml"
        path.write_text(HARD[name])
        return read_plan_file(path)


@cache
def shown(name: str) -> card.Card:
    """What is on the card of a plan."""
    return laid_out(plan_file(name))


def laid_out(file: PlanFile) -> card.Card:
    """What is on the card of a plan that was read."""
    cue_set = load_cue_set("standard")
    timeline = compile_plan(file.plan, cue_set.length_ms)
    try:
        sheet = bench_sheet(file.plan, recipes_of(file), BenchOptions())
    except FindingsError:
        sheet = None
    return card.card(file.plan, timeline, cue_set, sheet)


@cache
def page(name: str, paper: str) -> Page:
    """The card of a plan, drawn."""
    return draw_card(shown(name), paper)


class Extent(NamedTuple):
    """The box of a text, in points from the lower left corner of the page."""

    x0: float
    y0: float
    x1: float
    y1: float

    def covers(self, other: "Extent") -> bool:
        """Whether the two overlap by more than the leading between lines."""
        width = min(self.x1, other.x1) - max(self.x0, other.x0)
        height = min(self.y1, other.y1) - max(self.y0, other.y0)
        lower = min(self.y1 - self.y0, other.y1 - other.y0)
        return width > 0.6 and height > 0.2 * lower


@cache
def page_texts(name: str, paper: str) -> list[tuple[Any, Extent]]:
    """Every text of a card with its box."""
    return extents(page(name, paper).figure)


def extents(figure: Any) -> list[tuple[Any, Extent]]:
    """Every text of a figure with its box as it is drawn."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.text import Text

    figure.set_dpi(72)
    renderer = FigureCanvasAgg(figure).get_renderer()
    texts = [text for text in figure.findobj(Text) if text.get_text() and text.get_visible()]
    boxes = [text.get_window_extent(renderer).extents.tolist() for text in texts]
    return [(text, Extent(*box)) for text, box in zip(texts, boxes, strict=True)]
