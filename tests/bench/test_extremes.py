"""Numbers that are readable and extreme: an error at its place, or figures a person could use."""

import re
from math import log10
from pathlib import Path
from tempfile import TemporaryDirectory

from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from darktimer.bench.substances import FORMS
from darktimer.cli.mix import command
from darktimer.errors import DarktimerError, FileError


def number(least: float, most: float) -> st.SearchStrategy[str]:
    """Usual numbers, those of every size, and the ends, as people write them."""
    if least <= 0:
        sizes = st.floats(least, most)
    else:
        sizes = st.floats(log10(least), log10(most)).map(lambda size: 10**size)
    ends = st.sampled_from([least, most])
    usual = st.floats(max(least, 0.5), min(most, 50))
    return (usual | sizes | ends).map(
        lambda value: f"{value:.9f}"[:12].rstrip("0").rstrip(".") or "0"
    )


def of(unit: str, least: float = 1e-4, most: float = 1e7) -> st.SearchStrategy[str]:
    return number(least, most).map(lambda value: f"{value} {unit}")


volumes, masses, lengths = of("ml") | of("l"), of("mg") | of("g") | of("kg"), of("mm") | of("m")
times, celsius = (
    st.builds("{} ms".format, st.integers(1, 90_000)) | of("min", 0.01, 3000),
    of("C", -10, 110),
)

PLAN = """\
title: Extreme
film: {{format: {format}}}
vessel: {{{vessel}}}
temperature: {celsius}
room: {room}
habits: {{agitation: continuous}}
steps:
  - load: by hand
  - develop: {develop}
    bath: brew
    activation energy: {energy}{adjust}
  - fix: {fix}
    bath: plain fixer
  - wash: {wash}
    repeat: {repeat}
recipes:
  brew:
    title: Brew
    bath: developer
    {makes}
    dilution: {dilution}
    rolls per litre: {rolls}
    temperature: {recipe_celsius}
    ingredients:
      - {{plant: mint, amount: {plant}, water: {water}, steep: {steep}, at: {hot}}}
      - {{substance: {form}, amount: {solid}}}
      - {{substance: ascorbic acid, amount: 5 g}}
      - {{liquid: vinegar, amount: {liquid}, acid: acetic acid, strength: {strength}}}
"""
USUAL = {
    "format": "135-36, count: 2",
    "vessel": "kind: tub, light: open, volume: 1 l, size: 20 x 20 cm",
    "celsius": "22 C",
    "room": "19 C",
    "develop": "10 min",
    "energy": "60 kJ/mol",
    "adjust": "",
    "fix": "8 min",
    "wash": "5 min",
    "repeat": "3",
    "makes": "makes: 1 l",
    "dilution": "1+1",
    "rolls": "4",
    "recipe_celsius": "20 C",
    "plant": "30 g",
    "water": "500 ml",
    "steep": "20 min",
    "hot": "90 C",
    "form": "sodium carbonate anhydrous",
    "solid": "40 g",
    "liquid": "20 ml",
    "strength": "5 %",
}
EXTREME = {
    "format": st.builds("16 mm, length: {}".format, lengths)
    | st.builds("120, count: {}".format, st.integers(1, 999)),
    "vessel": st.builds("kind: tub, light: open, volume: {}".format, volumes)
    | st.builds("kind: tray, light: open, size: {0} x {0} cm".format, number(1e-6, 1e6))
    | st.builds("kind: cylinder, light: open, diameter: {}, depth: {}".format, lengths, lengths),
    "celsius": celsius,
    "room": celsius,
    "develop": times,
    "energy": of("kJ/mol", 1e-3, 9999),
    "adjust": st.builds(
        "\n    adjust: for drift\n    drifts to: {} after {}\n    time is for: {}".format,
        celsius,
        times,
        celsius,
    ),
    "fix": times,
    "wash": times,
    "repeat": st.integers(1, 50).map(str),
    "makes": st.builds("{}: {}".format, st.sampled_from(["makes", "added to"]), volumes),
    "dilution": st.builds("{}+{}".format, number(1e-6, 9999), number(0, 9999)),
    "rolls": number(1e-6, 999999),
    "recipe_celsius": celsius,
    "plant": masses,
    "water": volumes,
    "steep": times,
    "hot": celsius,
    "form": st.sampled_from([*FORMS]),
    "solid": masses,
    "liquid": volumes,
    "strength": of("%"),
}


@st.composite
def plans(draw: st.DrawFn) -> str:
    """A plan and its recipe of usual numbers, up to three of them extreme."""
    odd = draw(st.lists(st.sampled_from([*EXTREME]), min_size=1, max_size=3, unique=True))
    return PLAN.format(**{**USUAL, **{name: draw(EXTREME[name]) for name in odd}})


@settings(max_examples=100, deadline=None)
@given(
    text=plans(),
    scale=st.sampled_from(["0.1 g", "0.1 mg", "5 g", "100 kg"]),
    bottle=st.sampled_from([None, None, "0.01 ml", "700 ml", "1000 l"]),
)
def test_a_sheet_of_extreme_numbers(text: str, scale: str, bottle: str | None) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "plan.yaml"
        path.write_text(text)
        bottles = ["--container", bottle] if bottle else []
        done = CliRunner().invoke(command, [str(path), "--scale", scale, *bottles])
    if done.exception:
        refused_by_usage = done.exit_code == 2
        assert refused_by_usage or isinstance(done.exception, DarktimerError), done.exc_info
        if isinstance(done.exception, FileError):
            assert all(fault.line > 1 for fault in done.exception.faults)
        return
    page = " ".join(done.output.split())
    assert not re.search(r"\b(nan|inf)\b|\d[eE][+-]?\d", page), page
    assert not re.search(r"(?<![\d.:])0 (m?l|g|min)\b", page), page
    assert not re.search(r"(?<![\d.])\d{7,}|0\.0000\d+ (m?l|g)\b", page), page
