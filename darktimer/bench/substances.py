"""The dry substances of a bath and the forms they are sold in.

Knows what each form is called, what it is made of and what in it acts. Knows no amounts. Molar
masses are computed by molmass from the formula, on first use.
"""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Final, NamedTuple

from darktimer.bench.bench_error import BenchError
from darktimer.bench.misspelling import misspelt


class Form(NamedTuple):
    """One form of a substance.

    ``acts`` names what does the work; ``parts`` is what a formula unit, a mole of which does a mole
    of that work, brings into solution, in the words of `acidity`. ``doubt`` is what nobody knows of
    it; else it is empty.
    """

    name: str
    formula: str
    acts: str
    parts: Mapping[str, int]
    caveat: str = ""


def _form(name: str, formula: str, acts: str, caveat: str = "", **parts: int) -> Form:
    return Form(name, formula, acts, MappingProxyType(parts), caveat)


_AS_SALT: Final = "how far {} holds fog back, and the picture with it, nobody can say beforehand"


_ALL: Final = (
    _form("sodium carbonate anhydrous", "Na2CO3", "carbonate", sodium=2, carbonate=1),
    _form("sodium carbonate monohydrate", "Na2CO3.H2O", "carbonate", sodium=2, carbonate=1),
    _form("sodium carbonate decahydrate", "Na2CO3.(H2O)10", "carbonate", sodium=2, carbonate=1),
    _form("potassium carbonate", "K2CO3", "carbonate", potassium=2, carbonate=1),
    _form("baking soda", "NaHCO3", "bicarbonate", sodium=1, carbonate=1),
    _form("sodium hydroxide", "NaOH", "hydroxide", sodium=1),
    _form("ascorbic acid", "C6H8O6", "ascorbate", ascorbate=1),
    _form("sodium ascorbate", "C6H7NaO6", "ascorbate", sodium=1, ascorbate=1),
    _form("borax decahydrate", "Na2B4O7.(H2O)10", "borate", sodium=2, borate=4),
    _form("borax pentahydrate", "Na2B4O7.(H2O)5", "borate", sodium=2, borate=4),
    _form("citric acid", "C6H8O7", "citric acid", citrate=1),
    _form("citric acid monohydrate", "C6H8O7.H2O", "citric acid", citrate=1),
    _form("acetic acid", "C2H4O2", "acetic acid", acetate=1),
    _form("sodium sulphite anhydrous", "Na2SO3", "sulphite", sodium=2, sulphite=1),
    _form("sodium sulphite heptahydrate", "Na2SO3.(H2O)7", "sulphite", sodium=2, sulphite=1),
    _form("sodium thiosulphate anhydrous", "Na2S2O3", "thiosulphate", sodium=2, thiosulphate=1),
    _form(
        "sodium thiosulphate pentahydrate",
        "Na2S2O3.(H2O)5",
        "thiosulphate",
        sodium=2,
        thiosulphate=1,
    ),
    _form("ammonium thiosulphate", "(NH4)2S2O3", "thiosulphate", ammonium=2, thiosulphate=1),
    _form("sodium chloride", "NaCl", "chloride", sodium=1, chloride=1),
    _form("table salt", "NaCl", "chloride", _AS_SALT.format("table salt"), sodium=1, chloride=1),
    _form(
        "iodised salt",
        "NaCl",
        "chloride",
        _AS_SALT.format("iodised salt")
        + ": its iodide, which acts in traces, differs by the packet",
        sodium=1,
        chloride=1,
    ),
    _form("potassium bromide", "KBr", "bromide", potassium=1, bromide=1),
)
FORMS: Final[Mapping[str, Form]] = MappingProxyType({form.name: form for form in _ALL})

_OTHER_NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "soda ash": "sodium carbonate anhydrous",
        "baked baking soda": "sodium carbonate anhydrous",
        "baking soda baked": "sodium carbonate anhydrous",
        "potash": "potassium carbonate",
        "potassium carbonate anhydrous": "potassium carbonate",
        "bicarbonate of soda": "baking soda",
        "sodium bicarbonate": "baking soda",
        "sodium hydrogen carbonate": "baking soda",
        "caustic soda": "sodium hydroxide",
        "vitamin c": "ascorbic acid",
        "citric acid anhydrous": "citric acid",
        "kitchen salt": "table salt",
        "cooking salt": "table salt",
        "iodized salt": "iodised salt",
        "iodised table salt": "iodised salt",
        "iodized table salt": "iodised salt",
    }
)

_SODAS: Final = tuple(name for name in FORMS if name.startswith("sodium carbonate"))
#: Names that stand for several forms, or for a solution of unknown strength: asked, never assumed.
_UNCLEAR: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "soda": ("sodium carbonate anhydrous", "sodium carbonate decahydrate", "baking soda"),
        "sodium carbonate": _SODAS,
        "sodium carbonate crystals": _SODAS,
        "soda crystals": _SODAS,  # the decahydrate in some countries, and any of them in others
        "borax": ("borax decahydrate", "borax pentahydrate"),
        "sodium sulphite": ("sodium sulphite anhydrous", "sodium sulphite heptahydrate"),
        "sodium thiosulphate": tuple(n for n in FORMS if n.startswith("sodium thiosulphate")),
        "hypo": tuple(name for name in FORMS if name.startswith("sodium thiosulphate")),
    }
)


def form_named(name: str, elsewhere: str = "") -> Form:
    """The form called ``name``, as `form_or_none` finds it.

    Raises `BenchError` for a name that is not known too, with the one it is a slip of the pen for,
    or else with ``elsewhere``.
    """
    if form := form_or_none(name):
        return form
    plain = _plain(name)
    near = next(
        (each for each in (*FORMS, *_OTHER_NAMES, *_UNCLEAR) if misspelt(plain, each)), None
    )
    remedy = f"did you mean {near!r}?" if near else f"{elsewhere}{_choice(FORMS)}"
    raise BenchError(name, "no such substance", remedy)


def form_or_none(name: str) -> Form | None:
    """The form called ``name``: case, commas, hyphens and American spelling do not matter.

    Raises `BenchError` for a name that stands for several forms, with those forms.
    """
    plain = _plain(name)
    if plain in _UNCLEAR:
        raise BenchError(name, "the name may mean several forms", _choice(_UNCLEAR[plain]))
    return FORMS.get(_OTHER_NAMES.get(plain, plain))


def molar_mass(form: Form) -> float:
    """g/mol of a formula unit of ``form``, water of crystallisation included."""
    return formula_mass(form.formula)


def moles(form: Form, mass_g: float) -> float:
    """Moles of what acts in ``mass_g`` of ``form``."""
    return mass_g / molar_mass(form)


@cache
def formula_mass(formula: str) -> float:
    """g/mol of a formula such as ``Na2CO3``, by molmass."""
    from molmass import Formula

    return float(Formula(formula).mass)


def _plain(name: str) -> str:
    words = name.lower().replace(",", " ").replace("-", " ").replace("(", " ").replace(")", " ")
    plain = " ".join(words.split()).replace("sulfi", "sulphi").replace("sulfa", "sulpha")
    return plain.replace("washing soda", "sodium carbonate")


def _choice(names: Mapping[str, Form] | tuple[str, ...]) -> str:
    return f"write one of: {', '.join(names)}"
