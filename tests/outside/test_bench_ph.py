"""The pH of a bath against published buffers, pK of named sources, and an independent solver.

Marks: P read in a published source or a public copy of it, C computed from published constants,
T common practice with no source, M from memory.
"""

from collections import Counter
from itertools import product

import pytest

from darktimer.bench.acidity import _balanced_ph, estimate
from darktimer.bench.alkali import alkali_of, dissolved
from darktimer.bench.recipe import Recipe
from darktimer.bench.substances import FORMS

#: What is said below 0.1, below 0.5 and above 0.5 mol/l of ionic strength.
BANDS = (0.1, 0.2, 0.5)


@pytest.fixture(scope="module")
def solver():
    pytest.importorskip("phreeqpython", reason="it has no binary for this machine")
    from tests.outside.pitzer import Solver

    return Solver()


@pytest.fixture(scope="module")
def compared(solver):
    return list(solver.grid())


def test_the_solver_gives_the_published_buffer(solver) -> None:
    """P: 0.025 + 0.025 molal carbonate at 25 C is pH 10.012; NBS J. Res. 73A:37."""
    buffer = {"sodium": 0.075, "carbonate": 0.05}
    assert solver.ph(buffer, 25, "mol/kgw") == pytest.approx(10.012, abs=0.005)


def test_no_bath_is_further_from_the_solver_than_is_said(compared) -> None:
    """C: PHREEQC 3 with pitzer.dat, over carbonate, ascorbate, borate, sulphite and citrate."""
    assert [each for each in compared if abs(each.difference) > each.ours.uncertainty] == []
    counts = Counter(each.ours.uncertainty for each in compared)
    assert all(counts[band] > 50 for band in BANDS)


def test_less_uncertainty_would_be_too_little(compared) -> None:
    """C: what is said to be within 0.2 is not within the 0.1 that holds for weaker baths."""
    middle = [each for each in compared if each.ours.uncertainty == BANDS[1]]
    assert any(abs(each.difference) > BANDS[0] for each in middle)


@pytest.mark.parametrize(
    ("strength", "uncertainty"), [(0.09, 0.1), (0.11, 0.2), (0.49, 0.2), (0.51, 0.5)]
)
def test_the_uncertainty_grows_with_ionic_strength(strength: float, uncertainty: float) -> None:
    assert estimate({"sodium": strength, "chloride": strength}).uncertainty == uncertainty


@pytest.mark.parametrize(
    ("celsius", "ph"), [(10, 9.332), (15, 9.276), (20, 9.225), (25, 9.180), (30, 9.139)]
)
def test_the_borax_buffer(celsius: float, ph: float) -> None:
    """P, from memory: 0.01 molal borax, Bates 1962, J. Res. NBS 66A:179."""
    assert estimate({"sodium": 0.02, "borate": 0.04}, celsius).ph == pytest.approx(ph, abs=0.03)


def test_the_citrate_buffer() -> None:
    """P, from memory: 0.05 molal KH2 citrate is 3.776; Staples & Bates 1969, J. Res. NBS 73A:37."""
    assert estimate({"potassium": 0.05, "citrate": 0.05}).ph == pytest.approx(3.776, abs=0.03)


@pytest.mark.parametrize(
    ("acid", "lost", "pk"),
    [  # all P as cited, from memory, at 25 C and no ionic strength
        ("borate", 1, 9.234),  # Owen 1934, J. Am. Chem. Soc. 56:1695
        ("sulphite", 1, 1.85),  # CRC Handbook of Chemistry and Physics, sulphurous acid
        ("sulphite", 2, 7.2),
        ("citrate", 1, 3.128),  # Bates & Pinching 1949, J. Am. Chem. Soc. 71:1274
        ("citrate", 2, 4.761),
        ("citrate", 3, 6.396),
        ("acetate", 1, 4.756),  # Harned & Ehlers 1933, J. Am. Chem. Soc. 55:652
        ("ascorbate", 1, 4.10),  # from memory, no source
        ("ascorbate", 2, 11.7),
    ],
)
def test_half_neutralised_an_acid_shows_its_pk(acid: str, lost: int, pk: float) -> None:
    """C: with every activity taken as 1, in so much acid that water's own ions do not count."""
    ph = _balanced_ph({acid: 10.0, "sodium": 10.0 * (lost - 0.5)}, 298.15, 0.0)
    assert ph == pytest.approx(pk, abs=0.05)


def test_half_neutralised_ammonium_shows_its_pk() -> None:
    """P, from memory: 9.245 at 25 C, Bates & Pinching 1949, J. Res. NBS 42:419."""
    ph = _balanced_ph({"ammonium": 10.0, "chloride": 5.0}, 298.15, 0.0)
    assert ph == pytest.approx(9.245, abs=0.02)


