"""The cautions for exactly what is on the bench, and what becomes of it afterwards.

Knows the usual cautions of the trade. Makers' safety sheets and local codes go before them.
"""

from collections.abc import Collection, Iterator
from typing import Final

from darktimer.bench.alkali import alkali_of, foams
from darktimer.bench.substances import Form
from darktimer.plan.cautions import KITCHEN, LOCAL_CODES

_SCALDS_CELSIUS: Final = 50.0

_OF: Final = {
    "carbonate": "{} harms the eyes; its dust and its solution irritate: goggles and gloves.",
    "hydroxide": "{} burns skin and eyes: stir it into cold water, never water onto it.",
    "acetic acid": "Strong {} burns, and its vapour too: pour the acid into the water.",
    "citric acid": "{} stings in eyes and cuts; its dust irritates.",
}

GENERAL: Final = (KITCHEN, LOCAL_CODES)


def cautions_of(forms: Collection[Form], hottest_celsius: float | None = None) -> Iterator[str]:
    """The cautions for ``forms`` on one bench, together; ``hottest_celsius`` of what is steeped."""
    for form in {form.name: form for form in forms}.values():
        if form.acts in _OF:
            words = _OF[form.acts].format(form.name)
            yield words[0].upper() + words[1:]
    if foams(forms):
        yield "Acid meeting carbonate foams: never seal that vessel."
    yield from _gases(forms)
    if hottest_celsius is not None and hottest_celsius >= _SCALDS_CELSIUS:
        yield "Hot water scalds: let what was steeped cool before you handle it."


def _gases(forms: Collection[Form]) -> Iterator[str]:
    parts = {part for form in forms for part in form.parts}
    acid = any(alkali_of(form) < 0 for form in forms)
    if acid and parts & {"sulphite", "thiosulphate"}:
        yield "Acid meeting fixer or sulphite gives off sulphur dioxide: keep the air moving."
    if "ammonium" in parts and any(alkali_of(form) > 0 for form in forms):
        yield "Alkali meeting an ammonium fixer gives off ammonia: rinse between, keep air moving."


def discarding(holds_silver: bool, own: str | None) -> Iterator[str]:
    """What to do with a used bath; the recipe's ``own`` words come after the law."""
    if holds_silver:
        yield (
            "Spent fixer holds silver: hand it in as local rules say, never into a septic tank; "
            "the first wash water holds some too."
        )
    else:
        yield "Discard as local rules say, never into a septic tank."
    if own:
        yield own
