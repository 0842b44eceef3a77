"""A recipe that grows answer by answer: of kitchen goods, of a bottle, or a plain fixer.

Amounts that are usual here are invented, and untested on film.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from darktimer.bench.recipe_lookup import read_recipe
from darktimer.bench.substances import form_named, molar_mass
from darktimer.document import parse_document
from darktimer.errors import UnreadableError
from darktimer.plan.draft import UNKNOWN, Answers, line, plain
from darktimer.prepare.answers import in_figures
from darktimer.prepare.drafting import Draft
from darktimer.prepare.questions import UNSURE, Question
from darktimer.prepare.recipe_file import RecipeFile
from darktimer.units import shown, volume_ml

_SODA: Final = "sodium carbonate "
_HYPO: Final = "sodium thiosulphate "

QUESTIONS: Final = {
    "kind": Question(
        "Kind",
        "kitchen: a developer of a plant, washing soda and vitamin C. bottle: something bought, to "
        "be thinned with water. fixer: of plain crystals.",
        ("kitchen", "bottle", "fixer"),
    ),
    "title": Question("Title", "By this name a plan asks for it."),
    "bath": Question(
        "Bath",
        "What the bottle is for.",
        ("developer", "stop", "fixer", "clearing", "wetting"),
    ),
    "dilution": Question("Dilution", "From its label: parts of it + parts of water, such as 1+9."),
    "makes": Question(
        "How much it makes", "The amounts asked next are for this much, such as 1 l."
    ),
    "plant": Question("Plant", "Dry: tea, leaves, coffee. It is weighed dry, then steeped."),
    "plant-amount": Question("How much of the plant", "Weighed, such as 45 g."),
    "alkali": Question(
        "Washing soda",
        "As its packet says: anhydrous is a fine powder, decahydrate is crystals, monohydrate lies "
        "between. Baking soda is another thing.",
        ("anhydrous", "monohydrate", "decahydrate"),
        said={"fine powder": "anhydrous", "crystals": "decahydrate"},
    ),
    "alkali-amount": Question("How much of the soda", "Weighed, such as 34 g."),
    "acid-amount": Question("How much vitamin C", "Plain ascorbic acid, weighed, such as 8 g."),
    "crystals": Question(
        "Thiosulphate",
        "As its label says: pentahydrate is crystals, anhydrous a powder.",
        ("pentahydrate", "anhydrous"),
        said={"crystals": "pentahydrate", "powder": "anhydrous"},
    ),
    "crystals-amount": Question("How much of it", "Weighed, such as 226 g."),
    "keeps": Question(
        "How long it keeps",
        f"The bath ready for use, such as 1 hour or 2 weeks; or {UNKNOWN}.",
        (UNKNOWN,),
        only=False,
        said=UNSURE,
    ),
    "rolls": Question(
        "How many rolls a litre takes",
        f"From its label or a test, such as 10; or {UNKNOWN}.",
        (UNKNOWN,),
        only=False,
        said=UNSURE,
    ),
}
#: What is asked for each kind of recipe, in this order.
KINDS: Final[Mapping[str, tuple[str, ...]]] = {
    "kitchen": (
        *("title", "makes", "plant", "plant-amount", "alkali", "alkali-amount", "acid-amount"),
        *("keeps", "rolls"),
    ),
    "bottle": ("title", "bath", "dilution", "keeps", "rolls"),
    "fixer": ("title", "makes", "crystals", "crystals-amount", "keeps", "rolls"),
}


def _grams(name: str, as_much_as: str, g_per_l: float, answers: Answers) -> str:
    """What does the work of so many grams a litre of another form, for what is made."""
    form, other = form_named(name), form_named(as_much_as)
    litres = volume_ml(answers["makes"]) / 1000
    return f"{g_per_l * litres * molar_mass(form) / molar_mass(other):.3g} g"


_USUAL: Final[Mapping[str, Callable[[Answers], str]]] = {
    "kind": lambda _: "kitchen",
    "title": lambda a: "my developer" if a["kind"] == "kitchen" else f"my {a['kind']}",
    "bath": lambda _: "developer",
    "dilution": lambda _: "1+9",
    "makes": lambda _: "1 l",
    "plant": lambda _: "dry black tea",
    "plant-amount": lambda a: f"{45 * volume_ml(a['makes']) / 1000:.3g} g",
    "alkali": lambda _: "anhydrous",
    "alkali-amount": lambda a: _grams(_SODA + a["alkali"], f"{_SODA}anhydrous", 34, a),
    "acid-amount": lambda a: f"{8 * volume_ml(a['makes']) / 1000:.3g} g",
    "crystals": lambda _: "pentahydrate",
    "crystals-amount": lambda a: _grams(_HYPO + a["crystals"], f"{_HYPO}pentahydrate", 226, a),
    "keeps": lambda a: {"kitchen": "1 hour", "fixer": "2 weeks"}.get(a["kind"], UNKNOWN),
    "rolls": lambda a: {"kitchen": "4", "fixer": "10"}.get(a["kind"], UNKNOWN),
}


class RecipeDraft(Draft):
    """A recipe as it grows; ``file`` is the last one that was without fault."""

    file: RecipeFile

    @property
    def questions(self) -> Mapping[str, Question]:
        """Those of its kind, in their order."""
        return {key: QUESTIONS[key] for key in ("kind", *KINDS[self.whole["kind"]])}

    def _read(self, key: str, answer: str) -> dict[str, str]:
        if key not in self.questions:
            found = f"--{key} is not asked for a recipe of this kind, {self.whole['kind']}"
            raise UnreadableError(found, f"answer {', '.join(self.questions)}")
        as_words = key in ("title", "plant")
        if key.endswith("-amount") and re.fullmatch(r"\s*[0-9]+([.,][0-9]+)?\s*", answer):
            number = answer.strip().replace(",", ".")
            remedy = f"write {number} g if a scale in grams showed that, or name the unit"
            raise UnreadableError(f"{shown(number)} has no unit", remedy)
        return {key: QUESTIONS[key].meant(answer if as_words else in_figures(answer))}

    def _try(self, answers: Answers) -> None:
        whole: dict[str, str] = {"kind": answers.get("kind") or _USUAL["kind"]({})}
        for key in KINDS[whole["kind"]]:
            whole[key] = answers[key] if key in answers else _USUAL[key](whole)
        text = "\n".join(_lines(whole)) + "\n"
        document = parse_document(text, self.target)
        self.file = RecipeFile(read_recipe(document), document)
        self.whole, self.text = whole, text


def _lines(answers: Answers) -> Iterator[str]:
    yield "# Drafted by darktimer new --recipe: a beginning, untested on film."
    yield "# What follows a # is for you alone. Change what you like."
    kind = answers["kind"]
    yield line("title", answers["title"])
    yield line("about", "A recipe of my own; untested on film.")
    yield line("bath", answers.get("bath") or ("fixer" if kind == "fixer" else "developer"))
    for key in ("makes", "dilution"):
        if key in answers:
            yield line(key, answers[key])
    yield f"use: {'again' if _again(answers) else 'once'}"
    for key, written in (("keeps", "keeps"), ("rolls", "rolls per litre")):
        if answers[key] != UNKNOWN:
            yield line(written, plain(answers[key]))
        else:
            yield f"# Add it once you know it: {written}: {_SUCH_AS[key]}"
    if kind != "bottle":
        yield from _ingredients(answers)


_SUCH_AS: Final = {"keeps": "2 weeks", "rolls": "10"}


def _again(answers: Answers) -> bool:
    """Whether a bath is kept and used again, as is usual for what is no developer."""
    return answers["kind"] == "fixer" or answers.get("bath") in ("stop", "fixer")


def _ingredients(answers: Answers) -> Iterator[str]:
    if answers["kind"] == "fixer":
        yield "# The crystals chill the water while they dissolve."
        yield "water at: 40 C"
        yield "ingredients:"
        yield _item("substance", _HYPO + answers["crystals"], answers["crystals-amount"])
        return
    yield "ingredients:"
    yield _item("plant", answers["plant"], answers["plant-amount"], at="90 C", steep="20 min")
    yield _item("substance", _SODA + answers["alkali"], answers["alkali-amount"])
    yield _item("substance", "ascorbic acid", answers["acid-amount"])


def _item(kind: str, name: str, amount: str, **more: Any) -> str:
    return f"  - {line(kind, name)}\n    {line('amount', amount)}" + "".join(
        f"\n    {line(key, value)}" for key, value in more.items()
    )