def test_the_alkali_of_borax() -> None:
    """P, from memory: Na2B4O7 + 2 HCl + 5 H2O = 2 NaCl + 4 H3BO3, Vogel's Quantitative Analysis."""
    assert alkali_of(FORMS["borax decahydrate"]) == alkali_of(FORMS["borax pentahydrate"]) == 2


def test_the_alkali_of_borax_by_the_solver(solver) -> None:
    """C: two moles of acid to one of borax leave boric acid alone, and a tenth more leaves acid."""
    parts = {"sodium": 0.02, "borate": 0.04, "chloride": 0.02}
    brought = 0.01 * alkali_of(FORMS["borax decahydrate"])
    assert solver.ph({**parts, "chloride": 0.9 * brought}, 25) > 7
    assert solver.ph({**parts, "chloride": 1.1 * brought}, 25) < 4


def test_sulphite_brings_no_alkali_at_bicarbonate(solver) -> None:
    """P, from memory: its last pK is 7.2 (CRC Handbook), and bicarbonate in water has pH 8.3.

    C: so a tenth of a mole of acid to one of sulphite takes it there, where soda takes a whole one.
    """
    assert alkali_of(FORMS["sodium sulphite anhydrous"]) == 0
    assert alkali_of(FORMS["sodium sulphite heptahydrate"]) == 0
    assert solver.ph({"sodium": 0.02, "sulphite": 0.01, "chloride": 0.001}, 25) < 8.3
    assert solver.ph({"sodium": 0.02, "carbonate": 0.01, "chloride": 0.009}, 25) > 8.3


#: Baths out of a kitchen, a litre each, and by hand the grams of each substance that they may hold.
KITCHEN = {
    "tablets": (
        [("sodium carbonate anhydrous", "30 g"), ("ascorbic acid", "16 x 500 mg")],
        {"sodium carbonate anhydrous": (30,), "ascorbic acid": (8,)},
    ),
    "tablets that are four fifths acid": (
        [("sodium carbonate anhydrous", "30 g"), ("ascorbic acid", "16 x 500 mg", "400 mg")],
        {"sodium carbonate anhydrous": (30,), "ascorbic acid": (6.4,)},
    ),
    "spoons": (
        [("sodium carbonate monohydrate", "6 tsp of 5 g \u00b1 1 g"), ("ascorbic acid", "8 g")],
        {"sodium carbonate monohydrate": (24, 30, 36), "ascorbic acid": (8,)},
    ),
    "spoons of both": (
        [
            ("sodium carbonate anhydrous", "2 tbsp of 12 g \u00b1 3 g"),
            ("ascorbic acid", "3 tsp of 4 g \u00b1 1 g"),
        ],
        {"sodium carbonate anhydrous": (18, 24, 30), "ascorbic acid": (9, 12, 15)},
    ),
    "spoons of soda and baking soda": (
        [
            ("sodium carbonate anhydrous", "1 tbsp of 10 g \u00b1 2 g"),
            ("baking soda", "2 tsp of 5 g \u00b1 1 g"),
        ],
        {"sodium carbonate anhydrous": (8, 10, 12), "baking soda": (8, 10, 12)},
    ),
    "table salt": (
        [
            ("sodium carbonate anhydrous", "34 g"),
            ("ascorbic acid", "8 g"),
            ("table salt", "2 tsp of 6 g \u00b1 1 g"),
        ],
        {
            "sodium carbonate anhydrous": (34,),
            "ascorbic acid": (8,),
            "sodium chloride": (10, 12, 14),
        },
    ),
    "a powder that is nine tenths soda": (
        [("sodium carbonate anhydrous", "40 g", "90 %"), ("ascorbic acid", "8 g")],
        {"sodium carbonate anhydrous": (36,), "ascorbic acid": (8,)},
    ),
    "spoons of borax": (
        [("borax decahydrate", "3 tsp of 4 g \u00b1 1 g"), ("ascorbic acid", "1 g")],
        {"borax decahydrate": (9, 12, 15), "ascorbic acid": (1,)},
    ),
    "spoons of citric acid": (
        [("sodium carbonate anhydrous", "40 g"), ("citric acid", "1\u00bd tsp of 4 g \u00b1 1 g")],
        {"sodium carbonate anhydrous": (40,), "citric acid": (4.5, 6, 7.5)},
    ),
    "spoons, part tablets and salt, as the cupboard developer has them": (
        [
            ("sodium carbonate monohydrate", "7 tsp of 6 g \u00b1 1 g"),
            ("ascorbic acid", "19 x 800 mg", "500 mg"),
            ("table salt", "3 g"),
        ],
        {
            "sodium carbonate monohydrate": (35, 42, 49),
            "ascorbic acid": (9.5,),
            "sodium chloride": (3,),
        },
    ),
    "bromide beside salt": (
        [
            ("sodium carbonate decahydrate", "90 g"),
            ("ascorbic acid", "8 g"),
            ("potassium bromide", "1 g"),
            ("iodised salt", "1 tsp of 6 g \u00b1 2 g"),
        ],
        {
            "sodium carbonate decahydrate": (90,),
            "ascorbic acid": (8,),
            "potassium bromide": (1,),
            "sodium chloride": (4, 6, 8),
        },
    ),
    "iodised salt": (
        [("borax decahydrate", "10 g"), ("iodised salt", "5 g")],
        {"borax decahydrate": (10,), "sodium chloride": (5,)},
    ),
}


