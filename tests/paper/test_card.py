"""A card is one page on which everything is readable, whatever the plan."""

from io import BytesIO
from itertools import combinations
from pathlib import Path

import pytest
from matplotlib.colors import to_rgb
from pypdf import PdfReader

from darktimer.bench.cautions import cautions
from darktimer.bench.recipe_lookup import recipes_of
from darktimer.paper.card import Card
from darktimer.plan.reader import read_plan, read_plan_text
from darktimer.units import clock

from . import plans

PAPERS = {"A4": (210 / 25.4, 297 / 25.4), "Letter": (8.5, 11.0)}  # ISO 216; 8 1/2 by 11 inches
EVERY = pytest.mark.parametrize(
    ("name", "paper"), [(name, paper) for name in plans.NAMES for paper in PAPERS]
)
SHIPPED = plans.SHIPPED


def written(name: str, paper: str) -> bytes:
    return plans.page(name, paper).written("pdf", "a card")


@EVERY
def test_no_text_leaves_the_page_or_covers_another(name: str, paper: str) -> None:
    page = plans.page(name, paper)
    boxes = plans.page_texts(name, paper)
    assert len(boxes) > 20
    for text, box in boxes:
        assert box.x0 > 36, text
        assert box.y0 > 36, text
        assert box.x1 < page.width - 36, text
        assert box.y1 < page.height - 36, text
    for (one, box), (other, under) in combinations(boxes, 2):
        assert not box.covers(under), (one, other)


@EVERY
def test_every_time_stands_whole_on_the_card(name: str, paper: str) -> None:
    texts = {text.get_text() for text, _ in plans.page_texts(name, paper)}
    for row in plans.shown(name).rows:
        assert clock(row.start_ms) in texts
        assert row.time_ms is None or clock(row.time_ms) in texts


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", SHIPPED)
def test_steps_and_times_are_readable_from_a_metre(name: str, paper: str) -> None:
    sizes: dict[str, float] = {}
    for text, _ in plans.page_texts(name, paper):
        sizes[text.get_text()] = max(text.get_fontsize(), sizes.get(text.get_text(), 0))
    for row in plans.shown(name).rows:
        if row.is_bath:
            assert sizes[row.name + row.times] >= 16
            assert sizes[clock(row.start_ms)] >= 16
            assert row.time_ms is None or sizes[clock(row.time_ms)] >= 16


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", [SHIPPED[0], "sixty", "names"])
def test_pdf_is_one_page_of_the_paper_with_its_fonts_in_it(name: str, paper: str) -> None:
    (page,) = PdfReader(BytesIO(written(name, paper))).pages
    inches = tuple(float(side) / 72 for side in page.mediabox[2:])
    assert inches == pytest.approx(PAPERS[paper], abs=0.01)
    fonts = page["/Resources"]["/Font"]
    assert fonts
    for font in fonts.values():
        font = font.get_object()
        whole = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
        assert whole["/Subtype"] in ("/TrueType", "/CIDFontType2")
        assert "/FontFile2" in whole["/FontDescriptor"].get_object()


def test_what_is_on_the_card_can_be_read_as_text() -> None:
    text = PdfReader(BytesIO(written("open-tub-half-agitation", "A4"))).pages[0].extract_text()
    for words in (
        "Open tub, half agitation",
        "untested on film",
        "Develop",
        "15:00",
        "Wash × 10",
        "2:00 each",
        "moving 7:30 of it",
        "Take the film off its spool",
        "1.5 l",
        "ascorbic acid",
        "dark from 0:30 to 28:50",
        "Light is safe",
        "A step's time starts when the film is covered; the drain is inside it.",
        "white light harms nothing from here on",
        "begin moving",
        "Cautions",
        "local codes",
    ):
        assert words in text, words


def test_a_card_has_no_colours() -> None:
    texts = plans.page_texts("open-tub-half-agitation", "A4")
    inks = {text.get_color() for text, _ in texts}
    for red, green, blue in map(to_rgb, inks):
        assert red == green == blue <= 0.3


def test_the_same_plan_gives_the_same_bytes() -> None:
    first = written("open-tub-half-agitation", "A4")
    plans.page.cache_clear()
    again = written("open-tub-half-agitation", "A4")
    assert first == again
    assert "/CreationDate" not in (PdfReader(BytesIO(first)).metadata or {})