def of_kitchen(
    parts: list[tuple[str, ...]], others: tuple[dict[str, str], ...] = (), **more: object
) -> Recipe:
    keys = ("substance", "amount", "of which")
    ingredients = [*(dict(zip(keys, part, strict=False)) for part in parts), *others]
    whole = {"title": "K", "bath": "developer", "makes": "1 l", "ingredients": ingredients}
    return Recipe.read({**whole, **more}, None)


@pytest.mark.parametrize("bath", KITCHEN)
@pytest.mark.parametrize("celsius", [20, 25])
def test_a_bath_of_the_kitchen_is_as_near_to_the_solver_as_is_said(
    bath: str, celsius: float, solver
) -> None:
    """C: PHREEQC 3 with pitzer.dat, wherever the masses lie within what was stated."""
    parts, grams = KITCHEN[bath]
    ours = of_kitchen(parts).acidity(celsius)
    assert ours
    for weighed in product(*grams.values()):
        masses = [(FORMS[name], each) for name, each in zip(grams, weighed, strict=True)]
        solved = solver.ph(dissolved(masses, 1000), celsius)
        assert abs(solved - ours.ph) <= ours.uncertainty, weighed


def test_less_than_the_spoons_add_would_be_too_little(solver) -> None:
    """C: what is said of the same bath weighed does not hold for all that a spoon may bring."""
    weighed = of_kitchen([("sodium carbonate anhydrous", "2 g"), ("ascorbic acid", "1 g")])
    spooned = of_kitchen(
        [("sodium carbonate anhydrous", "1 tsp of 2 g \u00b1 1 g"), ("ascorbic acid", "1 g")]
    )
    masses = [(FORMS["sodium carbonate anhydrous"], 1), (FORMS["ascorbic acid"], 1)]
    solved = solver.ph(dissolved(masses, 1000), 20)
    sure, loose = weighed.acidity(20), spooned.acidity(20)
    assert sure
    assert loose
    assert sure.uncertainty < abs(solved - sure.ph) <= loose.uncertainty


@pytest.mark.parametrize(
    ("acid", "strength", "grams"),
    [("citric acid", "0.4 %", 3.8896), ("acetic acid", "0.6 %", 5.8344)],
)
@pytest.mark.parametrize("leaf", [(), ({"plant": "mint", "amount": "20 g", "steep": "5 min"},)])
def test_a_drink_with_a_stated_acid_by_the_solver(acid, strength, grams, leaf, solver) -> None:
    """C: so much of it in 972.4 ml of drink, of 46 g of soda, 0.6 ml a gram, in a litre.

    What a leaf keeps of the drink it keeps with its acid, so that the bath has no more of that.
    """
    drink = {"drink": "lemonade gone flat", "acid": acid, "strength": strength}
    made = of_kitchen(
        [("sodium carbonate anhydrous", "46 g")], leaf, **{"in place of water": drink}
    )
    ours = made.acidity(20)
    assert ours
    masses = [(FORMS["sodium carbonate anhydrous"], 46), (FORMS[acid], grams)]
    solved = solver.ph(dissolved(masses, 1000), 20)
    assert abs(solved - ours.ph) <= ours.uncertainty
    assert made.masses[-1] == (FORMS[acid], pytest.approx(grams))


def test_vinegar_by_the_solver(solver) -> None:
    """C: 100 ml of 5 % are 5 g of acetic acid; beside soda, and by itself as a stop."""
    vinegar = {"liquid": "vinegar", "amount": "100 ml", "acid": "acetic acid", "strength": "5 %"}
    acid = (FORMS["acetic acid"], 5)
    for parts in ((), (("sodium carbonate anhydrous", "20 g"),)):
        ours = of_kitchen(list(parts), (vinegar,)).acidity(25)
        assert ours
        masses = [(FORMS[name], 20) for name, _ in parts]
        solved = solver.ph(dissolved([*masses, acid], 1000), 25)
        assert abs(solved - ours.ph) <= ours.uncertainty