def test_letters_that_the_font_has_not_are_named() -> None:
    page = plans.page("scripts", "A4")
    assert set("現像水洗") <= set(page.missing)
    assert not set(page.missing) & set("Проявка в крапиве · εμφάνιση")
    assert not plans.page("names", "A4").missing


def test_a_dollar_is_a_dollar() -> None:
    texts = [text.get_text() for text, _ in plans.extents(plans.page("names", "A4").figure)]
    assert not any(
        text.get_parse_math() for text, _ in plans.extents(plans.page("names", "A4").figure)
    )
    assert any("Donaudampf" in text for text in texts)


@pytest.mark.parametrize("paper", PAPERS)
def test_what_is_weighed_is_named_whole(paper: str) -> None:
    """Which hydrate it is decides how much is weighed."""
    too_many = {
        "reversal-motion-picture"
    }  # so many baths, or lines for pieces, leave what to weigh to the bench sheet
    if paper == "Letter":
        too_many |= {"bucket-motion-picture"}
    too_many |= {name for name in SHIPPED if len(plans.shown(name).timeline.pieces) > 2}
    for name in set(SHIPPED) - too_many:
        told = [text.get_text() for text, _ in plans.page_texts(name, paper)]
        line = " ".join(told)
        for place in plans.shown(name).places:
            for made in place.made_of:
                assert made in line, (name, made)


def test_paragraphs_of_small_print_are_told_apart() -> None:
    texts = plans.page_texts("open-tub-half-agitation", "A4")
    lefts = {text.get_text(): box.x0 for text, box in texts}
    first = next(x for words, x in lefts.items() if words.startswith("Total darkness: cover"))
    after = next(x for words, x in lefts.items() if "luminous watches" in words)
    assert after > first + 4
    left = [(text.get_text(), box.y1) for text, box in texts if box.x0 < 100]
    tops = dict(left)
    line = tops["A step's time starts when the film is covered; the drain is inside it."]
    heading = tops["Cautions"]
    above = min(top for _, top in left if top > heading)
    assert above - heading > 1.3 * (tops["Time"] - line)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_card_has_the_cautions_of_check_and_says_each_once(name: str) -> None:
    file = read_plan(name)
    known = {n: each.recipe for n, each in recipes_of(file).items() if each.recipe}
    told = [each.text for each in plans.shown(name).small_print]
    wanted = cautions(file.plan, known)
    assert told[-len(wanted) :] == wanted


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_keys_of_a_live_run_are_on_one_line(paper: str) -> None:
    (keys,) = (
        t.get_text() for t, _ in plans.page_texts("long-stand", paper) if "Keys" in t.get_text()
    )
    assert all(word in keys for word in ("go on", "where am I", "hold", "abort", "for light"))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_knocks_of_a_live_run_are_below_the_keys(paper: str) -> None:
    texts = plans.page_texts("long-stand", paper)
    ((keys, _),) = [each for each in texts if each[0].get_text().startswith("Keys")]
    ((knocks, _),) = [each for each in texts if each[0].get_text().startswith("Knocks")]
    assert knocks.get_text() == (
        "Knocks, with run --knocks: three quick knocks and, after a longer rest, one more, go on "
        "· one knock and, after a longer rest, three quick ones, where am I"
    )
    assert knocks.get_fontsize() == keys.get_fontsize()
    assert abs(knocks.get_position()[1] - keys.get_position()[1]) > keys.get_fontsize()


def test_films_are_named_where_there_is_room_for_them() -> None:
    text = "title: A\nfilms: [{format: 120, stock: meadow 100, exposed at: 24°}%s]\n"
    text += "vessel: {kind: drum, light: closed}\nsteps:\n  - fix: 10 min\n"

    def laid_out(more: str) -> Card:
        return plans.laid_out(read_plan_text(text % more, Path("a.yaml")))

    two = laid_out(", {format: 135-36, note: the fair}")
    assert two.facts[:2] == ("1 × 120 meadow 100 at 200/24°", "1 × 135-36")
    assert two.small_print[0] == ("Film", "1 × 135-36: the fair")
    three = laid_out(", {format: 120, stock: harbour}, {format: 135-36}")
    assert three.facts[0] == "3 films"
    assert three.small_print[0].text == (
        "1 × 120 meadow 100 at 200/24°; 1 × 120 harbour; 1 × 135-36"
    )
